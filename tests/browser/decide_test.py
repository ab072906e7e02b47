"""Deciding in the proof: click, save, trace again, by mouse, by keyboard and with a finger, in Debian's chromium.

Usage: decide_test.py BATTEN DATA_FOLDER. Makes its pages with the command line tool in a folder of its own.
"""
import json
import math
import os
import subprocess
import sys
import tempfile
import time
import unittest

from selenium import webdriver
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.actions.action_builder import ActionBuilder
from selenium.webdriver.common.actions.pointer_input import PointerInput
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

BATTEN, DATA = sys.argv[1:3]
SHEET = os.path.join(DATA, "quombe-sheet.png")
PART = "560,220,200,210"  # one letter of the sheet: a ring of two outlines


class Decide(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.temporary = tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
        cls.folder = cls.temporary.name
        cls.before = cls.trace("before")
        options = webdriver.ChromeOptions()
        for flag in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run",
                     "--user-data-dir=" + os.path.join(cls.folder, "profile")):
            options.add_argument(flag)
        options.add_experimental_option("prefs", {"download.default_directory": cls.folder,
                                                  "download.prompt_for_download": False})
        options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
        options.binary_location = "/usr/bin/chromium"
        cls.driver = webdriver.Chrome(service=Service("/usr/bin/chromedriver"), options=options)

    @classmethod
    def tearDownClass(cls):
        cls.driver.quit()
        cls.temporary.cleanup()

    @classmethod
    def trace(cls, name, *more):
        place = os.path.join(cls.folder, name)
        cls.said = subprocess.run([BATTEN, "trace", SHEET, "--crop", PART, "--out", place + ".svg", "--proof",
                                   place + ".html", "--report", place + ".json", *more],
                                  check=True, capture_output=True, text=True).stdout
        with open(place + ".json", encoding="utf-8") as file:
            return json.load(file)

    def setUp(self):
        for name in os.listdir(self.folder):
            if name.endswith("-pins.json"):
                os.remove(os.path.join(self.folder, name))
        self.open("before")

    def open(self, name, width=1280, height=900):
        self.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride",
                                    {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 600})
        self.driver.get("file://" + os.path.join(self.folder, name + ".html"))
        self.wait(lambda: self.script("return document.documentElement.dataset.ready") == "yes", "the page")

    def wait(self, ready, what):
        end = time.time() + 20
        while not ready():
            self.assertLess(time.time(), end, "waited too long for " + what)
            time.sleep(0.05)

    def script(self, code, *arguments):
        return self.driver.execute_script(code, *arguments)

    def one(self, selector):
        return self.driver.find_element(By.CSS_SELECTOR, selector)

    def on_screen(self, place):
        """Where a place of the scan lies, px from the middle of the sheet."""
        return self.script("""
            const m = document.querySelector("#world").getCTM(), s = document.querySelector("#sheet");
            return [m.a * arguments[0] + m.e - s.clientWidth / 2, m.d * arguments[1] + m.f - s.clientHeight / 2];
            """, *place)

    def click(self, place):
        x, y = self.on_screen(place)
        ActionChains(self.driver).move_to_element_with_offset(self.one("#sheet"), round(x), round(y)).click().perform()

    def button(self, text):
        found = [b for b in self.driver.find_elements(By.CSS_SELECTOR, "#choices button") if b.text == text]
        self.assertEqual(len(found), 1, f"{text}: {self.one('#choices').text}")
        return found[0]

    def decided(self):
        return [item.text.split(" at ")[0] for item in self.driver.find_elements(By.CSS_SELECTOR, "#decisions li")]

    def saved(self):
        def names():
            return [n for n in os.listdir(self.folder) if n.endswith("-pins.json")]
        self.wait(names, "the download")
        path = os.path.join(self.folder, names()[0])
        self.wait(lambda: os.path.getsize(path) > 0, "the download's bytes")
        return path

    def node(self, report, reason, outline=0):
        return next(n["at"] for n in report["outlines"][outline]["nodes"] if n["reason"] == reason)

    def test_by_mouse_there_and_back(self):
        top = self.node(self.before, "top")
        self.click(top)
        self.assertIn("Node", self.one("#picked").text)
        self.button("No node here").click()
        self.assertEqual(self.decided(), ["no node"])
        self.one("#save").click()
        path = self.saved()
        self.assertEqual(os.path.basename(path), "quombe-sheet-pins.json")
        with open(path, encoding="utf-8") as file:
            pins = json.load(file)["pins"]
        self.assertEqual(pins[0]["pin"], "no node")
        self.assertLess(math.dist(pins[0]["at"], top), 0.01)
        after = self.trace("after", "--pins", path)
        self.assertIn("1 of 1 pin held", self.said)
        gap = min(math.dist(n["at"], top) for n in after["outlines"][0]["nodes"])
        self.assertGreater(gap, 5)
        # The other outline was not spoken of.
        self.assertEqual(after["outlines"][1]["nodes"], self.before["outlines"][1]["nodes"])
        # The new page knows what was decided, and that it holds.
        self.open("after")
        self.assertEqual(self.decided(), ["no node"])
        self.assertIn("held", self.one("#decisions").text)
        self.assertEqual([e for e in self.driver.get_log("browser") if e["level"] == "SEVERE"], [])

    def test_by_keyboard_there_and_back(self):
        sheet = self.one("#sheet")
        self.script("document.querySelector('#sheet').focus()")
        sheet.send_keys("n")
        picked = self.before["outlines"][0]["nodes"][0]["at"]
        self.assertIn(f"x {picked[0]:.1f}", self.one("#picked").text)
        # On with Tab to the choice, and Enter takes it.
        for _ in range(40):
            ActionChains(self.driver).send_keys(Keys.TAB).perform()
            if self.script("return document.activeElement.textContent") == "Is a corner":
                break
        ActionChains(self.driver).send_keys(Keys.ENTER).perform()
        self.assertEqual(self.decided(), ["corner"])
        for _ in range(40):
            ActionChains(self.driver).send_keys(Keys.TAB).perform()
            if self.script("return document.activeElement.id") == "save":
                break
        ActionChains(self.driver).send_keys(Keys.ENTER).perform()
        after = self.trace("after", "--pins", self.saved())
        self.assertIn("1 of 1 pin held", self.said)
        corners = [n["at"] for n in after["outlines"][0]["nodes"] if n["reason"] == "corner"]
        self.assertEqual(len(corners), 1)
        self.assertLess(math.dist(corners[0], picked), 20)

    def test_stretches_and_the_cross_by_keyboard(self):
        sheet = self.one("#sheet")
        self.script("document.querySelector('#sheet').focus()")
        sheet.send_keys("s")
        self.assertIn("Stretch of outline 1", self.one("#picked").text)
        self.button("Passes exactly here").click()
        self.one("#decisions button").click()  # shows the place, under the cross
        sheet.send_keys(Keys.ENTER)
        self.assertIn("Stretch of outline 1", self.one("#picked").text)
        inwards = ActionChains(self.driver).key_down(Keys.SHIFT)
        for _ in range(6):  # the lower left of a ring: six px up and to the right lie between its two outlines
            inwards.send_keys(Keys.ARROW_RIGHT, Keys.ARROW_UP)
        inwards.key_up(Keys.SHIFT).send_keys(Keys.ENTER).perform()
        self.assertIn("Place at", self.one("#picked").text)
        self.assertEqual(self.decided(), ["passes through"])

    def test_decisions_of_several_places_and_taking_back(self):
        nodes = [n["at"] for n in self.before["outlines"][0]["nodes"]]
        self.click(nodes[0])
        self.button("Same height as \u2026").click()
        self.assertEqual(self.decided(), [])
        self.click(nodes[2])
        self.assertEqual(self.decided(), ["share y"])
        for place in ((600, 260), (640, 260), (640, 300)):
            self.click(place)
            if place == (600, 260):
                self.button("A region from here \u2026").click()
        self.button("Leave out").click()
        self.assertEqual(self.decided(), ["share y", "ignore"])
        self.one("#undo").click()
        self.assertEqual(self.decided(), ["share y"])
        self.one("#decisions button:last-of-type").click()
        self.assertEqual(self.decided(), [])
        self.one("#undo").click()
        self.assertEqual(self.decided(), ["share y"])
        self.one("#save").click()
        with open(self.saved(), encoding="utf-8") as file:
            self.assertEqual(len(json.load(file)["pins"][0]["places"]), 2)

    def test_a_drag_decides_nothing(self):
        x, y = self.on_screen(self.node(self.before, "top"))
        ActionChains(self.driver).move_to_element_with_offset(self.one("#sheet"), round(x), round(y)).click_and_hold() \
            .move_by_offset(60, 30).release().perform()
        self.assertEqual(self.driver.find_elements(By.CSS_SELECTOR, "#choices button"), [])

    def test_with_a_finger_on_a_phone(self):
        self.open("before", 375, 700)
        top = self.node(self.before, "top")
        self.script("document.querySelector('#sheet').scrollIntoView({block: 'start'})")
        x, y = self.on_screen(top)
        finger = PointerInput("touch", "finger")
        actions = ActionBuilder(self.driver, mouse=finger)
        actions.pointer_action.move_to(self.one("#sheet"), round(x) + 9, round(y) + 6).pointer_down().pointer_up()
        actions.perform()
        self.assertIn("Node", self.one("#picked").text)
        self.button("Is a corner").click()
        self.assertEqual(self.decided(), ["corner"])
        # Nothing is wider than the phone, and every button is large enough for a finger.
        self.assertLessEqual(self.script("return document.documentElement.scrollWidth"), 375)
        for box in self.driver.find_elements(By.CSS_SELECTOR, "#decide .buttons button"):
            self.assertGreaterEqual(box.size["height"], 40)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
