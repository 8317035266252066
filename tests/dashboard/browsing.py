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
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).parents[2]
APP = ROOT / "dashboard" / "app.py"
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
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
# A page opened below the root asks for the server there first, and then at the root.
LOOKED_FOR_BELOW = "/_stcore/"


@contextmanager
def serving(folder: Path, log: Path):
    """The app on a free port of this machine, until the block ends."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "streamlit", "run", str(APP)]
    command += ["--server.headless=true", f"--server.port={port}"]
    command += ["--server.address=127.0.0.1", "--", str(folder)]
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
        """Wait until no script runs."""
        self.page.wait_for_timeout(300)
        self.page.wait_for_selector("[data-test-script-state='notRunning']", timeout=30_000)
        self.page.wait_for_timeout(300)

    def choose(self, label: str, option: str) -> None:
        """Choose in a box by its label."""
        box = self.page.get_by_role("combobox", name=label).first
        box.scroll_into_view_if_needed()
        self.settle()  # a list of options closes when the page scrolls
        box.click()
        self.page.get_by_role("option", name=option, exact=True).click()
        self.settle()

    def write(self, label: str, words: str) -> None:
        """Write into a field by its label and leave it."""
        field = self.page.get_by_label(label, exact=True).last
        field.fill(words)
        field.press("Enter")
        self.settle()

    def press(self, label: str) -> None:
        """Press a button by the words on it, and wait for what comes of it."""
        self.page.get_by_role("button", name=label, exact=True).click()
        self.settle()

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
