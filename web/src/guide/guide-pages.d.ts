// What web/guide-pages.ts makes of a chapter, and of the list of them.
declare module '*/SUMMARY.md' {
  const chapters: import('./chapter').Chapter[];
  export default chapters;
}
