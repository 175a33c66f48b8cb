"""Debian's headless Chromium on a file, with its console and its requests watched."""

from __future__ import annotations

import base64
import json
import tempfile
import time
from pathlib import Path

from selenium import webdriver
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service

FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
         "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage", "--hide-scrollbars"]
PAPER = {"A4": (8.268, 11.693), "Letter": (8.5, 11.0)}  # in


class Browser:
    """`with Browser(width=390) as browser: browser.open(path)`."""

    def __init__(self, width: int = 1280, height: int = 900, dark: bool = False, script: bool = True, touch: bool = False):
        self.width, self.height, self.dark, self.script, self.touch = width, height, dark, script, touch

    def __enter__(self) -> Browser:
        self.folder = tempfile.TemporaryDirectory(prefix="evenhead-browser-", ignore_cleanup_errors=True)
        options = Options()
        for flag in [*FLAGS, f"--user-data-dir={self.folder.name}", "--window-size=1300,1000"]:
            options.add_argument(flag)
        options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
        self.driver = webdriver.Chrome(options=options, service=Service("/usr/bin/chromedriver"))
        self.cdp = self.driver.execute_cdp_cmd
        self.resize(self.width, self.height)
        self.theme(self.dark)
        if self.touch:
            self.cdp("Emulation.setTouchEmulationEnabled", {"enabled": True})
        if not self.script:
            self.cdp("Emulation.setScriptExecutionDisabled", {"value": True})
        self.driver.get("about:blank")  # what the browser shows when it starts is not of our page
        self.console(), self.requests()
        return self

    def __exit__(self, *_: object) -> None:
        self.driver.quit()
        self.folder.cleanup()

    def resize(self, width: int, height: int = 900) -> None:
        self.cdp("Emulation.setDeviceMetricsOverride",
                 {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 600})

    def theme(self, dark: bool, media: str = "") -> None:
        """`media`: "print" as it would be printed, "" for the screen."""
        self.cdp("Emulation.setEmulatedMedia",
                 {"media": media, "features": [{"name": "prefers-color-scheme", "value": "dark" if dark else "light"}]})

    def open(self, path: Path, fragment: str = "") -> float:
        """Opens the file; seconds until it is loaded."""
        begun = time.monotonic()
        self.driver.get(Path(path).resolve().as_uri() + fragment)
        return time.monotonic() - begun

    def run(self, script: str, *arguments: object) -> object:
        return self.driver.execute_script(script, *arguments)

    def console(self) -> list[str]:
        return [entry["message"] for entry in self.driver.get_log("browser")]

    def requests(self) -> list[str]:
        """What has been asked for, by address."""
        found = []
        for entry in self.driver.get_log("performance"):
            message = json.loads(entry["message"])["message"]
            if message["method"] == "Network.requestWillBeSent":
                found.append(message["params"]["request"]["url"])
        return found

    def picture(self, path: Path, whole: bool = False, clip: dict | None = None) -> None:
        """A PNG of the window, of the whole page, or of a part of it (x, y, width, height in px of the page)."""
        options: dict = {"format": "png", "captureBeyondViewport": whole or clip is not None}
        if clip:
            options["clip"] = {**clip, "scale": 1}
        elif whole:
            size = self.cdp("Page.getLayoutMetrics", {})["cssContentSize"]
            options["clip"] = {"x": 0, "y": 0, "width": size["width"], "height": size["height"], "scale": 1}
        Path(path).write_bytes(base64.b64decode(self.cdp("Page.captureScreenshot", options)["data"]))

    def pdf(self, path: Path, paper: str = "A4") -> None:
        wide, high = PAPER[paper]
        done = self.cdp("Page.printToPDF", {"paperWidth": wide, "paperHeight": high, "printBackground": True,
                                            "preferCSSPageSize": False})
        Path(path).write_bytes(base64.b64decode(done["data"]))
