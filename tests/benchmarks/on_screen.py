"""Server time of a page's rerun, and the Site plan in Chromium after a change."""

from __future__ import annotations

import statistics
import sys
import time
from pathlib import Path

from playwright.sync_api import sync_playwright
from streamlit.testing.v1 import AppTest

from core import services
from dashboard.app import PAGES as ALL_PAGES
from tests.dashboard.browsing import APP, ARGUMENTS, CHROMIUM, Visit, serving

# The Import page reads files, not the assessment.
PAGES = [page for page in ALL_PAGES if page != "import_files"]
CANVAS = ".plan canvas"
QUIET = 0.55  # seconds that the page must stand still before it counts as drawn


def reruns(folder: Path) -> dict[str, float]:
    """Median over the pages of a rerun's server time, and that of the slowest."""
    sys.argv = ["app.py", str(folder)]
    times = {}
    for page in PAGES:
        app = AppTest.from_file(APP, default_timeout=120)
        app.query_params["pile"] = "P1"
        app.run()
        app.switch_page(f"screens/{page}.py").run()
        app.run()
        begun = time.perf_counter()
        app.run()
        times[f"rerun_{page}_s"] = time.perf_counter() - begun
    values = list(times.values())
    return {**times, "rerun_s": statistics.median(values), "rerun_slowest_s": max(values)}


def plan(folder: Path, parent: Path, pile: str) -> dict[str, float]:
    """First Site plan after ``pile`` is accepted, and a click on it, as a person waits for it."""
    with sync_playwright() as engine, serving(folder, parent / "server.log") as root:
        browser = engine.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        visit = Visit(browser.new_context(viewport={"width": 1440, "height": 900}), root)
        visit.open("/site_plan", CANVAS)  # the first visit loads the program's parts
        services.accept(folder, [pile], "Ada Invented", "benchmark")
        begun = time.perf_counter()
        visit.open("/site_plan", CANVAS)
        first = time.perf_counter() - begun - QUIET
        begun = time.perf_counter()
        visit.open("/site_plan", CANVAS)
        again = time.perf_counter() - begun - QUIET
        piles = services.assess(folder).piles
        x, y = visit.place(piles[piles["pile_id"].eq("P3")].iloc[0])
        begun = time.perf_counter()
        visit.until_run(lambda: visit.page.mouse.click(x, y))
        click = time.perf_counter() - begun - QUIET
        browser.close()
    return {"first_plan_s": first, "plan_again_s": again, "click_s": click}
