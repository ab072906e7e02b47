"""Every link of the documents leads somewhere: to a file of the tree, and to a heading that it has. What the page for
embedders names, packages, options and files, is there as well.

usage: links.py SOURCE
"""

import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(sys.argv[1]).resolve()
LINK = re.compile(r"\[[^\]]*\]\(([^)\s]+)\)")
FENCE = re.compile(r"^```.*?^```", re.MULTILINE | re.DOTALL)


def anchors(path):
    """Headings as the usual renderers of Markdown name them, and the names given to Doxygen."""
    found = set()
    for line in FENCE.sub("", path.read_text()).splitlines():
        if not line.startswith("#"):
            continue
        text = line.lstrip("#").strip()
        if named := re.search(r"\{#(\w+)\}", text):
            found.add(named.group(1))
            text = text[:named.start()].strip()
        found.add(re.sub(r"[^\w\- ]", "", text.lower()).replace(" ", "-"))
    return found


def broken_links(document):
    text = FENCE.sub("", document.read_text())
    text = re.sub(r"^ {4}.*$", "", text, flags=re.MULTILINE)  # blocks of code
    count, broken = 0, []
    for target in LINK.findall(text):
        if re.match(r"[a-z]+:", target):  # nothing is fetched, but what is no address is seen
            if not re.match(r"https?://[\w.-]+\.[a-z]{2,}(/\S*)?$", target):
                broken.append(target)
            continue
        count += 1
        name, _, anchor = target.partition("#")
        path = (document.parent / name).resolve() if name else document
        if not path.exists() or (anchor and anchor not in anchors(path)):
            broken.append(target)
    return count, broken


def main():
    tracked = subprocess.run(["git", "-C", ROOT, "ls-files", "-co", "--exclude-standard", "*.md"], text=True,
                             capture_output=True)
    names = tracked.stdout.split() if tracked.returncode == 0 else []
    documents = [ROOT / n for n in names] or [p for p in ROOT.rglob("*.md") if "build" not in str(p.relative_to(ROOT))]
    complaints, links = [], 0
    for document in documents:
        count, broken = broken_links(document)
        links += count
        complaints += [f"{document.relative_to(ROOT)}: nothing is at {target}" for target in broken]
    if links < 8:
        complaints.append(f"only {links} links were found: are they still read?")
    page = (ROOT / "lib/docs/embedding.md").read_text()
    packages = (ROOT / ".ci/install").read_text()
    options = "\n".join(p.read_text() for p in (ROOT / "CMakeLists.txt", ROOT / "lib/CMakeLists.txt"))
    for package in re.findall(r"`(lib[\w-]+-dev)`", page):
        if package not in packages:
            complaints.append(f"embedding.md: {package} is not what .ci/install installs")
    for option in set(re.findall(r"BATTEN_\w+", page)):
        if option not in options:
            complaints.append(f"embedding.md: there is no option {option}")
    for path in set(re.findall(r"`((?:tests|lib|bench|cli)/[\w./]+)`", page)):
        if not (ROOT / path).exists():
            complaints.append(f"embedding.md: there is no {path}")
    headers = "\n".join(p.read_text() for p in (ROOT / "lib/include/batten").glob("*.h"))
    for name in set(re.findall(r"`(?:\w+::)*(\w+)(?:\(\))?`", page)):
        if re.search(rf"`(?:Job|Report|Located|PixelFormat)::{name}", page) and not re.search(rf"\b{name}\b", headers):
            complaints.append(f"embedding.md: no header has {name}")
    sys.exit("\n".join(complaints) or 0)


main()
