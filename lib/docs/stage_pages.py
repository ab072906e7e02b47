"""One page for each folder of lib/src: its row of DEVELOPERS.md's table, and of each file the method and the header.

usage: stage_pages.py SOURCE OUT

Nothing is written twice: the order, what goes in and out and the libraries come from the table; the method, the
reasons of constants and published sources from the comments of each .cpp; promises, units and errors from the headers,
which are shown whole.
"""

import re
import sys
from pathlib import Path

ROW = re.compile(r"^\| *(\d+) *\| *`([a-z_]+)/` *\|([^|]*)\|([^|]*)\|$")


def escaped(text):
    """Plain text that neither Markdown nor Doxygen reads as its own."""
    text = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return re.sub(r"([\\@#*~|\[\]%$])", r"\\\1", text)


NAME = re.compile(r"(?:struct|class|enum class)\s+(\w+)|constexpr[^=;{(]*?(\w+)(?:\[\])? *[={]|(\w+)\(")


def comments(path):
    """Each comment at the margin of a source, in order: (name of what it stands before, text).

    The name is empty for the comment at the head of the file."""
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


def page(order, folder, flow, libraries, sources):
    text = [f"# {order}: {folder} {{#folder_{folder}}}", "", escaped(flow)]
    if libraries:
        text.append(f"\nLibraries: {escaped(libraries)}")
    for file in sorted({path.stem for path in (sources / folder).iterdir()}):
        text.append(f"\n## {file} {{#folder_{folder}_{file}}}")
        source, header = (sources / folder / f"{file}{ending}" for ending in (".cpp", ".h"))
        for name, comment in comments(source) if source.exists() else []:
            text.append(f"\n- `{name}`: {escaped(comment)}" if name else "\n" + escaped(comment))
        if header.exists():
            text.append("\n```cpp\n" + header.read_text().strip() + "\n```")
    return "\n".join(text) + "\n"


def main():
    source, out = Path(sys.argv[1]), Path(sys.argv[2])
    out.mkdir(parents=True, exist_ok=True)
    rows = [[cell.strip() for cell in match.groups()]
            for line in (source / "DEVELOPERS.md").read_text().splitlines() if (match := ROW.match(line))]
    if len(rows) < 5:
        sys.exit("DEVELOPERS.md: the table of folders was not found")
    for old in out.glob("folder_*.md"):
        old.unlink()
    for row in rows:
        (out / f"folder_{row[1]}.md").write_text(page(*row, source / "lib" / "src"))
    pages = "\n".join(f"- \\subpage folder_{row[1]}" for row in rows)
    head = "# The folders, one by one {#stages}\n\nIn the order in which data flows."
    (out / "index.md").write_text(f"{head}\n\n{pages}\n")


main()
