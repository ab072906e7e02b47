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
