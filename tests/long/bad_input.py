"""Time and memory of bad input, in the build that people get: see bad_input.sh.

    python3 bad_input.py PROGRAM [--spoilt COUNT] [--seed SEED]
"""

import argparse
import os
import pathlib
import random
import re
import shutil
import sys
import tempfile

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "bad"))
import run as bad  # noqa: E402

SECONDS, KIBIBYTES = 1.0, 500_000  # the bar of issue and README: 1 s, 500 MB
HANG = 20  # s, then it is ended


def measure(program, where, asked):
    """Exit status (of `timeout`: 124 where it had to end the program, above 128 where a signal did), seconds of the
    processor (a busy machine stretches those of the clock), KiB at most in memory, standard error."""
    errors = os.path.join(where, "errors")
    process = os.fork()
    if process == 0:
        os.chdir(where)
        for stream, path, how in ((0, "/dev/null", os.O_RDONLY), (1, "/dev/null", os.O_WRONLY),
                                  (2, errors, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)):
            os.dup2(os.open(path, how, 0o644), stream)
        os.execv("/usr/bin/env", ["env", "timeout", str(HANG), program, *asked, "-o", "OUT"])
    _, status, used = os.wait4(process, 0)
    seconds = used.ru_utime + used.ru_stime
    with open(errors, encoding="utf-8", errors="replace") as file:
        return os.waitstatus_to_exitcode(status), seconds, used.ru_maxrss, file.read()


class Tally:
    def __init__(self):
        self.measured, self.faults = [], []

    def add(self, name, ended, wanted):
        status, seconds, memory, said = ended
        self.measured.append((seconds, memory, name))
        if status not in wanted:
            self.faults.append(f"{name}: exit status {status}: {said[-300:]}")
        if seconds > SECONDS:
            self.faults.append(f"{name}: {seconds:.2f} s")
        if memory > KIBIBYTES:
            self.faults.append(f"{name}: {memory / 1000:.0f} MB")
        return said


def all_bad_cases(program, tally):
    for folder in sorted(path for path in (HERE.parent / "bad").iterdir() if path.is_dir() and any(path.glob("*.expected"))):
        for name in bad.names_of(folder):
            with tempfile.TemporaryDirectory(prefix="evenhead-bad-") as where:
                case = bad.prepare(folder, name, where)
                # Who may read everything reads what others may not.
                wanted = (0, 2) if (pathlib.Path(where) / "as-nobody").exists() and os.geteuid() == 0 else (2,)
                tally.add(f"{folder.name}/{name}", measure(program, where, bad.question(folder, case)), wanted)


def spoil(content, chance):
    """Cut off, or a few bytes exchanged, doubled or left out."""
    if chance.random() < 0.3:
        return content[: chance.randrange(len(content))]
    content = bytearray(content)
    for _ in range(chance.choice((1, 1, 2, 5))):
        at = chance.randrange(len(content))
        what = chance.random()
        if what < 0.4:
            content[at:at + 1] = bytes([chance.choice(b'"\'[]{},;=#.\n\r\t -+/0123456789aeinf\0\xff\x80\xc3')])
        elif what < 0.7:
            del content[at:at + chance.choice((1, 2, 20))]
        else:
            end = min(len(content), at + chance.choice((1, 5, 200)))
            content[at:at] = content[at:end]
        if not content:
            return b""
    return bytes(content)


def all_spoilt_cases(program, count, seed, tally):
    chance = random.Random(seed)
    cases = sorted((HERE.parent.parent / "cases").glob("*/case.toml"))
    statuses = {}
    for number in range(count):
        case = chance.choice(cases)
        with tempfile.TemporaryDirectory(prefix="evenhead-bad-") as where:
            for file in case.parent.iterdir():
                if file.suffix in (".toml", ".csv"):
                    shutil.copy(file, where)
            file = pathlib.Path(where) / chance.choice(sorted(os.listdir(where)))
            file.write_bytes(spoil(file.read_bytes(), chance))
            ended = measure(program, where, ("check", "case.toml"))
            said = tally.add(f"{case.parent.name} spoilt, number {number} of seed {seed}", ended, (0, 1, 2, 3))
            statuses[ended[0]] = statuses.get(ended[0], 0) + 1
            if ended[0] == 2 and not re.search(r"^[^\s:]+:\d+:\d+: error: ", said, re.MULTILINE):
                tally.faults.append(f"{case.parent.name} spoilt, number {number} of seed {seed}: no place is named: {said[:300]}")
            if ended[0] == 2 and (pathlib.Path(where) / "OUT").exists():
                tally.faults.append(f"{case.parent.name} spoilt, number {number} of seed {seed}: refused, but written")
    return statuses


def main():
    options = argparse.ArgumentParser()
    options.add_argument("program", type=os.path.abspath)
    options.add_argument("--spoilt", type=int, default=2000)
    options.add_argument("--seed", type=int, default=1)
    chosen = options.parse_args()
    tally = Tally()
    all_bad_cases(chosen.program, tally)
    print(f"{len(tally.measured)} bad cases")
    statuses = all_spoilt_cases(chosen.program, chosen.spoilt, chosen.seed, tally)
    print(f"{chosen.spoilt} spoilt cases, by exit status: {dict(sorted(statuses.items()))}")
    slowest, largest = max(tally.measured), max(tally.measured, key=lambda one: one[1])
    print(f"slowest: {slowest[0]:.2f} s, {slowest[2]} (bar: {SECONDS:g} s)")
    print(f"largest: {largest[1] / 1000:.0f} MB, {largest[2]} (bar: {KIBIBYTES / 1000:.0f} MB)")
    print("\n".join([*tally.faults, f"{len(tally.faults)} faults"]))
    return 1 if tally.faults else 0


if __name__ == "__main__":
    sys.exit(main())
