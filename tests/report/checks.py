"""What is looked at in a report, whatever its case: each function hands back what is wrong, a sentence each."""

from __future__ import annotations

import csv
import html.parser
import io
import re
import subprocess
import tempfile
from pathlib import Path

from report.browser import Browser

# Letters that are seen, as boxes; two of them must not touch. Words of one text that are broken into lines count as one.
BOXES = """
  return [...document.querySelectorAll(arguments[0])].filter((text) => text.checkVisibility() && text.textContent.trim())
    .map((text) => { const box = text.getBoundingClientRect(); return [text.textContent, box.left, box.top, box.right, box.bottom]; });
"""
# Contrast of each text against the nearest ground behind it (WCAG 2.1, 1.4.3), by the page's own computed colours.
CONTRAST = """
  const parse = (text) => { const n = text.match(/[\\d.]+/g).map(Number); return n.length < 4 ? [...n, 1] : n; };
  const luminance = ([r, g, b]) => { const [x, y, z] = [r, g, b].map((v) => { v /= 255; return v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; });
    return 0.2126 * x + 0.7152 * y + 0.0722 * z; };
  const ground = (element) => { for (let e = element; e; e = e.parentElement) { const c = parse(getComputedStyle(e).backgroundColor); if (c[3] > 0) return c; }
    return [255, 255, 255, 1]; };
  const poor = new Map();
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const element = node.parentElement;
    if (!node.textContent.trim() || !element.checkVisibility() || element.closest('script, style, title, desc, #map')) continue;
    const style = getComputedStyle(element), ink = parse(element instanceof SVGElement ? style.fill : style.color);
    const one = luminance(ink), other = luminance(ground(element));
    const ratio = (Math.max(one, other) + 0.05) / (Math.min(one, other) + 0.05);
    const large = parseFloat(style.fontSize) >= 24 || (parseFloat(style.fontSize) >= 18.66 && style.fontWeight >= 600);
    if (ratio < (large ? 3 : 4.5)) poor.set(element.tagName + '.' + element.className.baseVal + element.className, [ratio, node.textContent.slice(0, 30)]);
  }
  return [...poor.entries()];
"""


def touching(boxes: list[list], slack: float = 0.5) -> list[str]:
    found = []
    for i, (one, left, top, right, bottom) in enumerate(boxes):
        for other, left2, top2, right2, bottom2 in boxes[i + 1:]:
            if min(right, right2) - max(left, left2) > slack and min(bottom, bottom2) - max(top, top2) > slack:
                found.append(f"{one!r} touches {other!r}")
    return found


def scale_apart(browser: Browser) -> list[str]:
    """North and the scale bar stand on no mark and on no name."""
    boxes = browser.run("return ['.scale', '#map :is(.mark, .halo, text)'].map((s) => [...document.querySelectorAll('#plan-sheet ' + s)]"
                        ".filter((e) => e.checkVisibility()).map((e) => { const b = e.getBoundingClientRect(); return [e.id || e.textContent, b.left, b.top, b.right, b.bottom]; }))")
    return [each for scale in boxes[0] for thing in boxes[1] for each in touching([scale, thing], 0)]


def one_size(browser: Browser) -> list[str]:
    """What is drawn twice, once for phones and once for desks, is seen once, and in the size for this window."""
    wide = browser.run("return matchMedia('(min-width: 56rem)').matches")
    seen = browser.run("return ['narrow', 'wide'].map((size) => [...document.querySelectorAll('main svg.' + size)].filter((e) => e.checkVisibility()).length)")
    return [f"{seen[wide]} drawings for this width and {seen[not wide]} for another"] if seen[not wide] or not seen[wide] else []


def labels(browser: Browser) -> list[str]:
    wrong = [f"plan: {words}" for words in touching(browser.run(BOXES, "#map text"))]
    shown = "return [...document.querySelectorAll('#map .elevations text')].filter((text) => text.getBoundingClientRect().width > 0).length"
    if browser.run(shown):
        wrong.append("elevations that nobody has asked for")
    browser.run("document.getElementById('elevations').click()")
    if not browser.run(shown):
        wrong.append("no elevations, though asked for")
    wrong += [f"plan with elevations: {words}" for words in touching(browser.run(BOXES, "#map text"))]
    browser.run("document.getElementById('elevations').click()")
    for sheet in browser.run("return [...document.querySelectorAll('.sheet')].map((sheet) => sheet.id)"):
        browser.run("for (const s of document.querySelectorAll('.sheet.chosen')) s.classList.remove('chosen');"
                    "document.getElementById(arguments[0]).classList.add('chosen')", sheet)
        wrong += [f"{sheet}: {words}" for words in touching(browser.run(BOXES, f"#{sheet} svg text"))]
        edge = browser.run("const svg = [...document.querySelectorAll(arguments[0])].find((s) => s.checkVisibility()), box = svg.getBoundingClientRect();"
                           "return [...svg.querySelectorAll('text')].filter((t) => { const b = t.getBoundingClientRect();"
                           "return b.left < box.left - 1 || b.right > box.right + 1 }).map((t) => t.textContent)", f"#{sheet} svg.grade")
        wrong += [f"{sheet}: {words!r} leaves its drawing" for words in edge]
    return wrong


def water(browser: Browser) -> list[str]:
    """The pictures of even watering: words that do not touch and stay in the picture, a value on most levels, and
    colours that go one way from the legend's first to its last."""
    wrong = []
    for i in range(browser.run("return document.querySelectorAll('svg.water').length")):
        picture = "document.querySelectorAll('svg.water')[arguments[0]]"
        boxes = browser.run(f"const svg = {picture}; return [...svg.querySelectorAll('text')].map((t) => {{ const b = t.getBoundingClientRect(); return [t.textContent, b.left, b.top, b.right, b.bottom] }})", i)
        wrong += [f"water {i}: {words}" for words in touching(boxes)]
        frame = browser.run(f"const b = {picture}.getBoundingClientRect(); return [b.left, b.top, b.right, b.bottom]", i)
        wrong += [f"water {i}: {box[0]!r} leaves its picture" for box in boxes
                  if box[1] < frame[0] - 1 or box[2] < frame[1] - 1 or box[3] > frame[2] + 1 or box[4] > frame[3] + 1]
        legend = browser.run(f"return [...{picture}.parentElement.querySelectorAll('.water-legend li')].map((l) => l.innerText)", i)
        levels = browser.run(f"return {picture}.querySelectorAll('.level').length", i)
        if len(legend) != levels + 2 or levels < 2:
            wrong.append(f"water {i}: {levels} levels, legend {legend}")
        lights = browser.run(f"return [...{picture}.parentElement.querySelectorAll('.water-legend span')].map((s) => "
                             "getComputedStyle(s).backgroundColor.match(/\\d+/g).map(Number).reduce((a, b) => a + b))", i)
        if lights != sorted(lights) and lights != sorted(lights, reverse=True) or len(set(lights)) != len(lights):
            wrong.append(f"water {i}: the colours of its legend go to and fro: {lights}")
    return wrong


def width(browser: Browser) -> list[str]:
    page, window = browser.run("return [document.documentElement.scrollWidth, innerWidth]")
    return [f"the page is {page} px wide in a window of {window} px"] if page > window else []


def contrast(browser: Browser) -> list[str]:
    return [f"contrast {ratio:.2f} of {what} {words!r}" for what, (ratio, words) in browser.run(CONTRAST)]


def light_on_paper(browser: Browser) -> list[str]:
    """Whoever reads in the dark prints on white paper."""
    browser.theme(True, "print")
    grounds = browser.run("return ['html', '#map', '.sheet'].map((s) => document.querySelector(s)).filter((e) => e).map((e) => {"
                          "for (; e; e = e.parentElement) { const c = getComputedStyle(e).backgroundColor; if (c !== 'rgba(0, 0, 0, 0)') return c; } })")
    browser.theme(False)
    return [f"printed on {ground}" for ground in grounds if ground != "rgb(255, 255, 255)"]


def quiet(browser: Browser) -> list[str]:
    return ([f"console: {message}" for message in browser.console()]
            + [f"request: {url}" for url in browser.requests() if not url.startswith("file://") or not url.endswith(".html")])


def structure(browser: Browser) -> list[str]:
    """Landmarks, headings in order, names of what is used, heads of tables, no id twice."""
    wrong = []
    levels = browser.run("return [...document.querySelectorAll('h1, h2, h3, h4')].map((h) => Number(h.tagName[1]))")
    if levels.count(1) != 1 or levels[0] != 1:
        wrong.append("not exactly one first heading")
    wrong += [f"heading {b} follows {a}" for a, b in zip(levels, levels[1:]) if b > a + 1]
    for selector in ("header", "main", "nav[aria-label]", "footer"):
        if browser.run("return document.querySelectorAll(arguments[0]).length", selector) != 1:
            wrong.append(f"not exactly one {selector}")
    twice = browser.run("const seen = new Set(), twice = []; for (const e of document.querySelectorAll('[id]'))"
                        "{ if (seen.has(e.id)) twice.push(e.id); seen.add(e.id); } return twice")
    wrong += [f"id {each} twice" for each in twice]
    nameless = browser.run("return [...document.querySelectorAll('button, input, select, [role=region], [role=group]')].filter((e) => "
                           "!(e.textContent.trim() && e.tagName === 'BUTTON') && !e.getAttribute('aria-label') && !(e.labels && e.labels.length)).map((e) => e.outerHTML)")
    wrong += [f"no name: {each[:80]}" for each in nameless]
    headless = browser.run("return [...document.querySelectorAll('th:not([scope])')].map((e) => e.outerHTML)")
    wrong += [f"no scope: {each[:80]}" for each in headless]
    return wrong


class Text(html.parser.HTMLParser):
    """Tables, scripts, and addresses of a page, read without a browser."""

    def __init__(self, page: str):
        super().__init__()
        self.tables: dict[str, int] = {}
        self.handlers: list[str] = []
        self.addresses: list[str] = []
        self.inside: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attributes: list) -> None:
        values = dict(attributes)
        if tag == "div" and "table" in (values.get("class") or "").split():
            self.inside.append(values["id"])
        if tag == "tr" and self.inside:
            self.tables[self.inside[-1]] = self.tables.get(self.inside[-1], 0) + 1
        self.handlers += [name for name in values if name.startswith("on")]
        self.addresses += [values[name] or "" for name in ("src", "href", "xlink:href", "action") if name in values]


def pages(pdf: Path) -> list[str]:
    text = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    return text.split("\f")[:-1]


def printed(browser: Browser, paper: str, sheets: list[dict]) -> list[str]:
    """Each worksheet is one page, if it has no more than 54 lines; every page has its number; the cover says what it
    has to."""
    with tempfile.TemporaryDirectory() as folder:
        pdf = Path(folder) / "report.pdf"
        browser.pdf(pdf, paper)
        found = pages(pdf)
        size = subprocess.run(["pdfinfo", str(pdf)], capture_output=True, text=True, check=True).stdout
    wrong = []
    if not re.search(r"Page size:.*" + ("595" if paper == "A4" else "612"), size):
        wrong.append(f"{paper}: not its size")
    for number, page in enumerate(found, 1):
        if not re.search(rf"Page {number} of {len(found)}\b", page):
            wrong.append(f"{paper}: page {number} of {len(found)} says no number")
    if "fire protection" not in found[0] or not re.search("Within limits|Outside limits|Not solved", found[0]):
        wrong.append(f"{paper}: the cover has no verdict or no word on fire protection")
    headed = [page for page in found if re.search(r"^\s*Run \S+: critical head", page, re.M)]
    if len(headed) != len(sheets):
        wrong.append(f"{paper}: {len(sheets)} worksheets on {len(headed)} pages")
    for page, sheet in zip(headed, sheets):
        if sheet["lines"] <= 54 and "Pressure at the nozzle" not in page:
            wrong.append(f"{paper}: a worksheet does not end on its page: {page.strip().splitlines()[0]}")
    for words in ("Method and sources", "How closely the numbers close", "cautions", "Findings"):
        if not any(words in page for page in found):
            wrong.append(f"{paper}: no {words}")
    return wrong


def csv_rows(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text)))
