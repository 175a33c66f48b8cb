"""Bad cases: each is refused with exit status 2, with the message that stands beside it, and nothing is written.

    python3 run.py PROGRAM FOLDER [--write]

FOLDER holds NAME.toml (and NAME.csv, or the rule set NAME.txt, where the case names one) beside NAME.expected: all that the program says on
standard error, with file, line, column and mend. In the folder diagnose the cases are good: NAME.csv is a file of readings,
and the program is asked to diagnose the case by them; in the folders size, timetable and export it is asked that of the case, in
the folder sheets to make the crew's sheets with the table NAME.txt; in the folder coverage NAME.csv is a file of catch cans. In
the folder import NAME.geojson or NAME.csv is a survey. A line `...` stands for any number of lines. What cannot lie in a
folder (named pipes, links, other encodings, megabytes) is made by generated.py, and its messages lie in
generated/NAME.expected. --write writes the messages anew: read the difference, word by word.
"""

import concurrent.futures
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

import generated

LIMIT = 60  # s; a build with sanitizers on a busy machine is slow. The bar of 1 s is in tests/long/bad_input.py.
MUCH = 1_000_000  # bytes
SURVEYS = (".geojson", ".csv")


def names_of(folder):
    if folder.name == "generated":
        return sorted(generated.MAKERS)
    if folder.name == "import":
        return sorted(path.stem for path in folder.iterdir() if path.suffix in SURVEYS)
    return sorted(path.stem for path in folder.glob("*.toml"))


def prepare(folder, name, where):
    """Puts the case into an empty folder; its path as the program gets it."""
    if folder.name == "generated":
        return generated.MAKERS[name](pathlib.Path(where)) or "case.toml"
    for ending in (".toml", ".txt", *SURVEYS):
        if (folder / (name + ending)).exists():
            shutil.copy(folder / (name + ending), where)
            survey = name + ending
    return survey if folder.name == "import" else name + ".toml"


def matches(said, expected):
    pattern = "".join(r"(?:.*\n)*?" if line == "...\n" else re.escape(line) for line in expected.splitlines(keepends=True))
    return re.fullmatch(pattern, said) is not None


def everything_in(where):
    """Names and what a write would change of everything there; reads nothing (a pipe would block)."""
    return sorted((str(path), path.lstat().st_size, path.lstat().st_mtime_ns) for path in pathlib.Path(where).rglob("*"))


def question(folder, case):
    """What the program is asked."""
    if folder.name == "diagnose":
        return "diagnose", case, case.removesuffix(".toml") + ".csv"
    if folder.name == "coverage":
        return "coverage", case, "--cans", case.removesuffix(".toml") + ".csv"
    if folder.name in ("size", "timetable", "export", "import"):
        return folder.name, case
    if folder.name == "sheets":
        return "sheets", case, "--crew-table", case.removesuffix(".toml") + ".txt"
    return "check", case


def run(program, where, asked, *options):
    account = {}
    if os.geteuid() == 0 and (pathlib.Path(where) / "as-nobody").exists():
        account = {"user": 65534, "group": 65534, "extra_groups": []}
    return subprocess.run([program, *asked, *options], cwd=where, capture_output=True, stdin=subprocess.DEVNULL,
                          timeout=LIMIT, env={**os.environ, "LC_ALL": "C"}, **account)


def check(program, folder, name, write):
    """What is wrong with one case; empty: nothing."""
    with tempfile.TemporaryDirectory(prefix="evenhead-bad-") as where:
        os.chmod(where, 0o755)
        case = prepare(folder, name, where)
        before = everything_in(where)
        if case != "as-nobody" and (pathlib.Path(where) / "as-nobody").exists():
            shutil.copy(program, pathlib.Path(where) / "program")
            program, before = str(pathlib.Path(where) / "program"), None
        asked = question(folder, case)
        ended = run(program, where, asked, "-o", "OUT")
        faults = []
        if ended.returncode != 2:
            faults.append(f"exit status {ended.returncode}, not 2")
        if ended.stdout:
            faults.append(f"standard output: {ended.stdout[:200]!r}")
        if before is not None and everything_in(where) != before or (pathlib.Path(where) / "OUT").exists():
            faults.append("something was written")
        said = ended.stderr.decode("utf-8", "backslashreplace")
        expected = folder / (name + ".expected")
        if write:
            expected.write_text(shortened(said), encoding="utf-8")
        if not expected.exists():
            faults.append(f"{expected.name} is missing")
        elif not matches(said, expected.read_text(encoding="utf-8")):
            faults.append(f"it says\n{said[:3000]}\ninstead of\n{expected.read_text(encoding='utf-8')[:3000]}")
        if sum(size for _, size, _ in everything_in(where)) > MUCH and not write:
            return faults  # once is enough
        # The same for a machine, over an older result that has to stay.
        old = pathlib.Path(where) / "OLD"
        old.write_text("an older result\n")
        machine = () if folder.name == "export" else ("--format", "json")
        again = run(program, where, asked, *machine, "-o", "OLD")
        if (again.returncode, again.stdout, again.stderr) != (2, b"", ended.stderr):
            faults.append(f"--format json ends otherwise: {again.returncode} {again.stdout[:200]!r} {again.stderr[:500]!r}")
        if old.read_text() != "an older result\n":
            faults.append("the older result did not stay")
        return faults


def shortened(said):
    """Hundreds of errors of one sort need not lie here: the first and the last few."""
    lines = said.splitlines(keepends=True)
    return said if len(lines) <= 60 else "".join([*lines[:12], "...\n", *lines[-8:]])


def main():
    program, folder = os.path.abspath(sys.argv[1]), pathlib.Path(sys.argv[2])
    write = "--write" in sys.argv
    names = names_of(folder)
    strays = {path.stem for path in folder.iterdir()} - set(names)
    failed = [f"{stray}: belongs to no case" for stray in sorted(strays)]
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        for name, faults in zip(names, pool.map(lambda name: check(program, folder, name, write), names)):
            failed += [f"{name}: {fault}" for fault in faults]
    print("\n".join([*failed, f"{folder.name}: {len(names)} bad cases, {len(failed)} faults"]))
    return 1 if failed or not names else 0


if __name__ == "__main__":
    sys.exit(main())
