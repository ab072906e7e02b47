"""What a program outside the project (fontTools' ufoLib, which validates as it reads) finds in a UFO, as JSON.

usage: ufo_says.py FOLDER.ufo
"""

import json
import sys

import ufoLib2
from fontTools.misc.filenames import userNameToFileName
from fontTools.pens.areaPen import AreaPen
from fontTools.ufoLib import UFOReader

path = sys.argv[1]
reader = UFOReader(path, validate=True)
font = ufoLib2.Font.open(path, lazy=False, validate=True)
files, taken = reader.getGlyphSet(validateRead=True, validateWrite=True).contents, set()
glyphs = {}
for name in font.lib["public.glyphOrder"]:
    glyph = font[name]
    areas = []
    for contour in glyph:
        pen = AreaPen(font)
        if not contour.open:
            contour.draw(pen)
        areas.append(pen.value)  # positive: counter-clockwise where y runs up
    expected = userNameToFileName(name, existing=taken, suffix=".glif")
    taken.add(expected.lower())
    glyphs[name] = {
        "unicodes": glyph.unicodes,
        "width": glyph.width,
        "bounds": glyph.getControlBounds(font),
        "areas": areas,
        "file": files[name],
        "file_expected": expected,
        "points": [[[p.x, p.y, p.segmentType, p.smooth] for p in contour] for contour in glyph],
    }
info = font.info
print(json.dumps({
    "formatVersion": reader.formatVersion,
    "family": info.familyName,
    "style": info.styleName,
    "unitsPerEm": info.unitsPerEm,
    "ascender": info.ascender,
    "descender": info.descender,
    "xHeight": info.xHeight,
    "capHeight": info.capHeight,
    "layers": [layer.name for layer in font.layers],
    "glyphs": glyphs,
}))
