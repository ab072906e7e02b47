"""The cells of a notebook: a scan, its outlines and their nodes, drawn with matplotlib.

usage: notebook.py SCAN PICTURE.png
"""

# %% Trace
import sys

import batten
import numpy as np

scan = batten.read_picture(sys.argv[1])
traced = batten.convert(scan.pixels, tolerance_px=None, dpi=scan.dpi)
print(traced)

# %% Draw
try:
    import matplotlib
except ImportError:
    print("Skipped: matplotlib is not installed.")
    sys.exit(0)
matplotlib.use("Agg")  # a file rather than a window
from matplotlib import pyplot as plt
from matplotlib.patches import PathPatch
from matplotlib.path import Path


def path_of(outline):
    """The segments as matplotlib has them: a first place, then two handles and a place for each cubic."""
    cubics = outline.cubics
    points = np.concatenate([cubics[:1, 0], cubics[:, 1:].reshape(-1, 2)])
    return Path(points, [Path.MOVETO] + [Path.CURVE4] * (len(points) - 1))


def compound(drawing):
    """Shapes with their counters as one path: the rule of filling leaves the counters open."""
    return Path.make_compound_path(*[path_of(o) for o in drawing.outlines if o.closed])


figure, axes = plt.subplots(figsize=(scan.width / 150, scan.height / 150))
axes.imshow(scan.pixels, cmap="gray", vmin=0, vmax=255, extent=(0, scan.width, scan.height, 0), alpha=0.4)
axes.add_patch(PathPatch(compound(traced.drawing), facecolor="#3366cc40", edgecolor="#3366cc"))
for outline in traced.drawing.outlines:
    nodes = outline.nodes
    axes.plot(nodes[:, :, 0].T, nodes[:, :, 1].T, color="#999999", linewidth=0.6)  # handles
    axes.plot(nodes[:, 1, 0], nodes[:, 1, 1], "o", color="#cc3333", markersize=3)
axes.set_title(f"{traced.report.segments} segments, rms {traced.report.rms_px:.2f} px")
figure.savefig(sys.argv[2], dpi=100)
print("Drawn:", sys.argv[2])
