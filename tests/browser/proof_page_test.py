"""The proof in a real browser: Debian's chromium, headless, driven by python3-selenium through chromium-driver.

Usage: proof_page_test.py BATTEN DATA_FOLDER. Makes its pages with the command line tool in a folder of its own.
"""
import base64
import csv
import io
import json
import os
import subprocess
import sys
import tempfile
import time
import unittest

from PIL import Image, ImageChops, ImageStat
from selenium import webdriver
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

BATTEN, DATA = sys.argv[1:3]


def start(folder):
    options = webdriver.ChromeOptions()
    for flag in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run",
                 "--user-data-dir=" + os.path.join(folder, "profile")):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    options.binary_location = "/usr/bin/chromium"
    return webdriver.Chrome(service=Service("/usr/bin/chromedriver"), options=options)


class ProofPage(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.temporary = tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
        folder = cls.temporary.name
        cls.page = os.path.join(folder, "sheet.html")
        cls.swept = os.path.join(folder, "sweep.html")
        cls.report_file = os.path.join(folder, "sheet.json")
        sheet = os.path.join(DATA, "quombe-sheet.png")
        subprocess.run([BATTEN, "trace", sheet, "--quiet", "--out", os.path.join(folder, "s.svg"), "--proof", cls.page,
                        "--report", cls.report_file], check=True)
        # Free: an extreme that has to have a node may be shallower than the corners beside it move between tolerances.
        table = os.path.join(folder, "s.csv")
        subprocess.run([BATTEN, "sweep", sheet, "--quiet", "--crop", "90,100,420,420", "--tolerance", "1px..6px",
                        "--steps", "4", "--extremes", "free", "--out", table, "--proof", cls.swept], check=True)
        with open(table, encoding="utf-8") as file:
            rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
            cls.swept_segments = [int(row["segments"]) for row in rows]
            # A letter that the edge of the part cuts is an open line: it has two ends and one node more than segments.
            cls.swept_nodes = [int(row["segments"]) + int(row["line_end"]) // 2 for row in rows]
        with open(cls.report_file, encoding="utf-8") as file:
            cls.report = json.load(file)
        cls.driver = start(folder)

    @classmethod
    def tearDownClass(cls):
        cls.driver.quit()
        cls.temporary.cleanup()

    def open(self, page=None, width=1280, height=900):
        self.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride",
                                    {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 600})
        for log in ("browser", "performance"):
            self.driver.get_log(log)
        self.driver.get("file://" + (page or self.page))
        end = time.time() + 20
        while self.run_script("return document.documentElement.dataset.ready") != "yes":
            self.assertLess(time.time(), end, "the page never became ready")
            time.sleep(0.05)

    def run_script(self, code, *arguments):
        return self.driver.execute_script(code, *arguments)

    def one(self, selector):
        return self.driver.find_element(By.CSS_SELECTOR, selector)

    def pixels(self):
        """Share of the drawing's pixels that each mark's own colour takes, from a screenshot."""
        png = base64.b64decode(self.one("#sheet").screenshot_as_base64)
        image = Image.open(io.BytesIO(png)).convert("RGB")
        total = image.width * image.height

        def share(mask):
            return mask.histogram()[255] / total

        def near(colour, most=45):
            off = ImageChops.difference(image, Image.new("RGB", image.size, colour)).split()
            largest = ImageChops.lighter(ImageChops.lighter(off[0], off[1]), off[2])
            return share(largest.point(lambda v: 255 if v <= most else 0))

        colours = {"edge": (0, 112, 107), "spot": (184, 51, 12), "handle": (91, 58, 134)}
        shares = {name: near(colour) for name, colour in colours.items()}
        shares["dark"] = near((70, 70, 70), 60)
        shares["mean"] = sum(ImageStat.Stat(image).mean)
        return shares

    def set_range(self, selector, value):
        self.run_script("const e = document.querySelector(arguments[0]); e.value = arguments[1];"
                        "e.dispatchEvent(new Event('input', {bubbles: true}));", selector, value)

    def toggle(self, layer):
        self.one(f"#show-{layer}").click()

    def test_loads_without_errors_and_without_requests(self):
        for page in (self.page, self.swept):
            self.open(page)
            self.assertEqual([e for e in self.driver.get_log("browser") if e["level"] != "INFO"], [])
            asked = []
            for entry in self.driver.get_log("performance"):
                message = json.loads(entry["message"])["message"]
                if message["method"] == "Network.requestWillBeSent":
                    asked.append(message["params"]["request"]["url"])
            self.assertEqual([u for u in asked if not u.startswith("data:") and u != "file://" + page], [])

    def test_shows_every_node_of_the_report(self):
        self.open()
        nodes = sum(len(outline["nodes"]) for outline in self.report["outlines"])
        self.assertEqual(len(self.driver.find_elements(By.CSS_SELECTOR, ".node")), nodes)
        rows = self.driver.find_elements(By.CSS_SELECTOR, "#table tbody tr")
        self.assertEqual(len(rows), len(self.report["outlines"]))

    def test_the_slider_changes_the_opacity(self):
        self.open()
        opacity = "return getComputedStyle(document.querySelector('#layer-fill')).opacity"
        self.assertAlmostEqual(float(self.run_script(opacity)), 0.25)
        self.set_range("#opacity", 0)
        light = self.pixels()["mean"]
        self.set_range("#opacity", 90)
        time.sleep(0.3)
        self.assertAlmostEqual(float(self.run_script(opacity)), 0.9)
        self.assertEqual(self.one("#opacity-text").text, "90 %")
        self.assertLess(self.pixels()["mean"], light - 5)

    def test_layers_can_be_switched_and_are_seen(self):
        self.open()
        everything = self.pixels()
        for layer, mark in (("outline", "edge"), ("nodes", "spot"), ("handles", "handle")):
            self.assertGreater(everything[mark], 0, layer)
        before = everything
        for layer, mark in (("nodes", "spot"), ("handles", "handle"), ("outline", "edge")):
            self.toggle(layer)
            after = self.pixels()
            self.assertLess(after[mark], 0.5 * before[mark], layer)
            before = after
        # Deviation is drawn in graphite, as the scan is: it is looked for without the scan, the fill and the guides.
        for layer in ("scan", "fill", "guides"):
            if self.driver.find_elements(By.CSS_SELECTOR, f"#show-{layer}"):
                self.toggle(layer)
        without = self.pixels()["dark"]  # the scale bar
        self.toggle("deviation")
        self.assertGreater(self.pixels()["dark"], 1.2 * without + 1e-4)
        self.toggle("deviation")
        for layer in ("scan", "fill", "guides"):
            if self.driver.find_elements(By.CSS_SELECTOR, f"#show-{layer}"):
                self.toggle(layer)
        dark = self.pixels()["dark"]
        self.toggle("scan")
        self.assertLess(self.pixels()["dark"], dark)

    def test_a_tap_on_a_node_tells_its_reason(self):
        self.open(width=390, height=800)
        node = self.one('.node[data-outline="0"][data-node="1"] .spot')
        box = self.run_script("const b = arguments[0].getBoundingClientRect();"
                              "return [b.x + b.width / 2, b.y + b.height / 2];", node)
        point = {"x": box[0], "y": box[1]}
        self.driver.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [point]})
        self.driver.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        text = self.one("#node").text
        chosen = self.one(".node.chosen")
        outline, index = (int(chosen.get_attribute(f"data-{k}")) for k in ("outline", "node"))
        wanted = self.report["outlines"][outline]["nodes"][index]
        self.assertIn(wanted["reason"], text)
        self.assertIn(f"x {wanted['at'][0]:.1f}", text)
        self.assertIn("Handle before:", text)

    def test_hovering_a_node_tells_its_reason(self):
        self.open()
        ActionChains(self.driver).move_to_element(self.one('.node[data-outline="1"][data-node="0"] .spot')).perform()
        self.assertIn("of outline", self.one("#node").text)

    def test_the_keyboard_reaches_every_control(self):
        self.open(self.swept)
        wanted = set(self.run_script(
            "return [...document.querySelectorAll('button, input, #sheet')].filter((e) => e.offsetParent !== null)"
            ".map((e, i) => (e.dataset.seen = String(i)));"))
        reached = set()
        for _ in range(3 * len(wanted) + 20):
            ActionChains(self.driver).send_keys(Keys.TAB).perform()
            seen = self.run_script("return document.activeElement.dataset.seen || ''")
            reached.add(seen)
            if wanted <= reached:
                break
        self.assertEqual(wanted - reached, set())

    def test_keys_on_the_drawing_move_zoom_and_step(self):
        self.open()
        self.one("#sheet").send_keys("n")
        self.assertTrue(self.one("#node").text.startswith("Node 1 of outline 1: "))
        self.one("#sheet").send_keys("n")
        self.assertTrue(self.one("#node").text.startswith("Node 2 of outline 1: "))
        placed = lambda: self.one("#world").get_attribute("transform")
        for key in ("+", Keys.ARROW_LEFT, Keys.ARROW_UP, "-", "0"):
            before = placed()
            self.one("#sheet").send_keys(key)
            self.assertNotEqual(placed(), before, key)

    def test_the_table_leads_to_the_place_farthest_off(self):
        self.open()
        self.one("#table tbody tr button").click()
        mark = self.one("#place-mark").get_attribute("transform")
        worst = self.report["outlines"][0]["report"]["worst"]
        x, y = (float(v) for v in mark[len("translate("):-1].split())
        self.assertAlmostEqual(x, worst[0], places=2)
        self.assertAlmostEqual(y, worst[1], places=2)
        sheet, ring = (self.run_script("const b = arguments[0].getBoundingClientRect();"
                                       "return [b.x + b.width / 2, b.y + b.height / 2];", self.one(s))
                       for s in ("#sheet", "#place-mark .ring"))
        for k in range(2):
            self.assertAlmostEqual(ring[k], sheet[k], delta=3)

    def test_the_wheel_zooms_where_the_pointer_is(self):
        self.open()
        scale = lambda: float(self.one("#world").get_attribute("transform").split("scale(")[1].rstrip(")"))
        before = scale()
        self.driver.execute_cdp_cmd("Input.dispatchMouseEvent",
                                    {"type": "mouseWheel", "x": 300, "y": 300, "deltaX": 0, "deltaY": -400})
        time.sleep(0.2)
        self.assertGreater(scale(), 1.5 * before)

    def test_text_fits_a_narrow_screen(self):
        for page in (self.page, self.swept):
            for width in (320, 360):
                self.open(page, width=width, height=640)
                self.assertLessEqual(self.run_script("return document.documentElement.scrollWidth"), width)
                outside = self.run_script(
                    "return [...document.querySelectorAll('h1, h2, p, td, dd, dt, li, button, label, output')]"
                    ".filter((e) => !e.closest('#sheet') && e.offsetParent !== null &&"
                    "  (e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0"
                    "   && getComputedStyle(e).display !== 'inline'"
                    "   || e.getBoundingClientRect().right > innerWidth + 1)).map((e) => e.outerHTML.slice(0, 120))")
                self.assertEqual(outside, [])

    def test_dark_and_light(self):
        grounds = set()
        for scheme in ("light", "dark"):
            self.driver.execute_cdp_cmd("Emulation.setEmulatedMedia",
                                        {"features": [{"name": "prefers-color-scheme", "value": scheme}]})
            self.open()
            grounds.add(self.run_script("return getComputedStyle(document.body).backgroundColor"))
            self.assertEqual(self.run_script("return document.documentElement.dataset.theme"), scheme)
            self.one("#theme").click()
            self.assertNotEqual(self.run_script("return document.documentElement.dataset.theme"), scheme)
        self.assertEqual(len(grounds), 2)
        self.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})

    def test_figures_are_text_for_a_screen_reader(self):
        self.open()
        nodes = self.driver.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
        names = [n.get("name", {}).get("value", "") for n in nodes if not n.get("ignored")]
        first = self.report["outlines"][0]["report"]
        self.assertIn(f"{first['rms_px']:.2f}", names)
        roles = [n.get("role", {}).get("value") for n in nodes]
        for role in ("table", "columnheader", "slider", "checkbox", "status"):
            self.assertIn(role, roles)
        unnamed = [n for n in nodes if not n.get("ignored") and n.get("role", {}).get("value") in
                   ("button", "slider", "checkbox") and not n.get("name", {}).get("value")]
        self.assertEqual(unnamed, [])

    def test_a_refit_shows_the_outlines_before_with_a_scan_or_without(self):
        folder, truth = self.temporary.name, os.path.join(DATA, "quombe-truth.svg")
        sheet = os.path.join(DATA, "quombe-sheet.png")
        for name, more in (("plain", ["--tolerance", "0.5px"]), ("over", ["--over", sheet, "--tolerance", "auto"])):
            page = os.path.join(folder, name + ".html")
            subprocess.run([BATTEN, "refit", truth, "--quiet", "--out", os.path.join(folder, name + ".svg"), "--proof",
                            page] + more, check=True)
            self.open(page)
            before, after = (self.one(f"#layer-{layer} path").get_attribute("d") for layer in ("before", "outline"))
            self.assertGreater(before.count("C"), after.count("C"))
            self.assertTrue(self.one("#layer-before").is_displayed())
            self.one("#show-before").click()
            self.assertFalse(self.one("#layer-before").is_displayed())
            self.assertEqual(len(self.driver.find_elements(By.ID, "show-scan")), 1 if name == "over" else 0)
            self.assertEqual(self.one("#ink").is_displayed(), name == "over")
            self.assertIn("outline before", self.one("#legend").text)
        self.open()
        self.assertEqual(self.driver.find_elements(By.ID, "show-before"), [])

    def test_the_sweep_slider_changes_the_outline_and_the_count(self):
        self.open(self.swept)
        drawn, counts = set(), []
        for i in range(4):
            self.set_range("#step", i)
            drawn.add(self.one("#layer-outline path").get_attribute("d"))
            counts.append(len(self.driver.find_elements(By.CSS_SELECTOR, ".node")))
            self.assertIn(f"{self.swept_segments[i]} segment", self.one("#step-text").text)
        self.assertGreaterEqual(len(drawn), 2)
        self.assertEqual(counts, self.swept_nodes)
        self.assertLessEqual(counts[-1], counts[0])


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
