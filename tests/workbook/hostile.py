"""What a case writes into its ids and titles stays text in the workbook; and the workbook is written whole, the same, or not at all.

    python3 -m workbook.hostile BINARY FOLDER CASE

Names of sheets: ISO/IEC 29500-1, 18.2.19, and what spreadsheets refuse besides: more than 31 UTF-16 units, any of []:*?/\\, an
apostrophe at either end, "History", two that differ in case only. Strings: 22.9.2.19 (a "_x0041_" in a text is to be written
"_x005F_x0041_", or it would be read as "A").
"""

import os
import re
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import openpyxl

from same.everywhere import german
from workbook.evaluate import Workbook
from workbook.program import run, write_book

NAMES = ["=1+1", "=cmd|'/C'!A0", "@SUM(1)", "+1", "-2", "<b>x</b>", "]]>", "&amp;\"'", "a_x0041_b", "\U0001f4a7" * 20, "x" * 64,
         "x" * 33, "\u00c9", "\u00e9", "A1", "4", "R1C1", "TRUE", "summary", "Notes", "CHARTS", "constants", "'quoted'", "[a]:*?/\\",
         "History", "{1;2}", "#REF!", "'Run'!A1"]
TITLES = ["=HYPERLINK(\"file:///etc/passwd\")", "<script>alert(1)</script> & more", "&C&G &P &\"x\"", "@title", "-1 ]]> --><!--", "\u202eturned\u202c",
          "long " * 400, "&" * 300, "&G&[Picture]" * 30]


def quoted(text):
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def case_of(title):
    """A zone for each name; it is the id of the valve, the run, its head and its nozzle."""
    lines = [f"title = {quoted(title)}", f"job = {quoted('=job&' + title[:30])}", 'date = "=1"', "ground = 0",
             'supplies = [ { id = "=street", static = 60, flow = 30, residual = 50 } ]', "nozzles = ["]
    lines += [f"  {{ id = {quoted(name)}, pressure = 30, flow = 1, min = 20 }}," for name in NAMES]
    lines += ["]", "valves = ["] + [f"  {{ id = {quoted(name)}, flow = [5, 10], loss = [1, 3] }}," for name in NAMES]
    lines += ["]", "heads = ["] + [f"  {{ id = {quoted('H' + name[:60])}, nozzle = {quoted(name)} }}," for name in NAMES]
    lines += ["]", "pipes = ["]
    for number, name in enumerate(NAMES):
        lines += [f"  {{ id = {quoted('=p' + str(number))}, from = \"=street\", to = {quoted(name)}, length = 20, bore = 1 }},",
                  f"  {{ id = {quoted('@q' + name[:60])}, from = {quoted(name)}, to = {quoted('H' + name[:60])}, length = 9, bore = 1 }},"]
    return "\n".join([*lines, "]", ""])


class Checker:
    def __init__(self):
        self.count = self.wrong = 0

    def true(self, good, words):
        self.count += 1
        if not good:
            self.wrong += 1
            print(words)


def shown(text):
    """As it is printed: what turns the direction of writing is shown as a question mark."""
    return re.sub("[\u202a-\u202e\u2066-\u2069]", "?", text)


def check_names(checker, titles):
    folded = [title.casefold() for title in titles]
    checker.true(len(set(folded)) == len(folded), f"two sheets of one name: {titles}")
    for title in titles:
        legal = 0 < len(title.encode("utf-16-le")) // 2 <= 31 and not re.search(r"[\[\]:*?/\\]", title) \
            and not title.startswith("'") and not title.endswith("'") and title.casefold() != "history"
        checker.true(legal, f"no name for a sheet: {title!r}")


def check_strings(checker, path, title):
    book = Workbook(path)
    checker.true(len(book.book.sheetnames) == len(NAMES) + 4, f"{len(book.book.sheetnames)} sheets")
    check_names(checker, book.book.sheetnames)
    texts, formulas = set(), 0
    for sheet in book.book.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    formulas += 1
                    # Outside the names of sheets and our own words a formula holds names of ours, cells and numbers.
                    bare = re.sub(r"'(?:[^']|'')+'!|\"[^\"]*\"", "", cell.value[1:])
                    checker.true(re.fullmatch(r"[A-Za-z0-9_$:.,+\-*/^()<>=&]*", bare), f"{sheet.title}!{cell.coordinate}: {cell.value}")
                    try:
                        same = book.value(sheet.title, cell.coordinate), book.stored[sheet.title][cell.coordinate].value
                        checker.true(same[0] == same[1] or abs(same[0] - same[1]) < 1e-5, f"{cell.value}: {same}")
                    except (ValueError, KeyError, TypeError) as error:
                        checker.true(False, f"{sheet.title}!{cell.coordinate}: {cell.value}: {error}")
                elif cell.data_type == "s":
                    texts.add(cell.value)
    checker.true(formulas > 500, f"{formulas} formulas")
    for name in NAMES:
        for words in (name, "H" + name[:60]):
            checker.true(shown(words) in texts, f"{words!r} is not a text of its own")
    checker.true(any(text.startswith(shown(title[:100])) for text in texts), f"no title {title[:50]!r}")
    with zipfile.ZipFile(path) as parts:
        for part in parts.infolist():
            checker.true(part.date_time == (1980, 1, 1, 0, 0, 0), f"{part.filename} says when: {part.date_time}")
            if part.filename.endswith((".xml", ".rels")):
                root = ElementTree.fromstring(parts.read(part))      # well formed
                outside = [node.get("Target") for node in root.iter() if node.get("TargetMode") == "External"]
                checker.true(not outside, f"{part.filename} leads outside: {outside}")
        checker.true(not [name for name in parts.namelist() if "external" in name.lower() or "vba" in name.lower()], "more than sheets")
        strings = parts.read("xl/sharedStrings.xml").decode()
        checker.true("a_x005F_x0041_b" in strings, "_x0041_ would be read as A")
        core = parts.read("docProps/core.xml").decode()
        checker.true("2000-01-01T00:00:00Z" in core, "the file says when it was made")


def check_same(checker, binary, folder, case):
    """On any number of threads, where decimals have a comma, run after run, at another time."""
    comma, plain = german(folder / "locale"), {**os.environ, "LC_ALL": "C.UTF-8"}
    def bytes_of(*options, environment):
        path = folder / "same.xlsx"
        done = run(binary, "worksheet", case, "-o", path, *options, env=environment)
        checker.true(done.returncode in (0, 1), f"{options}: {done.stderr.decode()}")
        return path.read_bytes()
    first = bytes_of("--threads", "1", environment=plain)
    for options, environment in ((["--threads", "2"], plain), (["--threads", "8"], plain), (["--threads", "1"], comma),
                                 (["--format", "xlsx"], {**plain, "TZ": "Asia/Tokyo"})):
        checker.true(bytes_of(*options, environment=environment) == first, f"other bytes with {options}")
    upper = folder / "BOOK.XLSX"
    write_book(binary, case, upper)
    checker.true(upper.read_bytes() == first, "the ending in capitals")


def check_maker(checker, path):
    """The parts are sound, in their place, of one date, and no other program is named as the maker."""
    with zipfile.ZipFile(path) as parts:
        checker.true(parts.testzip() is None and parts.namelist()[0] == "[Content_Types].xml", f"parts {parts.namelist()}")
        checker.true({part.date_time for part in parts.infolist()} == {(1980, 1, 1, 0, 0, 0)}, "a date")
        about = ElementTree.fromstring(parts.read("docProps/app.xml"))
    told = {element.tag.split("}")[1]: element.text for element in about}
    checker.true(told["Application"] == "Evenhead" and "AppVersion" not in told and not told["Company"], f"made by {told}")


def check_files(checker, binary, folder, case):
    old = folder / "old.xlsx"
    old.write_text("old")
    done = run(binary, "worksheet", case, "--format", "xlsx")
    checker.true(done.returncode == 2 and b"-o worksheet.xlsx" in done.stderr and not done.stdout, f"no file: {done}")
    full = run(binary, "worksheet", case, "-o", "/dev/full", "--format", "xlsx")
    checker.true(full.returncode == 2 and b"No space left" in full.stderr, f"a full disk: {full}")
    done = subprocess.run(["bash", "-c", 'ulimit -f 8; exec "$@"', "-", str(binary), "worksheet", str(case), "-o", str(old)],
                          capture_output=True, check=False)
    checker.true(done.returncode == 2 and old.read_text() == "old", f"a disk that fills up: {done}")
    checker.true(b"cannot write" in done.stderr, f"says nothing of it: {done}")
    strays = [path.name for path in folder.iterdir() if path.name.startswith(".evenhead")]
    checker.true(not strays, f"left behind: {strays}")
    done = run(binary, "worksheet", case, "nobody", "-o", old)
    checker.true(done.returncode == 2 and old.read_text() == "old", f"no such head: {done}")
    done = run(binary, "worksheet", case, "-o", case, "--format", "xlsx")
    checker.true(done.returncode == 2, "over the case itself")


def check_failed(checker, binary, folder):
    """Three runs, of which one has more than one balance and one is dry; and as many runs as nobody wants sheets of."""
    case = folder / "failed.toml"
    case.write_text('ground = 0\nsupplies = [ { id = "s", static = 50 } ]\nnozzles = [ { id = "n", pressure = 30, flow = 1, min = 20 } ]\n'
                    'valves = [ { id = "a", cv = 5 }, { id = "b", cv = 5 }, { id = "c", cv = 5 } ]\n'
                    'devices = [ { id = "g", type = "gate", closed = true }, { id = "r1", type = "regulator", cv = 20, set = 30 },\n'
                    '  { id = "r2", type = "regulator", cv = 20, set = 30 } ]\n'
                    'heads = [ { id = "A", nozzle = "n" }, { id = "B", nozzle = "n" }, { id = "C", nozzle = "n" } ]\n'
                    'pipes = [ { along = "s 9 a 9 A", bore = 1 }, { along = "s 9 b 9 T 1 r1 0 M 9 B", bore = 1 },\n'
                    '  { along = "T 1 r2 0 M", bore = 1 }, { along = "s 9 c 9 g 9 C", bore = 1 } ]\n')
    path = folder / "failed.xlsx"
    checker.true(write_book(binary, case, path) == 3, "exit status where a run fails")
    book = openpyxl.load_workbook(path)
    checker.true(book.sheetnames == ["Summary", "Run a", "Notes", "Charts", "Constants"], f"sheets {book.sheetnames}")
    summary = [[cell.value for cell in row] for row in book["Summary"].iter_rows(min_row=6, max_row=8)]
    checker.true(summary[0][0] == "b" and summary[0][6] == "no proven solution", f"summary {summary}")
    checker.true(summary[1][0] == "a" and summary[2][0] == "c" and summary[2][6] == "no water", f"summary {summary}")
    words = " ".join(str(cell.value) for row in book["Summary"].iter_rows(min_row=9) for cell in row if cell.value)
    checker.true("Run b has no proven solution." in words and len(words) > 200, f"no reason: {words}")

    count = 70
    case.write_text("ground = 0\n" 'supplies = [ { id = "s", static = 50 } ]\nnozzles = [ { id = "n", pressure = 30, flow = 1, min = 20 } ]\n'
                    "valves = [\n" + "".join(f'{{ id = "v{i}", cv = 5 }},\n' for i in range(count)) + "]\n"
                    "heads = [\n" + "".join(f'{{ id = "h{i}", nozzle = "n" }},\n' for i in range(count)) + "]\n"
                    "pipes = [\n" + "".join(f'{{ along = "s {900 - i} v{i} 9 h{i}", bore = 0.5 }},\n' for i in range(count)) + "]\n")
    write_book(binary, case, path)
    book = openpyxl.load_workbook(path)
    runs = [title for title in book.sheetnames if title.startswith("Run ")]
    checker.true(len(runs) == 60 and runs[0] == "Run v0", f"{len(runs)} sheets, first {runs[0]}")
    listed = [book["Summary"].cell(row, 1).value for row in range(6, 6 + count)]
    checker.true(listed == [f"v{i}" for i in range(count)], f"not all runs, worst first: {listed}")
    words = " ".join(str(cell.value) for row in book["Summary"].iter_rows(min_row=6 + count) for cell in row if cell.value)
    checker.true("The 60 runs with the least margin have a sheet" in words, f"nothing of it said: {words}")
    # One head or one run: that sheet, and no summary.
    for options in (["h5"], ["--run", "v5"], ["h5", "--run", "v5"]):
        write_book(binary, case, path, *options)
        checker.true(openpyxl.load_workbook(path).sheetnames == ["Run v5", "Notes", "Charts", "Constants"], f"sheets of {options}")


def check_no_law(checker, binary, folder):
    """A meter that opens above 2 psi holds the half psi between two supplies while nothing flows: its number is the balance's."""
    case, path = folder / "spring.toml", folder / "spring.xlsx"
    case.write_text('ground = 0\nsupplies = [ { id = "A", static = 62 }, { id = "B", static = 61.5 } ]\n'
                    'devices = [ { id = "meter", type = "meter", flow = [0, 10, 20], loss = [2, 3, 5] } ]\n'
                    'nozzles = [ { id = "n", pressure = 30, flow = 1 } ]\nheads = [ { id = "Z", nozzle = "n", elev = 900 } ]\n'
                    'pipes = [ { along = "A 9 meter 9 T 9 Z", bore = 1 }, { along = "B 9 T", bore = 1 } ]\n')
    write_book(binary, case, path)
    book = Workbook(path)
    sheet = book.book["Run all"]
    row = next(cell.row for cell in sheet["A"] if cell.value == "meter")
    change = next(cell for cell in sheet[row] if isinstance(cell.value, float) and cell.value < 0)
    checker.true(abs(change.value + 0.5) < 1e-9 and change.fill.fill_type == "solid", f"change {change.value}")
    checker.true(any(cell.value == "no law: from the balance" for cell in sheet[row]), "nothing of it said")
    checker.true(any(cell.value == "Grey: from the balance, by no law" for cell in sheet["A"]), "no explanation of the grey")
    for at, cell, formula, stored in book.formulas():
        value = book.value(at, cell)
        checker.true(value == stored or abs(value - stored) < 1e-5, f"{at}!{cell} {formula}: {value}, not {stored}")
    checker.true(any(cell.value == "No wanted pressure is given" for cell in sheet["A"]), "no word of what is wanted")


def main(binary, folder, case):
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    checker = Checker()
    for title in TITLES:
        hostile = folder / "hostile.toml"
        hostile.write_text(case_of(title), encoding="utf-8")
        write_book(binary, hostile, folder / "hostile.xlsx")
        if title is TITLES[0]:
            check_strings(checker, folder / "hostile.xlsx", title)
        else:
            book = openpyxl.load_workbook(folder / "hostile.xlsx")
            checker.true(book["Summary"]["A1"].data_type == "s" and book["Summary"]["A1"].value.startswith(shown(title[:100])),
                         f"title {title[:50]!r} became {book['Summary']['A1'].value!r}")
            with zipfile.ZipFile(folder / "hostile.xlsx") as parts:
                for name in parts.namelist():
                    if name.endswith((".xml", ".rels")):
                        ElementTree.fromstring(parts.read(name))
    check_maker(checker, folder / "hostile.xlsx")
    check_same(checker, binary, folder, case)
    check_files(checker, binary, folder, case)
    check_failed(checker, binary, folder)
    check_no_law(checker, binary, folder)
    shutil.rmtree(folder)
    print(f"{checker.count} checks, {checker.wrong} wrong")
    return 1 if checker.wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3])))
