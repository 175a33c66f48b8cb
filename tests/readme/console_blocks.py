"""Runs what a README shows: every ```console block, command by command, and compares the output to the byte.

A line that starts with "$ " is a command, the lines below it are its output (standard output and error together).
A line "..." stands for any number of lines. A ```toml or ```csv block with a file's name is written to that file first. Commands run in a copy of the project's cases, in the order of the file;
`evenhead` and `build/evenhead` are the program under test, and lines that build it are passed over: it is built.

usage: console_blocks.py PROGRAM PROJECT README [--write]
       --write puts the program's output into the README instead of comparing; read the difference before you commit it
"""

import difflib
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

BLOCK = re.compile(r"^```console\n(.*?)^```", re.S | re.M)
FILE = re.compile(r"^```(?:toml|csv) (\S+)\n(.*?)^```", re.S | re.M)
CAUTIONS = "For irrigation sprinklers, not for fire protection. Not"
BUILDS = ("bash cases/demo.sh", "bash tests/run.sh", "cmake ", "sudo ", "cpack", "git ")


def steps_of(block):
    """[(command, [output lines])] of one console block."""
    steps = []
    for line in block.splitlines():
        if line.startswith("$ "):
            steps.append((line[2:], []))
        elif steps:
            steps[-1][1].append(line)
        else:
            raise SystemExit(f"output before any command: {line}")
    return steps


def same(expected, actual):
    """Line by line; "..." swallows any number of lines."""
    if "..." not in expected:
        return expected == actual
    pattern = "".join("(?:.*\n)*" if line == "..." else re.escape(line) + "\n" for line in expected)
    return re.fullmatch(pattern, "".join(line + "\n" for line in actual)) is not None


def elided(expected, actual):
    """What --write puts down: a block that ended with "..." still does, from the cautions that end every answer on."""
    cautions = [number for number, line in enumerate(actual) if line.startswith(CAUTIONS)]
    return actual[: cautions[0]] + ["..."] if expected[-1:] == ["..."] and cautions else actual


class Bench:
    """A folder with a copy of the cases, where commands run."""

    def __init__(self, program, project, folder):
        self.folder = folder
        shutil.copytree(project / "cases", f"{folder}/cases")
        os.makedirs(f"{folder}/build")
        os.symlink(os.path.abspath(program), f"{folder}/build/evenhead")
        path = f"{folder}/build:{os.environ['PATH']}"
        self.environment = {**os.environ, "PATH": path, "LC_ALL": "C.UTF-8", "NO_COLOR": "1"}
        self.commands = 0

    def output(self, command):
        self.commands += 1
        done = subprocess.run(["bash", "-c", command], cwd=self.folder, env=self.environment, text=True, timeout=120,
                              stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
        return [line.rstrip() for line in done.stdout.splitlines()]


def main(program, project, readme, *options):
    readme = pathlib.Path(readme)
    text = readme.read_text(encoding="utf-8")
    differences = 0
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(program, pathlib.Path(project), folder)

        for name, content in FILE.findall(text):
            pathlib.Path(folder, name).write_text(content, encoding="utf-8")

        def run(match):
            nonlocal differences
            lines = []
            for command, expected in steps_of(match[1]):
                actual = expected if command.startswith(BUILDS) else bench.output(command)
                if not same(expected, actual):
                    differences += 1
                    print(f"{readme}: block at line {text[: match.start()].count(chr(10)) + 1}: $ {command}")
                    print("\n".join(difflib.unified_diff(expected, actual, "README", "program", lineterm="")))
                lines += [f"$ {command}", *(expected if same(expected, actual) else elided(expected, actual))]
            return "```console\n" + "".join(line + "\n" for line in lines) + "```"

        written = BLOCK.sub(run, text)
        if bench.commands == 0:
            raise SystemExit(f"{readme} shows no command that could be run")
    print(f"{readme}: {bench.commands} commands run, {differences} differ")
    if "--write" in options:
        readme.write_text(written, encoding="utf-8")
        return 0
    return 1 if differences else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
