"""Renders one drawing from its SVG, PDF, EPS, JSON and UFO by programs outside the project and compares the pictures.

usage: formats_agree.py FOLDER NAME [--side-by-side FILE.png]

FOLDER holds NAME.svg, NAME.pdf, NAME.eps, NAME.json and NAME.ufo of one trace. librsvg paints the SVG, poppler the PDF,
Ghostscript the EPS; JSON and UFO are read here and in fontTools' ufoLib (which validates), and painted by cairo. Prints
one line for each pair and ends with status 1 where a picture differs by more than anti-aliasing.
"""

import argparse
import json
import math
import subprocess
import sys
from pathlib import Path

import cairo
import numpy
import ufoLib2
from fontTools.pens.basePen import BasePen

# Each program lays its own samples into a pixel (Ghostscript 4 x 4, which rounds an edge to a quarter); PDF and EPS
# hold coordinates to 1/256 point. So pictures may differ by a fraction of one pixel along edges, and nowhere else.
MEAN_EDGE_SHIFT_PX = 0.1
LARGEST_DIFFERENCE = 0.5


def run(*command):
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True)
    if done.returncode:
        sys.exit(f"{command[0]} failed: {done.stderr or done.stdout}")


def ink_of_png(path):
    """Black laid over white as 0..1 of ink per pixel."""
    surface = cairo.ImageSurface.create_from_png(str(path))
    pixels = numpy.ndarray((surface.get_height(), surface.get_stride() // 4, 4), numpy.uint8, surface.get_data())
    pixels = pixels[:, : surface.get_width(), 1].astype(float)  # the green of blue, green, red, alpha
    return 1 - pixels / 255


class Canvas:
    """A white sheet of the drawing's pixels."""

    def __init__(self, width, height):
        self.surface = cairo.ImageSurface(cairo.FORMAT_RGB24, width, height)
        self.context = cairo.Context(self.surface)
        self.context.set_antialias(cairo.ANTIALIAS_BEST)
        self.context.set_source_rgb(1, 1, 1)
        self.context.paint()
        self.context.set_source_rgb(0, 0, 0)

    def save(self, path):
        self.surface.write_to_png(str(path))


def paint_json(document, path):
    canvas = Canvas(round(document["width_px"]), round(document["height_px"]))
    for outline in document["outlines"]:
        nodes = outline["nodes"]
        canvas.context.move_to(*nodes[0]["at"])
        for a, b in zip(nodes, nodes[1:] + nodes[:1]):
            canvas.context.curve_to(*a["handle_after"], *b["handle_before"], *b["at"])
        canvas.context.close_path()
    canvas.context.fill()
    canvas.save(path)


class CairoPen(BasePen):
    """Draws a glyph into a context whose matrix places it."""

    def __init__(self, glyphs, context):
        super().__init__(glyphs)
        self._moveTo = lambda p: context.move_to(*p)
        self._lineTo = lambda p: context.line_to(*p)
        self._curveToOne = lambda a, b, c: context.curve_to(*a, *b, *c)
        self._closePath = context.close_path


def box_of(document, members):
    """left, top, right, bottom of the nodes; the extremes of the curves are among them to a fraction of a pixel."""
    points = [node["at"] for i in members for node in document["outlines"][i]["nodes"]]
    xs, ys = zip(*points)
    return min(xs), min(ys), max(xs), max(ys)


def node_box(glyph):
    xs, ys = zip(*[(p.x, p.y) for contour in glyph for p in contour.points if p.segmentType])
    return min(xs), min(ys), max(xs), max(ys)


def match(document, font):
    """Each glyph's outlines in the JSON: those with the same numbers of nodes, contour for contour."""
    free = list(range(len(document["outlines"])))
    scale = float(font.info.note.split("One unit is ")[1].split()[0])
    for name in font.lib["public.glyphOrder"]:
        members = []
        for contour in font[name]:
            count = sum(1 for p in contour.points if p.segmentType)
            xs = [p.x for p in contour.points if p.segmentType]
            width = (max(xs) - min(xs)) * scale
            best = min(
                (i for i in free if len(document["outlines"][i]["nodes"]) == count),
                key=lambda i: abs(box_of(document, [i])[2] - box_of(document, [i])[0] - width),
            )
            members.append(best)
            free.remove(best)
        yield name, members
    if free:
        sys.exit(f"outlines {free} are in no glyph")


def paint_ufo(document, folder, path):
    font = ufoLib2.Font.open(folder, lazy=False, validate=True)
    canvas = Canvas(round(document["width_px"]), round(document["height_px"]))
    px_per_unit = float(font.info.note.split("One unit is ")[1].split()[0])
    for name, members in match(document, font):
        left, _, _, bottom = box_of(document, members)
        x0, y0, _, _ = node_box(font[name])
        canvas.context.save()
        canvas.context.translate(left - x0 * px_per_unit, bottom + y0 * px_per_unit)
        canvas.context.scale(px_per_unit, -px_per_unit)
        font[name].draw(CairoPen(font, canvas.context))
        canvas.context.restore()
        canvas.context.fill()
    canvas.save(path)


def edge_length(ink):
    """px of edge in the picture: its total variation (exact for straight edges, good to a few per cent else)."""
    return float(numpy.hypot(*numpy.gradient(ink)).sum())


def paint_all(folder, name, document):
    width, height = round(document["width_px"]), round(document["height_px"])
    dpi = document["dpi"] or 96
    png = {kind: folder / f"{name}-{kind}.png" for kind in ("svg", "pdf", "eps", "json", "ufo")}
    run("rsvg-convert", "--background-color=white", "-w", width, "-h", height, "-o", png["svg"], folder / f"{name}.svg")
    run("pdftocairo", "-png", "-singlefile", "-scale-to-x", width, "-scale-to-y", height, folder / f"{name}.pdf",
        png["pdf"].with_suffix(""))
    # PostScript paints every (sub)pixel that a shape touches, which widens it by an eighth of a pixel here; a fill
    # adjustment of 0 paints those whose centre lies within, as the other programs do.
    run("gs", "-q", "-dSAFER", "-dBATCH", "-dNOPAUSE", "-dFIXEDMEDIA", "-sDEVICE=png16m", "-dGraphicsAlphaBits=4",
        f"-r{dpi}", f"-g{width}x{height}", "-o", png["eps"], "-c", "0 0 .setfilladjust2", "-f", folder / f"{name}.eps")
    paint_json(document, png["json"])
    paint_ufo(document, folder / f"{name}.ufo", png["ufo"])
    return png


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("folder", type=Path)
    parser.add_argument("name")
    parser.add_argument("--side-by-side", type=Path)
    arguments = parser.parse_args()
    document = json.loads((arguments.folder / f"{arguments.name}.json").read_text())
    pictures = paint_all(arguments.folder, arguments.name, document)
    inks = {kind: ink_of_png(path) for kind, path in pictures.items()}
    reference, agree = inks["json"], True
    if edge_length(reference) < 100:
        sys.exit("next to nothing was drawn")
    for kind, ink in inks.items():
        if ink.shape != reference.shape:
            sys.exit(f"{kind} is {ink.shape}, json is {reference.shape}")
        difference = numpy.abs(ink - reference)
        shift, worst = difference.sum() / edge_length(reference), difference.max()
        good = shift <= MEAN_EDGE_SHIFT_PX and worst <= LARGEST_DIFFERENCE
        agree &= bool(good)
        print(f"{kind}: edges {shift:.4f} px apart on average, largest difference of a pixel {worst:.3f}"
              f"{'' if good else '  <- TOO MUCH'}")
    if arguments.side_by_side:
        height, width = reference.shape
        columns = 3
        sheet = Canvas(width * columns, height * math.ceil(len(pictures) / columns))
        for i, path in enumerate(pictures.values()):
            sheet.context.set_source_surface(cairo.ImageSurface.create_from_png(str(path)), width * (i % columns),
                                             height * (i // columns))
            sheet.context.paint()
        sheet.save(arguments.side_by_side)
    sys.exit(0 if agree else 1)


main()
