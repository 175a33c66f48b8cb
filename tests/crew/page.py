"""The crew's sheets as a page, in headless Chromium and on paper: nothing fetched, nothing on the console, nothing wider than
a phone, and every sheet on a printed page of its own.

    python3 -m crew.page BINARY CASE...
"""

import subprocess
import sys
import tempfile
from pathlib import Path

from report.browser import Browser

TITLES = ["Pipes and trenches", "Valves and wire", "Flushing", "Commissioning", "Flow-sensor limits",
          "Heads that drain at shut-off", "Before frost"]
faults = []


def check(name, right, words):
    if not right:
        faults.append(f"{name}: {words}")


def look(name, page):
    for width in (390, 1280):
        with Browser(width=width, dark=width == 390) as browser:
            browser.open(page)
            check(name, browser.console() == [], "the console has messages")
            check(name, browser.requests() == [page.as_uri()], "something else is fetched")
            check(name, browser.run("return document.documentElement.scrollWidth") <= width, f"wider than {width} px")
            check(name, browser.run("return document.scripts.length") == 0, "a script runs")
            check(name, browser.run("return [...document.querySelectorAll('section.crew > h2')].map((h) => h.textContent)") == TITLES, "other sheets")
            empty = browser.run("return [...document.querySelectorAll('td.fill')].filter((cell) => cell.textContent).length")
            check(name, empty == 0, "a cell to be filled in holds something")
            shown = browser.run("return [...document.querySelectorAll('.crew .roomy')].some((cell) => cell.checkVisibility())")
            check(name, shown == (width == 1280), f"columns for wide screens at {width} px: {shown}")
            if width == 1280:
                paper = page.with_suffix(".pdf")
                browser.pdf(paper)
                text = subprocess.run(["pdftotext", "-layout", paper, "-"], capture_output=True, text=True, check=True).stdout
                pages = text.split("\f")
                heads = [next((title for title in TITLES if any(title == line.strip() for line in one.splitlines()[:12])), None) for one in pages]
                check(name, [head for head in heads if head] == TITLES, f"on paper the pages begin with {heads}")
                check(name, all("not for fire protection" in one for one in pages if one.strip()), "a page without its foot")


def main():
    program, cases = sys.argv[1], sys.argv[2:]
    for path in cases:
        with tempfile.TemporaryDirectory(prefix="evenhead-crew-") as folder:
            page = Path(folder) / "sheets.html"
            subprocess.run([program, "sheets", path, "-o", page, "--quiet"], check=True)
            look(Path(path).parent.name, page)
    print("\n".join([*faults, f"{len(cases)} pages, {len(faults)} faults"]))
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
