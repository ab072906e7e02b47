"""Tracing from Python: the same bytes as the command, callbacks, cancelling, errors, writers.

usage: BATTEN_CLI=PROGRAM BATTEN_DATA=FOLDER python3 trace_test.py
"""

import json
import os
import subprocess
import tempfile
import threading
import time
import unittest
from pathlib import Path
from xml.etree import ElementTree

import batten
import numpy as np

DATA = Path(os.environ["BATTEN_DATA"])
SHEET = DATA / "quombe-sheet.png"


def disc(radius=20, size=64):
    """A black disc on white, grey, its edge spread over one pixel."""
    y, x = np.mgrid[0:size, 0:size] + 0.5
    return (255 * np.clip(np.hypot(x - size / 2, y - size / 2) - radius + 0.5, 0, 1)).astype(np.uint8)


def ellipse(a=100, b=60, count=400, centre=(200, 150)):
    t = np.linspace(0, 2 * np.pi, count, endpoint=False)
    return np.c_[centre[0] + a * np.cos(t), centre[1] + b * np.sin(t)]


class TheSameAsTheCommand(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.scan = batten.read_picture(SHEET)
        cls.traced = batten.convert(cls.scan.pixels, tolerance_px=None, dpi=cls.scan.dpi, threads=2)

    def test_files_are_equal_byte_for_byte(self):
        written = {"svg": batten.to_svg(self.traced.drawing, title=SHEET.stem).encode(),
                   "pdf": batten.to_pdf(self.traced.drawing, title=SHEET.stem),
                   "eps": batten.to_eps(self.traced.drawing, title=SHEET.stem),
                   "json": batten.to_json(self.traced, scan=str(SHEET)).encode()}
        with tempfile.TemporaryDirectory() as folder:
            subprocess.run([os.environ["BATTEN_CLI"], "trace", SHEET, "--tolerance", "auto", "--quiet", "--format",
                            ",".join(written), "--out", f"{folder}/"], check=True)
            for ending, content in written.items():
                self.assertEqual(content, Path(folder, f"{SHEET.stem}.{ending}").read_bytes(), ending)

    def test_figures(self):
        report = self.traced.report
        self.assertEqual(report.segments, sum(len(o) for o in self.traced.drawing.outlines))
        self.assertEqual(report.segments, json.loads(batten.to_json(self.traced))["segments"])
        self.assertEqual(sum(report.nodes_by_reason.values()), sum(len(o.nodes) for o in self.traced.drawing.outlines))
        self.assertEqual(len(report.outlines), len(self.traced.drawing))
        self.assertEqual(len(report.warnings), sum(f.warning for f in report.findings))
        self.assertIn(f"{report.segments} segments", repr(report))
        self.assertEqual(report.within_tolerance, all(o.within_tolerance for o in report.outlines))
        self.assertEqual(report.within_tolerance, json.loads(batten.to_json(self.traced))["within_tolerance"])
        for outline in report.outlines:
            self.assertLessEqual(outline.within_tolerance, outline.max_px <= outline.tolerance_px)

    def test_arrays_of_outlines(self):
        for outline in self.traced.drawing.outlines:
            cubics, nodes = outline.cubics, outline.nodes
            self.assertEqual((cubics.shape, cubics.dtype), ((len(outline), 4, 2), np.float64))
            self.assertEqual(nodes.shape, (len(outline), 3, 2))
            np.testing.assert_array_equal(cubics[:, 3], np.roll(cubics[:, 0], -1, axis=0))
            np.testing.assert_array_equal(cubics[:, 0], nodes[:, 1])
            self.assertEqual(len(outline.reasons), len(outline.smooth))
            self.assertEqual([r == "corner" for r in outline.reasons], list(~outline.smooth))
            again = batten.Outline(cubics)
            np.testing.assert_array_equal(again.cubics, cubics)
            self.assertAlmostEqual(again.area_px2, outline.area_px2, places=9)

    def test_outlives_what_it_came_from(self):
        outline = batten.convert(disc()).drawing.outlines[0]  # nothing else holds the drawing
        np.testing.assert_allclose(np.hypot(*(outline.nodes[:, 1] - 32).T), 20, atol=0.2)
        pixels = batten.read_picture(SHEET).pixels  # nor the picture
        self.assertEqual(int(pixels.sum(dtype=np.int64)), int(self.scan.pixels.sum(dtype=np.int64)))
        with self.assertRaises(ValueError):
            pixels[0, 0] = 0

    def test_glyphs_and_ufo(self):
        sheet = batten.arrange_glyphs(self.traced.drawing, names=["Q", "u", "o", "m", "b", "e", "l1", "l2"])
        self.assertEqual([g.name for g in sheet.glyphs][:3], ["Q", "u", "o"])
        self.assertEqual(sheet.glyphs[0].character, "Q")
        files = batten.to_ufo(self.traced.drawing, sheet, family_name="Try")
        self.assertIn(b"<string>Try</string>", files["fontinfo.plist"])
        with tempfile.TemporaryDirectory() as folder:
            batten.write_folder(f"{folder}/try.ufo", files)
            self.assertEqual(Path(folder, "try.ufo/fontinfo.plist").read_bytes(), files["fontinfo.plist"])

    def test_pictures(self):
        for png in (batten.draw_overlay(self.scan, self.traced.drawing, 1), batten.to_png(self.scan.pixels, 300),
                    batten.draw_overlay(self.scan.pixels, self.traced.drawing, 1)):
            self.assertTrue(png.startswith(b"\x89PNG"))
        self.assertIn(b"</html>", batten.to_proof_page(self.scan, self.traced, scan="sheet"))

    def test_judge_sweep_compare(self):
        located = batten.locate(self.scan.pixels, dpi=self.scan.dpi)
        self.assertEqual(batten.to_svg(batten.convert(located, tolerance_px=None).drawing),
                         batten.to_svg(self.traced.drawing))
        with tempfile.TemporaryDirectory() as folder:
            batten.write_file(f"{folder}/a.svg", batten.to_svg(self.traced.drawing))
            read = batten.read_outlines(f"{folder}/a.svg")
        drawing, how = read.placed_on(self.scan.width, self.scan.height)
        self.assertIn("scan", how)
        judged = batten.judge(located, drawing)
        self.assertEqual(judged.report.segments, self.traced.report.segments)
        self.assertLess(judged.report.max_px, self.traced.report.max_px + 0.1)
        same = batten.compare(drawing, self.traced.drawing)
        self.assertEqual((same.outlines, same.missing, same.extra), (len(drawing), 0, 0))
        self.assertLess(same.max_px, 0.05)  # px; curves are compared as flattened
        swept = batten.sweep(located, batten.spread_tolerances(1, 4, 3))
        segments = [c.report.segments for c in swept.conversions]
        self.assertEqual(segments, sorted(segments, reverse=True))
        self.assertIn("recommended", repr(swept))
        self.assertEqual(len(batten.to_csv(swept).split("\n4")), 2)
        ElementTree.fromstring(batten.to_plot_svg(swept))

    def test_the_lock_is_released(self):
        ticks, done = [], threading.Event()

        def tick():
            while not done.is_set():
                ticks.append(time.monotonic())
                time.sleep(0.005)

        thread = threading.Thread(target=tick)
        thread.start()
        begin = time.monotonic()
        batten.convert(self.scan.pixels)
        seconds = time.monotonic() - begin
        done.set()
        thread.join()
        during = [t for t in ticks if begin < t < begin + seconds]
        self.assertGreater(len(during), 20 * seconds)  # of up to 200 a second

    def test_threads_at_once(self):
        expected, made = batten.to_svg(batten.convert(disc()).drawing), []

        def work():
            for _ in range(5):
                made.append(batten.to_svg(batten.convert(disc()).drawing))

        threads = [threading.Thread(target=work) for _ in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        self.assertEqual(made, [expected] * 20)


class Following(unittest.TestCase):
    def setUp(self):
        self.pixels = batten.read_picture(SHEET).pixels

    def test_progress_and_log(self):
        steps, said = [], []
        traced = batten.convert(self.pixels, progress=lambda stage, done: steps.append((stage, done)),
                                log=lambda level, text: said.append((level, text)))
        fractions = [done for _, done in steps]
        self.assertEqual(fractions, sorted(fractions))
        self.assertEqual(fractions[-1], 1)
        self.assertIn("refine", {stage for stage, _ in steps})
        self.assertEqual(sorted(text for _, text in said), sorted(f.text for f in traced.report.findings))
        self.assertEqual({level for level, _ in said}, {"info", "warning"})

    def test_false_cancels_and_none_does_not(self):
        with self.assertRaises(batten.Cancelled) as caught:
            batten.convert(self.pixels, progress=lambda stage, done: done < 0.3)
        self.assertEqual((caught.exception.code, caught.exception.name), (2, "cancelled"))

    def test_what_a_callback_raises_comes_out(self):
        def fail(stage, done):
            if done > 0.2:
                raise KeyError("mine")

        with self.assertRaisesRegex(KeyError, "mine"):
            batten.convert(self.pixels, progress=fail)

    def test_stop_from_another_thread(self):
        stop = batten.Stop()
        timer = threading.Timer(0.2, stop.request)
        begin = time.monotonic()
        timer.start()
        with self.assertRaises(batten.Cancelled):
            for _ in range(100):  # whatever the machine does, it is not through within 0.2 s
                batten.convert(self.pixels, stop=stop)
        self.assertTrue(stop.requested)
        self.assertLess(time.monotonic() - begin, 5)

    def test_control_c(self):
        code = ("import batten, os, signal, sys, threading\n"
                "pixels = batten.read_picture(sys.argv[1]).pixels\n"
                "threading.Timer(0.3, os.kill, (os.getpid(), signal.SIGINT)).start()\n"
                "try:\n"
                "    while True: batten.convert(pixels)\n"
                "except KeyboardInterrupt: print('interrupted')\n")
        ran = subprocess.run([os.sys.executable, "-c", code, SHEET], capture_output=True, text=True, timeout=60)
        self.assertEqual(ran.stdout, "interrupted\n", ran.stderr)


class Arrays(unittest.TestCase):
    def test_every_layout_that_is_taken_gives_the_same(self):
        grey = disc()
        rgb = np.repeat(grey[:, :, None], 3, axis=2)
        rgba = np.dstack([rgb, np.full_like(grey, 255)])
        wide = np.full((64, 200), 77, np.uint8)
        wide[:, 50:114] = grey
        tall = np.full((128, 64), 77, np.uint8)
        tall[::2] = grey
        frozen = grey.copy()
        frozen.flags.writeable = False
        expected = batten.to_svg(batten.convert(grey).drawing)
        layouts = {"RGB": rgb, "RGBA": rgba, "one channel": grey[:, :, None], "columns in a row": wide[:, 50:114],
                   "every second row": tall[::2], "rows backwards": grey[::-1].copy()[::-1],
                   "16 bits": grey.astype(np.uint16) * 257, "not writeable": frozen,
                   "transposed twice": np.asfortranarray(grey.T).T}
        for name, pixels in layouts.items():
            self.assertEqual(batten.to_svg(batten.convert(pixels).drawing), expected, name)

    def test_no_copy_is_made(self):
        import tracemalloc

        pixels = np.full((3000, 2000), 255, np.uint8)
        pixels[1000:1064, 1000:1064] = disc()
        tracemalloc.start()  # numpy tells it of its arrays
        batten.convert(pixels[::2, 500:1500])
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        self.assertLess(peak, 1500 * 1000 // 10)

    def test_what_is_refused(self):
        grey = disc()
        rgb = np.repeat(grey[:, :, None], 3, axis=2)
        for words, pixels in (("float64", grey / 255), ("bool", grey > 99), ("uint16", grey.astype(">u2")),
                              ("shape", grey[0]), ("shape", rgb[:, :, :2]), ("shape", rgb[None]),
                              ("ascontiguousarray", grey[:, ::2]), ("ascontiguousarray", grey[:, ::-1]),
                              ("ascontiguousarray", rgb[:, :, ::-1]), ("ascontiguousarray", grey.T),
                              ("no pixels", grey[:0])):
            with self.assertRaisesRegex(batten.Error, words) as caught:
                batten.convert(pixels)
            self.assertEqual((caught.exception.code, caught.exception.place), (105, "pixels"))

    def test_channels_in_another_order(self):
        grey = disc()
        rgb = np.stack([grey, grey, np.maximum(grey, 90)], axis=2)
        expected = batten.to_json(batten.convert(rgb))
        bgr = np.ascontiguousarray(rgb[..., ::-1])
        self.assertEqual(batten.to_json(batten.convert(bgr, bgr=True)), expected)
        self.assertEqual(batten.to_json(batten.convert(batten.locate(bgr, bgr=True))), expected)
        self.assertEqual(batten.to_json(batten.sweep(bgr, [1.0], bgr=True).conversions[0]), expected)
        alpha = np.full_like(grey, 255)
        rgba, bgra = (np.dstack([a, alpha]) for a in (rgb, bgr))
        expected = batten.to_json(batten.convert(rgba))
        self.assertEqual(batten.to_json(batten.convert(rgba, premultiplied=True)), expected)
        self.assertEqual(batten.to_json(batten.convert(bgra, bgr=True, premultiplied=True)), expected)
        half = (rgba * [0.5, 0.5, 0.5, 0.5]).astype(np.uint8)  # paper shows through
        self.assertEqual(len(batten.convert(half, premultiplied=True).drawing), 1)

    def test_a_mask_hides_what_lies_under_it(self):
        sheet = np.full((160, 320), 240, np.uint8)
        sheet[48:112, 48:112] = np.minimum(disc(), 240)
        dirty, mask = sheet.copy(), np.ones(sheet.shape, bool)
        dirty[30:130, 200:300], mask[:, 180:] = 20, False
        self.assertEqual(len(batten.convert(dirty).drawing), 2)
        hidden = batten.convert(dirty, mask=mask)
        self.assertEqual(len(hidden.drawing), 1)
        again = batten.convert(dirty[::-1], mask=mask[::-1].astype(np.uint8))
        self.assertEqual(len(again.drawing), 1)
        self.assertEqual(batten.to_json(batten.convert(sheet, mask=mask)), batten.to_json(hidden))
        for wrong in (mask[1:], mask[:, ::2], mask.astype(float), mask.T, 3):
            with self.assertRaises(batten.Error) as raised:
                batten.convert(dirty, mask=wrong)
            self.assertEqual(raised.exception.name, "bad pixels")

    def test_located_loops(self):
        located = batten.locate(disc(radius=24, size=80))
        loops = located.loops
        self.assertEqual(len(loops), 1)
        loop = loops[0]
        np.testing.assert_allclose(np.hypot(*(loop.points - 40).T), 24, atol=0.3)
        self.assertEqual((loop.closed, loop.kind, len(loop)), (True, "filled", len(loop.points)))
        self.assertGreater(loop.sigma_px, 0)
        del located, loops
        fitted = batten.fit([loop], tolerance_px=0.7)  # nothing else holds the points
        self.assertEqual(len(fitted.drawing.outlines[0]), 4)
        self.assertTrue(fitted.report.within_tolerance)
        again = batten.located_loops(fitted)
        self.assertEqual(len(again), 1)
        np.testing.assert_array_equal(again[0].points, fitted.report.outlines[0].located)
        self.assertEqual(again[0].sigma_px, fitted.drawing.outlines[0].sigma_px)
        self.assertEqual(fitted.report.outlines[0].tolerance_px, 0.7)
        self.assertGreater(fitted.report.outlines[0].correlation_px, 0)

    def test_noise_that_is_known(self):
        rng = np.random.default_rng(2)
        sigmas = np.where(np.arange(1600) % 4 == 0, 2.0, 0.1)
        noisy = ellipse(count=1600) + rng.normal(size=(1600, 2)) * sigmas[:, None]
        for given in ([sigmas], [list(sigmas)]):
            made = batten.fit([noisy], sigma_px=given, tolerance_px=0.8)
            self.assertEqual(len(made.drawing.outlines[0]), 4)
        made = batten.fit([ellipse(), ellipse()], sigma_px=[0.3, None], correlation_px=8, tolerance_px=1)
        self.assertAlmostEqual(made.drawing.outlines[0].sigma_px, 0.3)
        self.assertLess(made.drawing.outlines[1].sigma_px, 0.1)
        self.assertAlmostEqual(batten.fit([ellipse()], sigma_px=0.25, correlation_px=9).drawing.outlines[0].sigma_px,
                               0.25)
        for wrong in (-1, [0.1, 0.1], [np.ones(3)], [np.ones((2, 2))]):
            with self.assertRaises(batten.Error):
                batten.fit([ellipse()], sigma_px=wrong)

    def test_polylines(self):
        fitted = batten.fit([ellipse()], tolerance_px=0.5)
        outline = fitted.drawing.outlines[0]
        self.assertEqual(outline.cubics.shape, (4, 4, 2))
        self.assertLess(batten.measure(outline, ellipse()).max_px, 0.1)
        self.assertAlmostEqual(abs(outline.area_px2), np.pi * 100 * 60, delta=10)
        as_lists = batten.fit([ellipse().tolist()], tolerance_px=0.5)
        np.testing.assert_array_equal(as_lists.drawing.outlines[0].cubics, outline.cubics)
        line = np.c_[np.arange(50.0), np.arange(50.0)]
        both = batten.fit([ellipse(), line], closed=[True, False]).drawing.outlines
        self.assertEqual([o.closed for o in both], [True, False])
        np.testing.assert_allclose(both[1].nodes[[0, -1], 1], line[[0, -1]], atol=1e-12)
        self.assertEqual(batten.deviation_along(outline, ellipse())[0][0].__class__, float)
        for bad in ([ellipse().T], [ellipse()[:, :1]], ["text"], [[[0, 0], [1, 1]]]):
            with self.assertRaises(batten.Error) as caught:
                batten.fit(bad)
            self.assertEqual(caught.exception.name, "bad polyline")
        with self.assertRaises(batten.Error):
            batten.fit([ellipse(), line], closed=[True])
        with self.assertRaisesRegex(batten.Error, "begins where"):
            batten.Outline(outline.cubics[:2])


class Places(unittest.TestCase):
    def test_two_circles_a_million_px_apart_take_little_memory(self):
        code = ("import batten, numpy as np\n"
                "peak = lambda: int(next(l for l in open('/proc/self/status') if l.startswith('VmHWM')).split()[1])\n"
                "t = np.linspace(0, 2 * np.pi, 600, endpoint=False)\n"
                "circle = lambda x, y: np.c_[x + 50 * np.cos(t), y + 50 * np.sin(t)]\n"
                "before = peak()\n"
                "fitted = batten.fit([circle(100, 100), circle(1000100, 1000100)])\n"
                "print(fitted.report.segments, (peak() - before) / 1000)\n")
        segments, grown_mb = subprocess.run([os.sys.executable, "-c", code], capture_output=True, text=True,
                                            check=True).stdout.split()
        self.assertEqual(int(segments), 8)
        self.assertLess(float(grown_mb), 50)

    def test_the_box_follows(self):
        drawing = batten.fit([ellipse(centre=(-500, 70))]).drawing
        self.assertEqual((drawing.origin, drawing.width_px, drawing.height_px), ((-600, 0), 200, 130))
        self.assertIn('viewBox="-600 0 200 130"', batten.to_svg(drawing))
        self.assertEqual(json.loads(batten.to_json(batten.fit([ellipse(centre=(-500, 70))])))["origin"], [-600, 0])

    def test_a_line_is_no_outline(self):
        line = np.c_[np.arange(200.0), 50 + 30 * np.sin(np.arange(200) / 60)]
        findings = batten.fit([line]).report.findings
        self.assertIn("closed by a straight", [f.what for f in findings])
        self.assertEqual(batten.fit([line], closed=False).report.findings, [])


class Errors(unittest.TestCase):
    def test_number_sentence_and_place(self):
        with self.assertRaises(batten.Error) as caught:
            batten.convert(disc(), tolerance_px=-1)
        error = caught.exception
        self.assertEqual((error.code, error.name, error.place), (1, "bad option", "tolerance_px"))
        self.assertIn("tolerance", error.message)
        self.assertIn(error.message, str(error))
        with self.assertRaises(batten.Error) as caught:
            batten.convert(np.full((50, 50), 255, np.uint8))
        self.assertEqual(caught.exception.name, "no ink found")
        with self.assertRaises(batten.Error) as caught:
            batten.read_picture("/no/such/file.png")
        self.assertEqual(caught.exception.code, 100)
        with self.assertRaises(batten.Error) as caught:
            batten.write_file("/no/such/folder/file.svg", "text")
        self.assertEqual(caught.exception.code, 400)

    def test_options(self):
        options = batten.Options(tolerance_px=2, straighten=("axes", "widths"), drawing="filled")
        self.assertEqual(options.straighten, ("axes", "widths"))
        self.assertEqual(options.replace(tolerance_px=None).tolerance_px, None)
        self.assertEqual(eval(repr(options)), options)
        self.assertNotEqual(options, batten.Options())
        self.assertEqual(batten.Options(straighten=False).straighten, ())
        self.assertEqual(len(batten.Options(straighten=True).straighten), 5)
        self.assertEqual(batten.to_svg(batten.convert(disc(), options).drawing),
                         batten.to_svg(batten.convert(disc(), tolerance_px=2, straighten=["axes", "widths"],
                                                      drawing="filled").drawing))
        with self.assertRaisesRegex(TypeError, "unexpected keyword argument 'tolerence_px'"):
            batten.convert(disc(), tolerence_px=2)
        with self.assertRaisesRegex(TypeError, "threads is a whole number, not str"):
            batten.Options(threads="two")
        with self.assertRaisesRegex(batten.Error, '"automatic", "outlined", "filled" or "lines"'):
            batten.Options(drawing="engraved")


class Pins(unittest.TestCase):
    def test_a_node_where_none_was(self):
        place = (200 + 100 * np.cos(0.7), 150 - 60 * np.sin(0.7))
        off = lambda c: min(np.hypot(*(c.drawing.outlines[0].nodes[:, 1] - place).T))
        self.assertGreater(off(batten.fit([ellipse()])), 10)
        made = batten.fit([ellipse()], pins=[{"pin": "node", "at": place, "turn": "smooth"}])
        self.assertLess(off(made), 1e-2)
        self.assertEqual([p.held for p in made.report.pins], [True])
        self.assertIn("Pin 1 (node)", made.report.pins[0].text)

    def test_options_keep_them(self):
        pins = [{"pin": "share x", "places": [[1.0, 2.0], [3.0, 4.0]]}, {"pin": "corner", "at": [5.0, 6.0]}]
        options = batten.Options(pins=pins)
        self.assertEqual(options.pins, pins)
        self.assertEqual(options, batten.Options(pins=pins))
        self.assertNotEqual(options, batten.Options())
        self.assertEqual(batten.Options().pins, [])

    def test_wrong_ones_are_refused(self):
        for pins in ([{"pin": "mood"}], [{"pin": "corner"}], [7], [{"pin": "corner", "at": [1, float("nan")]}]):
            with self.assertRaises(batten.Error):
                batten.Options(pins=pins)
        for pins in ("corner", 7):
            with self.assertRaises(TypeError):
                batten.Options(pins=pins)

    def test_contradictions_and_files(self):
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder, "pins.json")
            path.write_text(json.dumps({"batten_pins": 1, "unit": "mm", "pins": [
                {"pin": "corner", "at": [25.4, 12.7]}, {"pin": "not a corner", "at": [25.4, 12.7]}]}))
            pins = batten.read_pins(path, dpi=300)
            self.assertEqual(pins[0], {"pin": "corner", "at": [300.0, 150.0]})
            with self.assertRaises(batten.Error):
                batten.read_pins(path)
        made = batten.fit([ellipse()], pins=pins)
        self.assertEqual([p.against for p in made.report.pins], [[1], [0]])


if __name__ == "__main__":
    unittest.main()
