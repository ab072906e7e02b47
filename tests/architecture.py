"""The rules of DEVELOPERS.md about the shape of the tree, checked against its own table of folders.

usage: architecture.py SOURCE

1. Each folder of lib/src is one row of the table, and the rows are in the order of the data.
2. A file includes files of its own folder and of earlier rows only, by the path from lib/src; no includes run in a
   circle.
3. OpenCV, Eigen and Ceres are used only where the row says so; plane_cv.h counts as OpenCV and stays out of headers.
4. Public headers include the standard library and each other only; the C one includes C's.
5. OpenCV, Eigen and Ceres do not appear in lib/files or cli.
6. A struct or class of namespace batten has a name of its own: two of one name in two headers are one to the linker.
7. Tests stand in folders named as those of the sources.
8. No source of the libraries, the command or the benchmarks is longer than 400 lines. No line of any text file is wider
   than 120 columns; rows of Markdown tables, which cannot be wrapped, are exempt.
"""

import re
import subprocess
import sys
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

MOST_LINES = 400
MOST_COLUMNS = 120
SOURCES = {".h", ".cpp", ".c", ".inc", ".py", ".js", ".css", ".html"}
TEXTS = SOURCES | {".cmake", ".sh", ".md", ".in"}
LIBRARIES = {"OpenCV": r'opencv2/|base/plane_cv\.h', "Eigen": r'<Eigen/|"Eigen/', "Ceres": r"ceres/"}
ROW = re.compile(r"^\| *(\d+) *\| *`([a-z_]+)/` *\|([^|]*)\|([^|]*)\|$")


def includes_of(path):
    return [line.strip() for line in path.read_text().splitlines() if line.lstrip().startswith("#include")]


def table(source):
    """folder -> (rank, libraries), as DEVELOPERS.md has them."""
    lines = (source / "DEVELOPERS.md").read_text().splitlines()
    rows = [match.groups() for line in lines if (match := ROW.match(line))]
    if len(rows) < 10:
        sys.exit("DEVELOPERS.md: the table of folders was not found.")
    if [int(row[0]) for row in rows] != list(range(1, len(rows) + 1)):
        sys.exit("DEVELOPERS.md: the rows of the table of folders are not numbered from 1 on.")
    return {row[1]: (int(row[0]), row[3]) for row in rows}


def check_folders(source, rows, errors):
    src = source / "lib" / "src"
    graph = {}
    errors += [f"lib/src/{p.name}: every file stands in a folder." for p in src.iterdir() if p.is_file()]
    on_disk = {p.name for p in src.iterdir() if p.is_dir()}
    errors += [f"lib/src/{name}/ is in no row of DEVELOPERS.md's table." for name in sorted(on_disk - set(rows))]
    errors += [f"DEVELOPERS.md: there is no folder lib/src/{name}/." for name in sorted(set(rows) - on_disk)]
    for path in sorted(src.glob("*/*")):
        name = path.relative_to(src)
        rank, libraries = rows.get(path.parent.name, (0, ""))
        node = graph.setdefault(str(name.with_suffix("")), set())
        for include in includes_of(path):
            if match := re.search(r'"([a-z_]+)/([a-z_]+)\.(?:h|inc)"', include):
                folder, other = match.groups()
                if folder in rows and rows[folder][0] > rank:
                    errors.append(f"lib/src/{name} includes {folder}/{other}.h, which comes later.")
                if folder in rows and other != path.stem:
                    node.add(f"{folder}/{other}")
            elif re.search(r'"[a-z_]+\.h"', include):
                errors.append(f"lib/src/{name}: {include}: includes name the folder too.")
            for library, pattern in LIBRARIES.items():
                if re.search(pattern, include) and library not in libraries:
                    errors.append(f"lib/src/{name} uses {library}, but the row of {name.parent}/ does not say so.")
            if "plane_cv.h" in include and path.suffix == ".h":
                errors.append(f"lib/src/{name}: plane_cv.h is for sources, not for headers.")
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as cycle:
        errors.append("Includes run in a circle: " + " -> ".join(cycle.args[1]))


def check_rim(source, errors):
    allowed = re.compile(r'#include (<[a-z_]+>|<std(def|int)\.h>|"batten/[a-z_]+\.h")')
    for path in (source / "lib/include/batten").glob("*.h"):
        errors += [f"{path}: {i}: public headers include the standard library and each other only."
                   for i in includes_of(path) if not allowed.match(i)]
    for path in [p for folder in ("lib/files", "cli") for p in (source / folder).rglob("*.[hc]*")]:
        errors += [f"{path}: {i}: OpenCV, Eigen and Ceres stay in lib/src."
                   for i in includes_of(path) if re.search("opencv2|Eigen/|ceres/", i)]


def check_names(source, errors):
    declared = {}
    for path in [p for f in ("include/batten", "src", "files") for p in sorted((source / "lib" / f).rglob("*.h"))]:
        for line in path.read_text().splitlines():
            if match := re.match(r"(?:struct|class|enum class) ([A-Za-z]+) [:{]", line):
                name = match.group(1)
                if name in declared:
                    errors.append(f"{path}: {name} is also the name of something in {declared[name]}.")
                declared[name] = path


def check_tests(source, rows, errors):
    elsewhere = {"bench": "bench", "cli": "cli", "files": "lib/files"}
    for path in sorted((source / "tests").glob("*/*_test.cpp")):
        folder = path.parent.name
        if folder not in rows and folder not in elsewhere and folder != "slow":
            errors.append(f"tests/{folder}/: no folder of the sources has that name.")


def check_numbers(source, errors):
    floating = re.compile(r'"[^"]*%[-+ #0-9.*]*l?[aefgAEFG][^"]*"|std::(fixed|setprecision|stod|strtod|atof)\b')
    for path in [p for folder in ("lib/src", "lib/files", "cli") for p in (source / folder).rglob("*.[hc]*")]:
        for number, line in enumerate(path.read_text().splitlines(), 1):
            if "printf" in line and floating.search(line) or re.search(r"std::(setprecision|stod|strtod|atof)\b", line):
                errors.append(f"{path.relative_to(source)}:{number}: this number would follow the caller's locale.")


def check_sizes(source, errors):
    listing = subprocess.run(["git", "-C", source, "ls-files"], capture_output=True, text=True, check=True)
    for name in listing.stdout.splitlines():
        path = source / name
        is_text = path.suffix in TEXTS or path.name == "CMakeLists.txt" or name.startswith(".ci/")
        if not path.exists() or not is_text:
            continue
        lines = path.read_text().splitlines()
        for number, line in enumerate(lines, 1):
            is_table_row = path.suffix == ".md" and line.startswith("|")
            if len(line) > MOST_COLUMNS and not is_table_row:
                errors.append(f"{name}:{number}: {len(line)} columns, and {MOST_COLUMNS} are the most.")
        if len(lines) > MOST_LINES and path.suffix in SOURCES and name.startswith(("lib/", "cli/", "bench/")):
            errors.append(f"{name}: {len(lines)} lines, and {MOST_LINES} are the most.")


def main():
    source = Path(sys.argv[1])
    rows, errors = table(source), []
    check_folders(source, rows, errors)
    check_rim(source, errors)
    check_names(source, errors)
    check_tests(source, rows, errors)
    check_sizes(source, errors)
    check_numbers(source, errors)
    sys.exit("\n".join(errors) or 0)


main()
