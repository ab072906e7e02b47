"""batten from Python, through ctypes and nothing else: proof that other languages reach the C interface."""
import ctypes as c
import math
import sys

lib = c.CDLL(sys.argv[1])


class Options(c.Structure):
    _fields_ = [("struct_size", c.c_size_t), ("tolerance_px", c.c_double), ("dpi", c.c_double), ("extremes", c.c_int32),
                ("drawing", c.c_int32), ("threads", c.c_int32), ("reserved", c.c_int32)]


class Image(c.Structure):
    _fields_ = [("struct_size", c.c_size_t), ("pixels", c.c_void_p), ("width", c.c_int32), ("height", c.c_int32),
                ("format", c.c_int32), ("stride_bytes", c.c_ssize_t)]


Progress = c.CFUNCTYPE(c.c_int, c.c_void_p, c.c_int32, c.c_double)
Log = c.CFUNCTYPE(None, c.c_void_p, c.c_int32, c.c_char_p)


class Job(c.Structure):
    _fields_ = [("struct_size", c.c_size_t), ("progress", Progress), ("user", c.c_void_p), ("stop", c.c_void_p),
                ("log", Log)]


class Error(c.Structure):
    _fields_ = [("code", c.c_int32), ("message", c.c_char * 256), ("place", c.c_char * 64)]


class Outline(c.Structure):
    _fields_ = [("struct_size", c.c_size_t), ("parent", c.c_int32), ("kind", c.c_int32), ("closed", c.c_int32),
                ("nodes", c.c_size_t), ("sigma_px", c.c_double), ("band_px", c.c_double), ("max_px", c.c_double),
                ("rms_px", c.c_double), ("p95_px", c.c_double), ("worst_x", c.c_double), ("worst_y", c.c_double),
                ("limit_px", c.c_double), ("inside", c.c_int32), ("ink_share", c.c_double), ("why", c.c_char_p)]


lib.batten_options_init.argtypes = [c.POINTER(Options), c.c_size_t]
lib.batten_convert.argtypes = [c.POINTER(Image), c.POINTER(Options), c.POINTER(Job), c.POINTER(c.c_void_p),
                               c.POINTER(Error)]
lib.batten_locate.argtypes = lib.batten_convert.argtypes
lib.batten_convert_located.argtypes = [c.c_void_p] + lib.batten_convert.argtypes[1:]
lib.batten_located_free.argtypes = [c.c_void_p]
lib.batten_outline_count.argtypes = [c.c_void_p]
lib.batten_outline_count.restype = c.c_size_t
lib.batten_outline_at.argtypes = [c.c_void_p, c.c_size_t, c.POINTER(Outline)]
lib.batten_outline_nodes.argtypes = [c.c_void_p, c.c_size_t]
lib.batten_outline_nodes.restype = c.POINTER(c.c_double)
lib.batten_to_svg.argtypes = [c.c_void_p, c.c_char_p, c.c_size_t]
lib.batten_to_svg.restype = c.c_size_t
lib.batten_drawing_free.argtypes = [c.c_void_p]
lib.batten_version.restype = c.c_char_p


def ring(x, y):
    """Grey of a black ring, radii 30 and 60, on white."""
    r = math.hypot(x + 0.5 - 100, y + 0.5 - 100)
    return int(255 * min(1, max(0, max(r - 60, 30 - r) + 0.5)))


size = 200
grey = bytes(ring(x, y) for y in range(size) for x in range(size))
pixels = c.create_string_buffer(grey, len(grey))
image = Image(c.sizeof(Image), c.addressof(pixels), size, size, 0, size)
options, error, drawing = Options(), Error(), c.c_void_p()
lib.batten_options_init(options, c.sizeof(Options))
assert options.tolerance_px == 1 and options.threads == 1

fractions = []
job = Job(c.sizeof(Job), Progress(lambda user, stage, fraction: fractions.append(fraction) or 1), None, None, Log())
assert lib.batten_convert(image, options, job, c.byref(drawing), error) == 0, error.message
assert fractions == sorted(fractions) and fractions[-1] == 1
assert lib.batten_outline_count(drawing) == 2
for i in range(2):
    info = Outline(c.sizeof(Outline))
    assert lib.batten_outline_at(drawing, i, info) and info.nodes == 4 and info.max_px < 1
    node = lib.batten_outline_nodes(drawing, i)
    radius = 30 if info.parent >= 0 else 60
    for k in range(4):
        assert abs(math.hypot(node[6 * k + 2] - 100, node[6 * k + 3] - 100) - radius) < 0.5
text = c.create_string_buffer(lib.batten_to_svg(drawing, None, 0) + 1)
assert lib.batten_to_svg(drawing, text, len(text)) == len(text) - 1 and b"</svg>" in text.value
lib.batten_drawing_free(drawing)

# Pixels once, many tolerances; what the library has to say comes as a log.
located, said = c.c_void_p(), []
job.log = Log(lambda user, level, text: said.append((level, text.decode())))
assert lib.batten_locate(image, options, job, c.byref(located), error) == 0 and located.value, error.message
for tolerance in (0.001, 0.5, 2):
    options.tolerance_px = tolerance
    assert lib.batten_convert_located(located, options, job, c.byref(drawing), error) == 0, error.message
    assert lib.batten_outline_count(drawing) == 2
    lib.batten_drawing_free(drawing)
lib.batten_located_free(located)
assert any(level == 1 and "0.00" in text for level, text in said), said  # finer than any pixel can tell
options.tolerance_px = 1

job.progress = Progress(lambda user, stage, fraction: 0)
assert lib.batten_convert(image, options, job, c.byref(drawing), error) == error.code == 2 and not drawing.value
assert b"cancel" in error.message
print("two outlines of four nodes, by batten", lib.batten_version().decode())
