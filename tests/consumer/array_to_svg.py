import batten
import numpy as np

y, x = np.mgrid[0:300, 0:400] + 0.5
distance = np.abs(np.hypot((x - 200) / 1.5, y - 150) - 90)  # a ring, drawn with a broad line
pixels = (255 * np.clip((distance - 4) / 2, 0, 1)).astype(np.uint8)
traced = batten.convert(pixels, tolerance_px=1.0)
batten.write_file("ring.svg", batten.to_svg(traced.drawing))
print(traced.report)
print(traced.drawing.outlines[0].cubics.shape)  # (segments, 4, 2), px
