"""Checks a shipped case against its facts: tests/cases/CASE.json says what cases/CASE is there to show.

    status      exit status of `check`
    runs        number of runs
    fails       every finding that fails, as "rule subject" or "run: rule subject"; "*" as subject: any number of them
    warnings    text that some warning must contain, one entry each
    assumptions text that some assumption must name, one entry each

usage: check_facts.py PROGRAM CASE_FOLDER FACTS
"""

import json
import subprocess
import sys


def matches(expected, actual):
    """Both as sets of "run: rule subject"; an expected "... *" covers any subject of that run and rule."""
    exact = {item for item in expected if not item.endswith(" *")}
    wide = {item[:-1] for item in expected if item.endswith(" *")}
    problems = [f"not found: {item}" for item in sorted(exact - actual)]
    problems += [f"not found: {stem}*" for stem in sorted(wide) if not any(a.startswith(stem) for a in actual)]
    problems += [f"not expected: {item}" for item in sorted(actual - exact)
                 if not any(item.startswith(stem) for stem in wide)]
    return problems


def main(program, folder, facts_path):
    with open(facts_path, encoding="utf-8") as file:
        facts = json.load(file)
    done = subprocess.run([program, "check", f"{folder}/case.toml", "--format", "json"],
                          text=True, timeout=300, capture_output=True)
    if done.returncode != facts["status"]:
        print(done.stderr)
        raise SystemExit(f"exit status {done.returncode}, not {facts['status']}")
    result = json.loads(done.stdout)

    problems = []
    if len(result["runs"]) != facts["runs"]:
        problems.append(f"{len(result['runs'])} runs, not {facts['runs']}")
    for run in result["runs"]:
        if "error" in run or not run["closure"]["solved"]:
            problems.append(f"{run['id']}: not solved")
    found = {f"{run['id']}: {f['rule']} {f['subject']}" for run in result["runs"] for f in run["findings"] if f["fails"]}
    found |= {f"{f['rule']} {f['subject']}" for f in result["findings"] if f["fails"]}
    problems += matches(set(facts["fails"]), found)
    if result["ok"] != (facts["status"] == 0):
        problems.append(f"ok is {result['ok']}")

    warnings = [w["text"] for w in result["warnings"]]
    for wanted in facts.get("warnings", []):
        if not any(wanted in text for text in warnings):
            problems.append(f"no warning says: {wanted}")
    if "warnings" in facts and len(warnings) != len(facts["warnings"]):
        problems.append("warnings:\n  " + "\n  ".join(warnings))
    assumed = [f"{a['subject']}: {a['what']}" for a in result["assumptions"]]
    for wanted in facts.get("assumptions", []):
        if not any(wanted in text for text in assumed):
            problems.append(f"no assumption names: {wanted}; they are {assumed}")

    if problems:
        raise SystemExit("\n".join(problems))
    print(f"{len(result['runs'])} runs, {len(found)} failing findings")


if __name__ == "__main__":
    main(*sys.argv[1:])
