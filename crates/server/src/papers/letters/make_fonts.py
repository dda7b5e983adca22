#!/usr/bin/env python3
"""Make the small fonts that the tests of letters look for letters in.

    pip install fonttools==4.68.0
    python3 make_fonts.py

Every letter is the same upright bar: the fonts show that a letter is found, not how it looks. Their
names are invented.
"""

import pathlib

from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen

HERE = pathlib.Path(__file__).resolve().parent
INSTALLABLE, RESTRICTED = 0x0000, 0x0002  # OS/2 fsType, OpenType 1.9


def bar():
    pen = TTGlyphPen(None)
    pen.moveTo((100, 0))
    pen.lineTo((100, 700))
    pen.lineTo((300, 700))
    pen.lineTo((300, 0))
    pen.closePath()
    return pen.glyph()


def font(family, letters, rights):
    names = [".notdef"] + [f"u{ord(letter):X}" for letter in letters]
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder(names)
    builder.setupCharacterMap({ord(letter): name for letter, name in zip(letters, names[1:])})
    builder.setupGlyf({name: bar() for name in names})
    builder.setupHorizontalMetrics({name: (400, 100) for name in names})
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable({"familyName": family, "styleName": "Regular", "psName": family.replace(" ", "") + "-Regular"})
    builder.setupOS2(sTypoAscender=800, sTypoDescender=-200, usWinAscent=800, usWinDescent=200, usWeightClass=400, fsType=rights)
    builder.setupPost()
    builder.font["head"].created = builder.font["head"].modified = 3_850_000_000
    builder.font.recalcTimestamp = False
    builder.save(HERE / (family.lower().replace(" ", "-") + ".ttf"))


font("Bars East", "李明ア한", INSTALLABLE)
font("Bars South", "ก李", INSTALLABLE)
font("Bars Locked", "李明ア한กअ", RESTRICTED)
