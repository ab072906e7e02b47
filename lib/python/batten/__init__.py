"""Turns scanned pencil drawings into outlines of few cubic Bezier segments.

    import batten
    scan = batten.read_picture("scan.png")
    traced = batten.convert(scan.pixels, tolerance_px=1, dpi=scan.dpi)
    batten.write_file("scan.svg", batten.to_svg(traced.drawing))

Lengths are px of the scan; x runs right, y runs DOWN; (0, 0) is the outer corner of the first pixel, so that its centre
is (0.5, 0.5). What is returned never changes, and any number of threads may use it. Errors are raised as batten.Error.
"""

from . import _batten
from ._batten import *  # noqa: F401,F403  (the names that __all__ lists)
from ._batten import __version__
from ._error import Cancelled, Error

__all__ = sorted([name for name in vars(_batten) if not name.startswith("_")] + ["Cancelled", "Error", "__version__"])

# Their home is this package: what help() and messages show.
for _name in __all__:
    if isinstance(globals()[_name], type):
        globals()[_name].__module__ = __name__
del _name
