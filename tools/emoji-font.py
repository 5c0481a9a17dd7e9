#!/usr/bin/env python3
"""Makes fonts/emoji.ttf.z: the emoji that come with the command, in black.

    python3 -m pip install fonttools
    npm pack @expo-google-fonts/noto-emoji    # version 0.4.7
    tools/emoji-font.py package/400Regular/NotoEmoji_400Regular.ttf fonts/emoji.ttf.z

What is kept: every emoji of one character, keycaps, and the letters that flags are written with. What is
left out: glyphs for whole sequences. A flag comes out as its letters, a sequence that a joiner holds
together as its parts, so that nothing of it is lost, and a tone of skin behind a figure as nothing, because
black has no tones; one that stands alone keeps its glyph.

What is changed so that it weighs little: outlines stand on a grid of 1/300 em, points that lie on a
straight line or where two curves meet anyway are left out, and the file is compressed (zlib). Glyphs are
as much smaller as it takes to stand between the tops of capitals and the usual descent: a line with
emoji is no higher than one without.
"""

import io
import sys
import zlib

from fontTools import subset
from fontTools.feaLib.builder import addOpenTypeFeaturesFromString
from fontTools.pens.cu2quPen import Cu2QuPen
from fontTools.pens.qu2cuPen import Qu2CuPen
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont
from fontTools.ttLib.tables._g_l_y_f import GlyphCoordinates

UNITS_PER_EM = 300
"""Of the new font."""

SCALE = 1 / 8
"""New units in a unit of the old font, which has 2048 in an em."""

JOINER, SELECTOR, KEYCAP = 0x200D, 0xFE0F, 0x20E3
TONES = range(0x1F3FB, 0x1F400)
LETTERS = range(0x1F1E6, 0x1F200)
TAG_A = 0xE0061
"""The first of the letters that stand behind a black flag and say whose it is, such as that of Wales."""
KEYS = "#*0123456789"
FLAG_GAP = 25
"""White beside the letters of a flag, in new units."""


def read_sequences(font):
    """The sequences that the old font has glyphs for, as lists of glyph names, with those glyphs."""
    for lookup in font["GSUB"].table.LookupList.Lookup:
        for table in lookup.SubTable:
            table = getattr(table, "ExtSubTable", table)
            for first, ligatures in getattr(table, "ligatures", {}).items():
                for ligature in ligatures:
                    yield [first, *ligature.Component], ligature.LigGlyph


def refit(font):
    """Draws all outlines anew with as few points as the new grid can tell, in old units."""
    drawn, redrawn = font.getGlyphSet(), {}
    table = font["glyf"]
    for name in font.getGlyphOrder():
        if table[name].numberOfContours:
            whole, pen = DecomposingRecordingPen(drawn), TTGlyphPen(None)
            drawn[name].draw(whole)
            whole.replay(Qu2CuPen(Cu2QuPen(pen, 6), 5, all_cubic=True))
            redrawn[name] = pen.glyph()
    for name, glyph in redrawn.items():
        table[name] = glyph


def shrink_glyph(glyph, table):
    """Brings a glyph to the new grid, without points that fall on their neighbours."""
    coordinates, ends, flags = glyph.getCoordinates(table)[:3]
    points, new_ends, start = [], [], 0
    for end in ends:
        contour = [
            (round(x * SCALE), round(y * SCALE), flag & 1)
            for (x, y), flag in zip(coordinates[start : end + 1], flags[start : end + 1])
        ]
        start = end + 1
        contour = [point for at, point in enumerate(contour) if point != contour[at - 1]]
        if len(contour) > 2:
            points += contour
            new_ends.append(len(points) - 1)
    glyph.numberOfContours = len(new_ends)
    glyph.coordinates = GlyphCoordinates([(x, y) for x, y, _ in points])
    glyph.flags = bytearray(on for _, _, on in points)
    glyph.endPtsOfContours = new_ends
    glyph.recalcBounds(table)


def main(old_path, new_path):
    """Reads the old font and writes the new one."""
    old = TTFont(old_path)
    names = {glyph: code for code, glyph in old.getBestCmap().items()}
    tone_names = {old.getBestCmap()[code] for code in TONES}
    sequences = list(read_sequences(old))
    figures = {
        names[first]
        for (first, *rest), _ in sequences
        if first in names and tone_names.intersection(rest)
    }
    kept = [code for code in old.getBestCmap() if code >= 0xA9 and code not in (JOINER, SELECTOR)]

    options = subset.Options()
    options.layout_features = []
    options.layout_closure = False
    options.hinting = False
    options.notdef_outline = False
    options.glyph_names = True
    options.name_IDs = [0, 1, 2, 4, 5, 6, 13, 14]
    options.drop_tables += ["STAT", "vhea", "vmtx", "gasp", "GSUB", "DSIG"]
    keycaps = keycap_glyphs(old, sequences)
    subsetter = subset.Subsetter(options)
    subsetter.populate(unicodes=[*kept, *map(ord, KEYS)], glyphs=list(keycaps.values()))
    subsetter.subset(old)
    shrink(old, names)
    add_rules(old, figures, keycaps)
    bytes_ = io.BytesIO()
    old["post"].formatType = 3.0
    old.recalcTimestamp = False
    old.save(bytes_)
    data = bytes_.getvalue()
    with open(new_path, "wb") as file:
        file.write(zlib.compress(data, 9))
    print(len(kept), "characters,", len(data), "bytes,", len(zlib.compress(data, 9)), "compressed")


def keycap_glyphs(font, sequences):
    """The glyph of each keycap by its key."""
    cmap = font.getBestCmap()
    known = {}
    for parts, glyph in sequences:
        for key in KEYS:
            if parts[0] == cmap[ord(key)] and cmap[KEYCAP] in parts:
                known[key] = glyph
    return known


def shrink(font, names):
    """Brings all glyphs and measures to the new grid."""
    refit(font)
    table = font["glyf"]
    for name in font.getGlyphOrder():
        glyph = table[name]
        advance, _ = font["hmtx"][name]
        advance = round(advance * SCALE)
        if glyph.numberOfContours:
            shrink_glyph(glyph, table)
            if names.get(name) in LETTERS:
                glyph.coordinates.translate((FLAG_GAP - glyph.xMin, 0))
                glyph.recalcBounds(table)
                advance = glyph.xMax + FLAG_GAP
        font["hmtx"][name] = (advance, getattr(glyph, "xMin", 0))
    font["head"].unitsPerEm = UNITS_PER_EM
    for table, fields in {
        "hhea": ["ascent", "descent", "lineGap"],
        "OS/2": ["sTypoAscender", "sTypoDescender", "sTypoLineGap", "usWinAscent", "usWinDescent"],
    }.items():
        for field in fields:
            setattr(font[table], field, round(getattr(font[table], field) * SCALE))
    # Those of Noto Sans, beside whose capitals the glyphs stand.
    font["OS/2"].sCapHeight = round(0.714 * UNITS_PER_EM)
    font["OS/2"].sxHeight = round(0.536 * UNITS_PER_EM)


def add_rules(font, figures, keycaps):
    """Adds what becomes of tones and of keycaps."""
    cmap = font.getBestCmap()
    for table in font["cmap"].tables:
        table.cmap = dict(table.cmap)
    glyphs = font["glyf"]
    none = "none"
    glyphs[none] = TTGlyphPen(None).glyph()
    font["hmtx"][none] = (0, 0)
    tags = {}
    for letter, code in zip(range(26), LETTERS):
        tags[TAG_A + letter] = name = f"tag{letter}"
        glyphs[name] = TTGlyphPen(None).glyph()
        font["hmtx"][name] = (0, 0)
    for table in font["cmap"].tables:
        if table.isUnicode():
            table.cmap[SELECTOR] = none
            table.cmap[JOINER] = none
            # In the small table of the basic plane there is no room for them.
            table.cmap.update(tags if table.format == 12 else {})
    tones = " ".join(cmap[code] for code in TONES)
    bases = " ".join(cmap[code] for code in sorted(figures) if code in cmap)
    rules = "".join(
        f"  sub {cmap[ord(key)]} {cmap[KEYCAP]} by {glyph};\n"
        f"  sub {cmap[ord(key)]} {none} {cmap[KEYCAP]} by {glyph};\n"
        for key, glyph in keycaps.items()
    )
    letters = "".join(
        f"  sub {name} by {cmap[LETTERS[0] + code - TAG_A]};\n" for code, name in tags.items()
    )
    addOpenTypeFeaturesFromString(
        font,
        f"languagesystem DFLT dflt;\nlookup TONE {{\n  sub [{tones}] by {none};\n}} TONE;\n"
        f"feature ccmp {{\n  lookup KEYS {{\n{rules}  }} KEYS;\n  lookup FIGURES {{\n"
        f"  sub [{bases}] [{tones}]' lookup TONE;\n"
        f"  sub [{bases}] {none} [{tones}]' lookup TONE;\n  }} FIGURES;\n"
        f"  lookup TAGS {{\n{letters}  }} TAGS;\n}} ccmp;\n",
    )


if __name__ == "__main__":
    main(*sys.argv[1:])
