"""One page for each stage: its row of DEVELOPERS.md's table, the method as its sources state it, and its header.

usage: stage_pages.py SOURCE OUT

Nothing is written twice: the order, what goes in and out and the libraries come from the table, method and published
sources from the comment at the head of each .cpp, promises, units and errors from the headers, shown whole.
"""

import re
import sys
from pathlib import Path

ROW = re.compile(r"^\| *(\d+|leaf|order) *\|([^|]*)\|([^|]*)\|([^|]*)\|([^|]*)\|$")


def escaped(text):
    """Plain text that neither Markdown nor Doxygen reads as its own."""
    text = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return re.sub(r"([\\@#*`~|\[\]%$])", r"\\\1", text)


def head_comment(path):
    """The comment that a file begins with, after `#pragma once` and includes, as one paragraph; else nothing."""
    lines = []
    for line in path.read_text().splitlines():
        if line.startswith("//"):
            lines.append(line.lstrip("/").strip())
        elif lines or not (line.startswith("#") or not line):
            break
    return " ".join(lines)


def page(order, stage, files, flow, libraries, folder):
    number = f"{order}. " if order.isdigit() else f"{order.capitalize()}: "
    name = re.sub(r"\W+", "_", f"{order}_{stage}").strip("_").lower()
    text = [f"# {number}{stage} {{#stage_{name}}}", "", escaped(flow)]
    if libraries:
        text.append(f"\nLibraries: {escaped(libraries)}")
    for file in re.findall(r"`([a-z_]+)`", files):
        text.append(f"\n## {file} {{#stage_{name}_{file}}}")
        for path in (folder / f"{file}.cpp", folder / f"{file}.h"):
            if path.exists() and (comment := head_comment(path)):
                text.append("\n" + escaped(comment))
        header = folder / f"{file}.h"
        if header.exists():
            text.append("\n```cpp\n" + header.read_text().strip() + "\n```")
    return name, "\n".join(text) + "\n"


def main():
    source, out = Path(sys.argv[1]), Path(sys.argv[2])
    out.mkdir(parents=True, exist_ok=True)
    names = []
    for line in (source / "DEVELOPERS.md").read_text().splitlines():
        if match := ROW.match(line):
            cells = [cell.strip() for cell in match.groups()]
            name, text = page(*cells, source / "lib" / "src")
            if name in names:
                sys.exit(f"DEVELOPERS.md: two rows would make the page {name}")
            names.append(name)
            (out / f"stage_{name}.md").write_text(text)
    if len(names) < 5:
        sys.exit("DEVELOPERS.md: the table of stages was not found")
    for old in out.glob("stage_*.md"):
        if old.stem[len("stage_"):] not in names:
            old.unlink()
    pages = "\n".join(f"- \\subpage stage_{name}" for name in names)
    (out / "index.md").write_text(f"# The stages, one by one {{#stages}}\n\nIn the order in which data flows.\n\n{pages}\n")


main()
