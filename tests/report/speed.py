"""How fast a report opens and pans in headless Chromium.

    python3 -m report.speed REPORT [--first-paint SECONDS] [--loaded SECONDS] [--frame MILLISECONDS]

Prints when its first paint and its load event came, how long until it can be used (two frames after), how large it
is, and the frames while the zoomed plan is dragged and when it comes to rest. Fails where a bar is given and not met.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from pathlib import Path

from report.browser import Browser

FRAMES = """
  const done = arguments[0];
  requestAnimationFrame(() => requestAnimationFrame(() => done(performance.now())));
"""
WATCH = """
  window.frames_seen = [];
  let last = performance.now();
  const frame = (now) => { if (!window.frames_seen) return; window.frames_seen.push(now - last); last = now; requestAnimationFrame(frame); };
  requestAnimationFrame(frame);
"""


def drag(browser: Browser, steps: int) -> list[float]:
    """Drags the plan, and hands back the times between the frames seen meanwhile, in ms."""
    box = browser.run("document.getElementById('plan').scrollIntoView(); const r = document.getElementById('plan-window')"
                      ".getBoundingClientRect(); return [r.x + r.width / 2, r.y + Math.min(r.height, 700) / 2]")
    def mouse(kind: str, x: float, y: float) -> None:
        browser.cdp("Input.dispatchMouseEvent", {"type": kind, "x": x, "y": y, "button": "left", "clickCount": 1,
                                                 "buttons": 0 if kind == "mouseReleased" else 1})
    x, y = box
    browser.driver.execute_async_script(FRAMES)
    time.sleep(0.5)
    mouse("mousePressed", x, y)
    browser.run(WATCH)
    for i in range(steps):
        mouse("mouseMoved", x + 6 * (i + 1) * (1 if i % 20 < 10 else -1) / 2, y + 3 * (i % 10))
    frames = browser.run("const seen = window.frames_seen; window.frames_seen = null; return seen")
    mouse("mouseReleased", x + 60, y + 20)
    return frames[1:]


def measure(path: Path) -> dict[str, float]:
    with Browser(width=1280) as browser:
        browser.driver.set_script_timeout(60)
        begun = time.monotonic()
        browser.open(path)
        usable = browser.driver.execute_async_script(FRAMES)
        opened = time.monotonic() - begun
        paint = browser.run("return performance.getEntriesByType('paint').find(e => e.name === 'first-contentful-paint')?.startTime")
        load = browser.run("return performance.getEntriesByType('navigation')[0].loadEventEnd")
        browser.run("for (let i = 0; i < 4; ++i) report.view.zoom(1.4)")
        browser.driver.execute_async_script(FRAMES)
        frames = drag(browser, 60)
        rest = browser.driver.execute_async_script(
            "const done = arguments[0], begun = performance.now(); report.view.move(0.05, 0);"
            "requestAnimationFrame(() => requestAnimationFrame(() => done(performance.now() - begun)))")
        choose = browser.driver.execute_async_script(
            "const done = arguments[0], begun = performance.now(), s = document.getElementById('run');"
            "s.value = s.options[Math.floor(s.options.length / 2)].value; s.dispatchEvent(new Event('change'));"
            "requestAnimationFrame(() => requestAnimationFrame(() => done(performance.now() - begun)))")
        elements = browser.run("return document.getElementsByTagName('*').length")
        console = browser.console()
    if console:
        raise SystemExit(f"console: {console}")
    return {"first_paint_s": (paint or 0) / 1000, "load_s": load / 1000, "usable_s": usable / 1000, "opened_s": opened,
            "frames": len(frames), "frame_median_ms": statistics.median(frames), "frame_worst_ms": max(frames),
            "at_rest_ms": rest, "choose_run_ms": choose, "elements": elements}


def main() -> int:
    parser = argparse.ArgumentParser()
    parser.add_argument("report", type=Path)
    parser.add_argument("--first-paint", type=float)
    parser.add_argument("--loaded", type=float)
    parser.add_argument("--frame", type=float)
    options = parser.parse_args()
    found = measure(options.report)
    print(f"{options.report.name}: {options.report.stat().st_size / 1e6:.1f} MB")
    for name, value in found.items():
        print(f"  {name:16} {value:.2f}" if isinstance(value, float) else f"  {name:16} {value}")
    missed = [name for name, bar in (("first_paint_s", options.first_paint), ("opened_s", options.loaded),
                                     ("frame_median_ms", options.frame)) if bar is not None and found[name] > bar]
    for name in missed:
        print(f"missed: {name}")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
