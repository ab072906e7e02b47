"""One page for each stage: its row of DEVELOPERS.md's table, the method as its sources state it, and its header.

usage: stage_pages.py SOURCE OUT

Nothing is written twice: the order, what goes in and out and the libraries come from the table; the method, the reasons of
constants and published sources from the comments of each .cpp; promises, units and errors from the headers, shown whole.
"""

import re
import sys
from pathlib import Path

ROW = re.compile(r"^\| *(\d+|leaf|order) *\|([^|]*)\|([^|]*)\|([^|]*)\|([^|]*)\|$")


def escaped(text):
    """Plain text that neither Markdown nor Doxygen reads as its own."""
    text = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return re.sub(r"([\\@#*~|\[\]%$])", r"\\\1", text)


NAME = re.compile(r"(?:struct|class|enum class)\s+(\w+)|constexpr[^=;{(]*?(\w+)(?:\[\])? *[={]|(\w+)\(")


def comments(path):
    """What a source says of itself, in its order: (name of what follows, text) of each comment at the margin. The name is
    empty for the comment at the head."""
    found, text = [], []
    for line in path.read_text().splitlines():
        if line.startswith("//"):
            text.append(line.lstrip("/").strip())
            continue
        if text and not (line.startswith("}") or line == "namespace batten {"):
            name = NAME.search(line)
            found.append(("".join(filter(None, name.groups())) if name and line else "", " ".join(text)))
        text = []
    return found


def page(order, stage, files, flow, libraries, folder):
    number = f"Stage {order}: " if order.isdigit() else f"{order.capitalize()}: "
    page_name = re.sub(r"\W+", "_", f"{order}_{stage}").strip("_").lower()
    text = [f"# {number}{stage} {{#stage_{page_name}}}", "", escaped(flow)]
    if libraries:
        text.append(f"\nLibraries: {escaped(libraries)}")
    for file in re.findall(r"`([a-z_]+)`", files):
        text.append(f"\n## {file} {{#stage_{page_name}_{file}}}")
        source = folder / f"{file}.cpp"
        for name, comment in comments(source) if source.exists() else []:
            text.append(f"\n- `{name}`: {escaped(comment)}" if name else "\n" + escaped(comment))
        header = folder / f"{file}.h"
        if header.exists():
            text.append("\n```cpp\n" + header.read_text().strip() + "\n```")
    return page_name, "\n".join(text) + "\n"


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
