"""Reports of the command line tool against data/report.schema.json (JSON Schema draft 7, python3-jsonschema), and the
table of a sweep read by Python's own csv module.

Usage: report_schema_test.py BATTEN DATA_FOLDER
"""
import csv
import json
import os
import subprocess
import sys
import tempfile
import unittest

import jsonschema

BATTEN, DATA = sys.argv[1:3]
SHEET = os.path.join(DATA, "quombe-sheet.png")
TRUTH = os.path.join(DATA, "quombe-truth.svg")


class Reports(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.addCleanup(self.folder.cleanup)
        with open(os.path.join(DATA, "report.schema.json"), encoding="utf-8") as file:
            self.schema = json.load(file)
        jsonschema.Draft7Validator.check_schema(self.schema)

    def path(self, name):
        return os.path.join(self.folder.name, name)

    def run_batten(self, *arguments):
        return subprocess.run([BATTEN, *arguments], check=True, capture_output=True, text=True).stdout

    def report(self, name):
        with open(self.path(name), encoding="utf-8") as file:
            report = json.load(file)
        jsonschema.validate(report, self.schema)
        return report

    def test_a_trace_keeps_to_the_schema(self):
        self.run_batten("trace", SHEET, "--out", self.path("a.svg"), "--report", self.path("a.json"))
        report = self.report("a.json")
        self.assertEqual(report["segments"], sum(o["report"]["segments"] for o in report["outlines"]))
        for outline in report["outlines"]:
            self.assertEqual(len(outline["report"]["deviation_px"]), outline["report"]["segments"])

    def test_what_measure_writes_keeps_to_the_schema(self):
        self.run_batten("measure", TRUTH, SHEET, "--against", TRUTH, "--report", self.path("m.json"))
        report = self.report("m.json")
        self.assertEqual(report["against"]["outlines"], len(report["outlines"]))
        self.assertLess(report["against"]["max_px"], 0.1)

    def test_what_refit_writes_keeps_to_the_schema(self):
        self.run_batten("refit", TRUTH, "--tolerance", "0.5px", "--out", self.path("t.svg"), "--report",
                        self.path("t.json"))
        report = self.report("t.json")
        self.assertLessEqual(report["refit"]["nodes_after"], report["refit"]["nodes_before"])
        self.assertLessEqual(report["max_px"], 0.5)
        self.run_batten("refit", TRUTH, "--over", SHEET, "--tolerance", "auto", "--out", self.path("o.svg"), "--report",
                        self.path("o.json"))
        report = self.report("o.json")
        self.assertEqual(report["refit"]["over_scan"]["not_placed"], 0)
        self.assertLess(report["refit"]["over_scan"]["rms_after_px"], report["refit"]["over_scan"]["rms_before_px"])

    def test_pins_and_what_became_of_them_keep_to_their_schemas(self):
        with open(os.path.join(DATA, "pins.schema.json"), encoding="utf-8") as file:
            schema = json.load(file)
        jsonschema.Draft7Validator.check_schema(schema)
        box = [[560, 220], [760, 220], [760, 430], [560, 430]]
        at = {"at": [656.8, 257.4]}
        pins = [{"pin": "node", **at, "turn": "smooth", "along": "level"}, {"pin": "no node", "at": [735, 329]},
                {"pin": "corner", "at": [1361, 365]}, {"pin": "not a corner", "at": [1248.5, 329.8]},
                {"pin": "straight", "from": [1053, 200], "to": [1053, 390], "along": "vertical"},
                {"pin": "share x", "places": [[659, 388], [656, 257]]}, {"pin": "share y", "places": [[9, 9], [8, 8]]},
                {"pin": "equal distance", "first": [[659, 388], [656, 257]], "second": [[1118, 392], [1119, 260]]},
                {"pin": "passes through", "at": [229, 160]}, {"pin": "start", "at": [229, 150]},
                {"pin": "ignore", "region": [[0, 0], [9, 0], [9, 9]]},
                {"pin": "drawn as", "region": box, "as": "outlined"},
                {"pin": "ink", "region": [[100, 550], [200, 550], [200, 650]]},
                {"pin": "tolerance", "region": box, "length": 2},
                {"pin": "paper", "region": [[100, 550], [200, 550], [200, 650]], "note": "a contradiction"},
                {"pin": "close gap", "from": [760, 330], "to": [800, 300]},
                {"pin": "keep apart", "from": [760, 330], "to": [800, 300]}]
        document = {"batten_pins": 1, "unit": "px", "pins": pins}
        jsonschema.validate(document, schema)
        kinds = {kind for one in schema["properties"]["pins"]["items"]["anyOf"]
                 for kind in [one["properties"]["pin"].get("const"), *one["properties"]["pin"].get("enum", [])] if kind}
        self.assertEqual(kinds, {pin["pin"] for pin in pins})
        with open(self.path("pins.json"), "w", encoding="utf-8") as file:
            json.dump(document, file)
        self.run_batten("trace", SHEET, "--out", self.path("a.svg"), "--report", self.path("a.json"), "--pins",
                        self.path("pins.json"))
        report = self.report("a.json")
        self.assertEqual(len(report["pins"]), len(pins))
        for pin, made in zip(pins, report["pins"]):
            self.assertEqual(made["decision"]["pin"], pin["pin"])
        jsonschema.validate({**document, "pins": [made["decision"] for made in report["pins"]]}, schema)
        self.assertIn(15, report["pins"][12]["against"])
        for spoil in ({"pin": "mood"}, {"pin": "corner"}, {"pin": "corner", "at": [1]},
                      {"pin": "corner", **at, "as": "ink"}):
            with self.assertRaises(jsonschema.ValidationError):
                jsonschema.validate({**document, "pins": [spoil]}, schema)

    def test_the_schema_bites(self):
        self.run_batten("trace", SHEET, "--out", self.path("a.svg"), "--report", self.path("a.json"))
        report = self.report("a.json")
        for spoil in (lambda r: r.update(schema=r["schema"] + 1),
                      lambda r: r["outlines"][0]["nodes"][0].update(reason="mood"),
                      lambda r: r["outlines"][0]["report"].pop("rms_px"), lambda r: r["findings"][0].update(what="?")):
            spoilt = json.loads(json.dumps(report))
            spoil(spoilt)
            with self.assertRaises(jsonschema.ValidationError):
                jsonschema.validate(spoilt, self.schema)

    def test_the_table_of_a_sweep(self):
        text = self.run_batten("sweep", SHEET, "--quiet", "--crop", "90,100,420,420", "--tolerance", "1px..4px",
                               "--steps", "3")
        lines = text.splitlines()
        head = [line for line in lines if line.startswith("#")]
        self.assertTrue(head[0].startswith("# batten "))
        rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
        self.assertEqual([float(row["tolerance_px"]) for row in rows], [1, 2, 4])
        for row in rows:
            reasons = ("corner", "left", "right", "top", "bottom", "straight_end", "added")
            # An open line has two ends and one node more than segments.
            nodes = sum(int(row[r]) for r in reasons)
            self.assertEqual(int(row["segments"]), nodes + int(row["line_end"]) // 2)
            self.assertLessEqual(float(row["rms_px"]), float(row["max_px"]))
            self.assertGreater(float(row["known_px"]), 0)
            self.assertLessEqual(float(row["drawn_at_px"]), float(row["tolerance_px"]))
        self.assertEqual(sum("recommended" in row["mark"] for row in rows), 1)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
