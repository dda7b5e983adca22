#!/usr/bin/env python3
"""Make the two small fonts that the pictures are set in.

Source: the npm package `inter-ui` 4.1.1 (SIL Open Font License 1.1), unpacked:

    npm pack inter-ui@4.1.1 && tar xzf inter-ui-4.1.1.tgz
    pip install fonttools==4.68.0 brotli==1.2.1
    python3 subset.py package

What is changed, and why:

* Only the characters listed below are kept, so that a picture can carry its font.
* Tabular figures become the default figures. A renderer that knows nothing of OpenType features
  then still sets columns of numbers straight.
* The family is renamed. The licence asks for nothing here, but a changed font should not pass for
  the original, and an installed original must not take its place in a page.
* A fixed date is written, so that the same source gives the same bytes.
"""

import pathlib
import sys

from fontTools import subset
from fontTools.ttLib import TTFont

FAMILY = "Endshake Sans"
HERE = pathlib.Path(__file__).resolve().parent
WEIGHTS = [("Regular", 400), ("SemiBold", 600)]

RANGES = [
    (0x0020, 0x007E),  # Latin
    (0x00A0, 0x00FF),  # Latin-1
    (0x0100, 0x017F),  # Latin Extended-A
    (0x0218, 0x021B),  # Romanian comma-below letters
    (0x0391, 0x03A9),  # Greek capitals
    (0x03B1, 0x03C9),  # Greek small letters
]
SINGLE = (
    "\u1e9e"  # capital sharp s
    "\u2009\u200a\u202f"  # thin, hair and narrow no-break spaces
    "\u2010\u2011\u2012\u2013\u2014\u2212"  # hyphens, dashes, minus
    "\u2018\u2019\u201a\u201c\u201d\u201e\u2039\u203a\u2020\u2021\u2022\u2026\u2030\u2032\u2033"
    "\u2070\u2074\u2075\u2076\u2077\u2078\u2079\u2080\u2081\u2082\u2083\u2084"
    "\u20ac\u2116\u2122\u2126"
    "\u2190\u2191\u2192\u2193\u2194"
    "\u2206\u220f\u2211\u221a\u221e\u2248\u2260\u2264\u2265\u00d7\u00f7"
    "\u25cf\u25cb\u25a0\u25a1\u25b2\u25bc\u25c6\u25c7"
    "\u2713\u2717\u26a0"
)
# What stands in columns. Full stop and comma stay narrow: they stand at the same place anyway.
TABULAR = "0123456789+\u2212\u00b1"


def tabular_figures(font):
    """Point the cmap of figures and signs at their tabular forms."""
    gsub = font["GSUB"].table
    swaps = {}
    for record in gsub.FeatureList.FeatureRecord:
        if record.FeatureTag != "tnum":
            continue
        for index in record.Feature.LookupListIndex:
            for table in gsub.LookupList.Lookup[index].SubTable:
                swaps.update(getattr(getattr(table, "ExtSubTable", table), "mapping", {}))
    for table in font["cmap"].tables:
        for code in map(ord, TABULAR):
            glyph = table.cmap.get(code)
            if glyph in swaps:
                table.cmap[code] = swaps[glyph]
    cmap = font.getBestCmap()
    widths = {font["hmtx"][cmap[ord(d)]][0] for d in "0123456789"}
    if len(widths) != 1:
        raise SystemExit(f"figures are not tabular: widths {sorted(widths)}")


def rename(font, weight_name, weight):
    """Name the changed font, keep its copyright and licence lines."""
    names = font["name"]
    names.names = [n for n in names.names if n.nameID in (0, 13, 14)]
    bold = weight_name != "Regular"
    full = FAMILY if not bold else f"{FAMILY} {weight_name}"
    postscript = f"{FAMILY.replace(' ', '')}-{weight_name}"
    for ident, text in [
        (1, full if bold else FAMILY),
        (2, "Regular"),
        (3, f"{postscript};from Inter 4.001"),
        (4, full),
        (5, "Version 4.001; subset, tabular figures"),
        (6, postscript),
        (16, FAMILY),
        (17, weight_name),
    ]:
        names.setName(text, ident, 3, 1, 0x409)
    font["OS/2"].usWeightClass = weight


def make(source, weight_name, weight):
    font = TTFont(source, recalcTimestamp=False)
    tabular_figures(font)
    options = subset.Options()
    options.layout_features = ["kern", "ccmp", "mark"]
    options.name_IDs = [0, 13, 14]
    options.notdef_outline = True
    options.hinting = False
    options.glyph_names = False
    codes = [c for low, high in RANGES for c in range(low, high + 1)] + [ord(c) for c in SINGLE]
    known = font.getBestCmap()
    missing = [f"U+{c:04X}" for c in codes if c not in known]
    print(weight_name, "not in the source:", " ".join(missing) or "nothing")
    tool = subset.Subsetter(options)
    tool.populate(unicodes=[c for c in codes if c in known])
    tool.subset(font)
    rename(font, weight_name, weight)
    font["head"].modified = font["head"].created
    for flavor, ending in [(None, "ttf"), ("woff2", "woff2")]:
        font.flavor = flavor
        path = HERE / f"EndshakeSans-{weight_name}.{ending}"
        font.save(path)
        print(path.name, path.stat().st_size, "bytes")


def main():
    if len(sys.argv) != 2:
        raise SystemExit("usage: subset.py FOLDER_OF_THE_UNPACKED_PACKAGE")
    package = pathlib.Path(sys.argv[1])
    for weight_name, weight in WEIGHTS:
        make(package / "web" / f"Inter-{weight_name}.woff2", weight_name, weight)
    text = (package / "LICENSE.txt").read_text()
    (HERE / "OFL.txt").write_text(text)


main()
