"""LibreOffice opens the workbooks and computes them anew; the numbers must be those that the program wrote beside its formulas.

    python3 -m workbook.spreadsheet BINARY FOLDER CASE... [--generated COUNT]

So that nothing is taken over from the file, every such number is first replaced by a wrong one, in a copy. With recalculation
switched off the wrong ones must come out again (that proves the replacement), switched on the right ones. Then one length in each
sheet is doubled, and LibreOffice must come to what tests/workbook/evaluate.py comes to.
"""

import re
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import openpyxl

from same.cases import arguments
from workbook.evaluate import Workbook
from workbook.program import run_sheets, write_book

WRONG = 31415.0
RELATIVE, ABSOLUTE = 1e-6, 2e-6
ALWAYS, NEVER = 0, 1
SETTINGS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>{}</value></prop></item>
</oor:items>
"""


def spoil(path, spoilt):
    """A copy in which every computed value is wrong; the number of them."""
    count = 0
    with zipfile.ZipFile(path) as source, zipfile.ZipFile(spoilt, "w", zipfile.ZIP_DEFLATED) as copy:
        for part in source.infolist():
            content = source.read(part)
            if part.filename.startswith("xl/worksheets/sheet"):
                text, found = re.subn(r"(</f><v>)[^<]*(</v>)", rf"\g<1>{WRONG:g}\g<2>", content.decode())
                count += found
                content = text.encode()
            copy.writestr(part, content)
    return count


def convert(folder, mode, books):
    """The books as LibreOffice writes them again, in a folder of their own."""
    profile, into = folder / f"profile-{mode}", folder / f"out-{mode}"
    shutil.rmtree(into, ignore_errors=True)
    (profile / "user").mkdir(parents=True, exist_ok=True)
    (profile / "user" / "registrymodifications.xcu").write_text(SETTINGS.format(mode))
    done = subprocess.run(["soffice", f"-env:UserInstallation=file://{profile.resolve()}", "--headless", "--convert-to", "xlsx:Calc MS Excel 2007 XML",
                           "--outdir", str(into), *map(str, books)], capture_output=True, check=False, timeout=3600)
    missing = [book.name for book in books if not (into / book.name).exists()]
    if missing:
        raise SystemExit(f"LibreOffice wrote no {missing}: {done.stderr.decode()}")
    return into


def computed(path, wanted):
    """(sheet, cell, what came out, what should) for every (sheet, cell, value) of `wanted`."""
    book = openpyxl.load_workbook(path, data_only=True)
    return [(sheet, cell, book[sheet][cell].value, value) for sheet, cell, value in wanted]


def close(got, wanted):
    if isinstance(wanted, str) or not isinstance(got, (int, float)):
        return got == wanted
    return abs(got - wanted) <= RELATIVE * abs(wanted) + ABSOLUTE


def compare(what, name, rows, found):
    wrong = [row for row in rows if not close(row[2], row[3])]
    for sheet, cell, got, wanted in wrong[:5]:
        print(f"{what} {name} {sheet}!{cell}: {got!r}, not {wanted!r}")
    found["compared"] += len(rows)
    found["wrong"] += len(wrong)
    for _, _, got, wanted in rows:
        if isinstance(wanted, float) and isinstance(got, (int, float)) and abs(wanted) > 1e3 * ABSOLUTE:
            found["largest"] = max(found["largest"], abs(got - wanted) / abs(wanted))


def main(binary, folder, cases):
    shutil.rmtree(folder / "books", ignore_errors=True)
    for name in ("books", "spoilt", "changed"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    names, stored, changed = [], {}, {}
    for number, case in enumerate(cases):
        name = f"{number}-{case.parent.name}.xlsx"
        path = folder / "books" / name
        write_book(binary, case, path)
        book = Workbook(path)
        names.append(name)
        stored[name] = [(sheet, cell, value) for sheet, cell, _, value in book.formulas()]
        if spoil(path, folder / "spoilt" / name) != len(stored[name]):
            raise SystemExit(f"{name}: not every value was found")
        for sheet in run_sheets(book):
            row = next((row for row in sheet.rows if sheet.is_input(row, "length")), None)
            if row is not None:
                cell = sheet.cell(row, "length")
                book.book[sheet.title][cell].value *= 2
        book.known.clear()
        changed[name] = [(sheet, cell, book.value(sheet, cell)) for sheet, cell, _, _ in book.formulas()]
        book.book.save(folder / "changed" / name)      # without any computed value
    found = {"compared": 0, "wrong": 0, "largest": 0.0}
    kept = convert(folder, NEVER, [folder / "spoilt" / name for name in names])
    for name in names:
        taken = [row for row in computed(kept / name, stored[name]) if isinstance(row[3], (int, float))]
        if any(got != WRONG for _, _, got, _ in taken):
            raise SystemExit(f"{name}: the wrong values did not arrive, so the comparison would prove nothing")
    anew = convert(folder, ALWAYS, [folder / "spoilt" / name for name in names])
    for name in names:
        compare("recomputed", name, computed(anew / name, stored[name]), found)
    anew = convert(folder, ALWAYS, [folder / "changed" / name for name in names])
    for name in names:
        compare("changed", name, computed(anew / name, changed[name]), found)
    version = subprocess.run(["soffice", "--version"], capture_output=True, text=True, check=False).stdout.split()[:2]
    print(f"{' '.join(version)}: {len(names)} workbooks, {found['compared']} values computed anew, {found['wrong']} wrong, largest "
          f"difference {found['largest']:.1e} of the number; before, {sum(map(len, stored.values()))} wrong ones were kept where "
          f"nothing is computed")
    shutil.rmtree(folder)
    return 1 if found["wrong"] or not found["compared"] else 0


if __name__ == "__main__":
    given = arguments(__doc__, "binary")
    sys.exit(main(given.binary, given.folder, given.cases))
