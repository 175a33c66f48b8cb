"""The pictures of the README: the head of a report at two widths, as small PNGs beside the case.

    python3 -m report.pictures BINARY CASE_FOLDER...
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

from report.browser import Browser
from report.small_png import made_small

WIDTHS = {"wide": 1280, "phone": 390}


def take(binary: str, case: Path) -> None:
    with tempfile.TemporaryDirectory(prefix="evenhead-report-") as name:
        page = Path(name) / "report.html"
        subprocess.run([binary, "report", str(case / "case.toml"), "-o", str(page)], check=False)
        for word, width in WIDTHS.items():
            with Browser(width=width) as browser:
                browser.open(page)
                # From the top to the end of the first worksheet's drawing.
                end = browser.run("const figure = [...document.querySelectorAll('.grade-line')].find((f) => f.checkVisibility());"
                                  "return figure.getBoundingClientRect().bottom + scrollY + 16")
                picture = case / f"report-{word}.png"
                browser.picture(picture, clip={"x": 0, "y": 0, "width": width, "height": round(end)})
            picture.write_bytes(made_small(picture.read_bytes()))
            print(f"{picture}: {picture.stat().st_size / 1000:.0f} kB")


def main(binary: str, cases: list[str]) -> int:
    for case in cases:
        take(binary, Path(case))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2:]))
