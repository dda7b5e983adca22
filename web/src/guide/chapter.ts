/** A chapter of the guide, as docs/guide/src/SUMMARY.md lists it; its name is that of its file without the ending. */
export interface Chapter {
  name: string;
  title: string;
}
