"""Memory stays flat over 1,000 small calls: converted, fitted, failed, cancelled, written."""

import sys

import batten
import numpy as np

y, x = np.mgrid[0:64, 0:64] + 0.5
disc = (255 * np.clip(np.hypot(x - 32, y - 32) - 19.5, 0, 1)).astype(np.uint8)
turn = np.linspace(0, 2 * np.pi, 200, endpoint=False)
ellipse = np.c_[100 + 80 * np.cos(turn), 80 + 50 * np.sin(turn)]


def resident_kb():
    with open("/proc/self/status") as status:
        return int(next(line for line in status if line.startswith("VmRSS")).split()[1])


def call(count):
    for i in range(count):
        traced = batten.convert(disc, progress=lambda stage, done: None, log=lambda level, text: None)
        batten.to_svg(traced.drawing), batten.to_json(traced), batten.to_pdf(traced.drawing)
        batten.measure(batten.fit([ellipse]).drawing.outlines[0], ellipse)
        [o.cubics for o in traced.drawing.outlines], [o.judged for o in traced.report.outlines]
        for bad in (lambda: batten.convert(disc / 255), lambda: batten.convert(disc, progress=lambda s, f: False),
                    lambda: batten.convert(disc, progress=lambda s, f: 1 / 0),
                    lambda: batten.convert(disc, threads=-1)):
            try:
                bad()
                sys.exit("An error was expected.")
            except (batten.Error, ZeroDivisionError):
                pass


call(200)  # allocators and caches fill
before = resident_kb()
call(1000)
grown = resident_kb() - before
print(f"{grown} kB more after 1,000 rounds, from {before} kB on")
# One drawing that is kept by mistake each time would be 3 MB at least, one array of pixels 4 MB.
sys.exit(grown > 2000)
