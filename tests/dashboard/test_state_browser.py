"""Choices in a real browser: what is picked is in the address, on every page, and comes back."""

from __future__ import annotations

from urllib.parse import parse_qs, urlparse

import pytest
from playwright.sync_api import expect

from tests.dashboard.browsing import IN_A_BROWSER

pytestmark = IN_A_BROWSER


def said(here) -> dict[str, list[str]]:
    """What the address says."""
    return parse_qs(urlparse(here.page.url).query)


def go(here, page: str) -> None:
    """Go to a page by the navigation at the top."""
    here.settle()
    here.page.get_by_role("link", name=page, exact=True).first.click()
    here.page.wait_for_url(f"**/{page.lower().replace(' ', '_')}*")
    here.settle()


def test_what_widgets_hold_follows_from_page_to_page(visit):
    here = visit(height=1200).open("/torque", ".js-plotly-plot .scatterlayer")
    here.until_run(here.page.get_by_role("radio", name="level", exact=True).click)
    assert said(here) == {"axis": ["level"]}
    here.until_run(here.page.get_by_role("radio", name="US", exact=True).click)
    assert said(here) == {"axis": ["level"], "units": ["US"]}
    here.choose("Area and type", "BW · B1")
    held = {"axis": ["level"], "units": ["US"], "area": ["BW"], "type": ["B1"]}
    assert said(here) == held
    for page in ("Outstanding", "Site plan", "Steel", "Torque"):
        go(here, page)
        assert said(here) == held, page
    expect(here.page.get_by_role("radio", name="level", exact=True)).to_be_checked()
    # A widget drawn anew on this page is bound, too: what it says now is what the address says.
    here.until_run(here.page.get_by_role("radio", name="SI", exact=True).click)
    del held["units"]
    here.settle()
    assert said(here) == held
    go(here, "Outstanding")
    assert said(here) == held


def test_the_way_back_shows_the_choice_of_before(visit):
    here = visit().open("/pile?piles=P-105", ".pw-big-pile")
    here.press("Next")
    here.shows("P-106")
    here.settle()
    here.page.go_back()
    here.shows("P-105")
    here.settle()
    here.page.go_forward()
    here.shows("P-106")


@pytest.mark.parametrize("page", ["torque", "outstanding", "grout"])
def test_a_reload_keeps_the_view(visit, page):
    here = visit().open(f"/{page}?piles=P-105&area=PH&units=US", ".pw-stamp")
    before = said(here)
    here.page.reload()
    here.page.wait_for_selector(".pw-stamp")
    here.settle()
    assert said(here) == before == {"piles": ["P-105"], "area": ["PH"], "units": ["US"]}
