"""A browser on a served project: pages opened, places on the plan, what went wrong on the way."""

from __future__ import annotations

import json
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import TimeoutError, expect

from dashboard.app import ADDRESS, PAGES

ROOT = Path(__file__).parents[2]
# Path of every page, and what is on it once it is drawn; a page that is not named has its title.
PATHS = {page: f"/{ADDRESS.get(page, page) or ''}" for page in PAGES}
_DRAWN = {
    "overview": ".pw-bar",
    "site_plan": ".plan canvas",
    "torque": ".js-plotly-plot .scatterlayer",
    "grout": ".js-plotly-plot",
    "steel": ".pw-table",
    "outstanding": ".pw-table",
    "pile": "[data-testid=stSelectbox]",
    "import_files": "[data-testid=stFileUploader]",
}
DRAWN = {path: _DRAWN.get(page, ".pw-title") for page, path in PATHS.items()}
APP = ROOT / "dashboard" / "app.py"
SERVED = APP.with_name("asgi.py")
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
# Marks of a file whose tests drive the browser.
IN_A_BROWSER = [
    pytest.mark.browser,
    pytest.mark.timeout(600),
    pytest.mark.skipif(CHROMIUM is None, reason="no chromium on this machine's path"),
]
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--ignore-gpu-blocklist",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
# Counts the script's runs and notes when the page last changed, so that a test can wait for
# stillness instead of a time.
WATCH = """
window.pwRuns = 0
window.pwMoved = performance.now()
new MutationObserver(changes => {
  window.pwMoved = performance.now()
  for (const change of changes)
    if (change.attributeName === 'data-test-script-state' &&
        change.target.getAttribute('data-test-script-state') === 'running') window.pwRuns += 1
}).observe(document, {subtree: true, childList: true, attributes: true, characterData: true})
"""
STILL = """() =>
  document.querySelector("[data-test-script-state='notRunning']") !== null &&
  performance.now() - window.pwMoved > 400
"""
# A page opened below the root asks for the server there first, and then at the root.
LOOKED_FOR_BELOW = "/_stcore/"


@contextmanager
def serving(folder: Path, log: Path, address: str = "127.0.0.1"):
    """The app on a free port of this machine, until the block ends."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "streamlit", "run", str(SERVED)]
    command += ["--server.headless=true", f"--server.port={port}"]
    command += [f"--server.address={address}", "--", str(folder)]
    with log.open("w") as out, subprocess.Popen(command, stdout=out, stderr=out) as server:
        try:
            _wait_for(f"http://127.0.0.1:{port}/_stcore/health", server, log)
            yield f"http://127.0.0.1:{port}"
        finally:
            server.terminate()


def _wait_for(address: str, server: subprocess.Popen, log: Path) -> None:
    for _ in range(120):
        try:
            with urllib.request.urlopen(address, timeout=2):
                return
        except (urllib.error.URLError, ConnectionError):
            assert server.poll() is None, log.read_text()
            time.sleep(0.5)
    raise AssertionError(f"the app did not start: {log.read_text()}")


class Visit:
    """One page in one browser context, and everything that went wrong on it."""

    def __init__(self, context, root: str) -> None:
        self.page = context.new_page()
        self.page.add_init_script(WATCH)
        self.root = root
        self.faults: list[str] = []
        self.outside: list[str] = []
        self.page.on("console", self._console)
        self.page.on("pageerror", lambda error: self.faults.append(str(error)))
        self.page.on("request", self._request)

    def _console(self, message) -> None:
        if message.type == "error" and LOOKED_FOR_BELOW not in message.location["url"]:
            self.faults.append(f"{message.text} {message.location['url']}")

    def _request(self, request) -> None:
        local = request.url.startswith((self.root, self.root.replace("http", "ws"), "data:"))
        if not local and not request.url.startswith("blob:"):
            self.outside.append(request.url)

    def open(self, path: str, wait_for: str) -> Visit:
        """Load a path and wait until ``wait_for`` is on the page and the script has ended."""
        self.page.goto(self.root + path)
        self.page.wait_for_selector(wait_for, timeout=60_000)
        self.settle()
        return self

    def settle(self) -> None:
        """Wait until no script runs and nothing on the page moves."""
        self.page.wait_for_timeout(150)
        # Asked at every frame, as is usual, the question itself keeps the browser drawing.
        self.page.wait_for_function(STILL, timeout=60_000, polling=50)

    def until_run(self, act: Callable[[], None]) -> None:
        """Act, once more if no script starts: a click is lost while the page redraws."""
        before = self.page.evaluate("window.pwRuns")
        try:
            self._act(act, before)
        except TimeoutError:
            self.settle()
            self._act(act, before)
        self.settle()

    def _act(self, act: Callable[[], None], before: int) -> None:
        if self.page.evaluate("window.pwRuns") == before:
            act()
        self.page.wait_for_function("n => window.pwRuns > n", arg=before, timeout=8_000)

    def choose(self, label: str, option: str) -> None:
        """Choose in a box by its label; a list that the page closes meanwhile is opened again."""
        box = self.page.get_by_role("combobox", name=label).first
        options = self.page.get_by_role("option", name=option, exact=True)
        box.scroll_into_view_if_needed()
        for _ in range(3):
            self.settle()  # a list of options closes when the page scrolls
            box.click()
            try:
                options.click(timeout=5_000)
                expect(box).to_have_value(option, timeout=5_000)
            except (TimeoutError, AssertionError):
                continue
            break
        self.settle()
        assert box.input_value() == option

    def write(self, label: str, words: str) -> None:
        """Write into a field by its label and leave it."""
        field = self.page.get_by_label(label, exact=True).last

        def act() -> None:
            field.fill(words)
            field.press("Enter")

        self.until_run(act)

    def press(self, label: str) -> None:
        """Press a button by the words on it, and wait for what comes of it."""
        self.until_run(self.page.get_by_role("button", name=label, exact=True).click)

    def place(self, row) -> tuple[float, float]:
        """Where on the screen the plan draws a pile."""
        canvas = self.page.locator(".plan canvas")
        box, view = canvas.bounding_box(), json.loads(canvas.get_attribute("data-view"))
        x = box["x"] + box["width"] / 2 + (row.easting_m - view["x"]) * view["scale"]
        y = box["y"] + box["height"] / 2 - (row.northing_m - view["y"]) * view["scale"]
        return x, y

    def chosen(self) -> str:
        """The pile shown in large type."""
        self.settle()
        return self.page.locator(".pw-big-pile").inner_text()

    def shows(self, pile: str) -> None:
        """Wait until ``pile`` is the one in large type, and the page is still."""
        expect(self.page.locator(".pw-big-pile")).to_have_text(pile, timeout=20_000)
        self.settle()
