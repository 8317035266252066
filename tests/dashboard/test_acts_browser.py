"""What changes the ledger, in a real browser: a sign-off, and an import beside an open page."""

from __future__ import annotations

import csv

from core import services
from tests.conftest import SAMPLE
from tests.dashboard.browsing import IN_A_BROWSER

pytestmark = IN_A_BROWSER


def test_a_person_with_the_right_signs_a_pile_off_on_its_page(visit, sample):
    piles = services.assess(sample).piles
    pile = piles.loc[piles["state"].eq("criteria met"), "pile_id"].iloc[-1]
    here = visit().open(f"/pile?piles={pile}", "[data-testid=stForm]")
    form = here.page.locator("[data-testid=stForm]")
    form.get_by_role("combobox").click()
    here.page.get_by_role("option", name="Erin Sample").click()
    form.get_by_role("textbox", name="Note").fill("Log and certificate read (invented)")
    form.get_by_role("button", name=f"Accept pile {pile}").click()
    here.page.get_by_text(f"Pile {pile} is accepted by Erin Sample.").wait_for(timeout=30_000)
    assert here.page.locator(".pw-big-state").inner_text() == "accepted"
    state = services.assess(sample).piles.set_index("pile_id")["state"]
    assert state[pile] == "accepted"


def test_an_import_while_the_page_is_open_is_shown_on_the_next_redraw(visit, sample, tmp_path):
    piles = services.assess(sample).piles
    idle = piles.loc[piles["state"].eq("not started") & piles["area"].eq("TW")].iloc[0]
    number = idle["position_id"]
    here = visit().open(f"/pile?piles={number}", ".pw-big-state")
    assert here.page.locator(".pw-big-state").inner_text() == "not started"
    before = here.page.locator(".pw-stamp").inner_text()
    report = services.import_files(sample, [_log_of(number, tmp_path)], by="Fay Sample")
    assert not report.refused, report.problems.to_string()
    here.page.get_by_role("button", name="Show the newer data").click(timeout=30_000)
    here.page.wait_for_selector(".js-plotly-plot", timeout=30_000)
    here.settle()
    assert here.page.locator(".pw-big-state").inner_text() != "not started"
    assert here.page.locator(".pw-stamp").inner_text() != before


def _log_of(pile, folder):
    """A day's log for ``pile``: that of W-17 under another number and name."""
    with (SAMPLE / "raw" / "log_rig1_2026-10-02.csv").open(encoding="utf-8", newline="") as lines:
        rows = [row for row in csv.DictReader(lines) if row["Pile"] == "W-17"]
    path = folder / "log_rig1_2026-10-03.csv"
    with path.open("w", encoding="utf-8", newline="") as lines:
        writer = csv.DictWriter(lines, list(rows[0]))
        writer.writeheader()
        writer.writerows(row | {"Pile": pile} for row in rows)
    return path
