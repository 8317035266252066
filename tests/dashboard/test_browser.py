"""The screens in a real browser: opened, clicked, tapped, linked, and looked at."""

from __future__ import annotations

import io
import json
from urllib.parse import parse_qs, urlparse

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe

from core import services
from dashboard import theme
from tests.dashboard.browsing import DRAWN, IN_A_BROWSER

pytestmark = IN_A_BROWSER
SCREENS = {**DRAWN, "/steel?query=A51333": ".js-plotly-plot"}


@pytest.fixture(scope="module")
def placed(sample):
    """Four piles far from any other, so that a place means one pile."""
    piles = services.assess(sample).piles.dropna(subset=["easting_m", "northing_m", "pile_id"])
    spots = piles[["easting_m", "northing_m"]].to_numpy()
    apart = np.hypot(*(spots[:, None] - spots[None]).transpose(2, 0, 1))
    np.fill_diagonal(apart, np.inf)
    lonely = piles[apart.min(axis=1) > 2.0]
    return list(lonely.iloc[[0, len(lonely) // 3, len(lonely) // 2, -1]].itertuples())


@pytest.mark.parametrize(
    ("width", "height", "colours"), [(1440, 900, "light"), (820, 1180, "dark")]
)
@pytest.mark.parametrize("path", SCREENS)
def test_a_screen_opens_whole_and_is_within_reach_of_everybody(visit, path, width, height, colours):
    page = visit(width, height, color_scheme=colours).open(path, SCREENS[path]).page
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    assert "Data as of entry" in page.locator(".pw-stamp").inner_text()
    # Tab goes through the page as it is read: nothing jumps the queue.
    assert page.locator("[tabindex]:not([tabindex='0'], [tabindex='-1'])").count() == 0
    assert barriers(page) == []


def barriers(page):
    """What stands in the way of somebody, by WCAG 2.2 A and AA: contrast, names, target size …"""
    levels = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
    options = {"runOnly": levels, "resultTypes": ["violations"]}
    found = Axe().run(page, options=options).response["violations"]
    serious = [one for one in found if one["impact"] in ("serious", "critical")]
    return [(one["id"], node["html"][:200]) for one in serious for node in one["nodes"]]


def test_a_click_chooses_the_pile_under_it(visit, placed):
    here = visit().open("/site_plan", SCREENS["/site_plan"])
    for row in placed:
        here.page.mouse.click(*here.place(row))
        here.shows(row.pile_id)
        assert parse_qs(urlparse(here.page.url).query)["piles"] == [row.pile_id]


def test_a_tap_chooses_the_pile_under_it(visit, placed):
    here = visit(820, 1180, has_touch=True).open("/site_plan", SCREENS["/site_plan"])
    for row in placed:
        here.page.touchscreen.tap(*here.place(row))
        here.shows(row.pile_id)


def test_zoom_stays_when_a_pile_is_chosen(visit, placed):
    here = visit().open("/site_plan", SCREENS["/site_plan"])
    canvas = here.page.locator(".plan canvas")
    whole = canvas.get_attribute("data-view")
    here.page.mouse.move(*here.place(placed[1]))
    here.page.mouse.wheel(0, -600)
    here.page.wait_for_timeout(400)
    zoomed = canvas.get_attribute("data-view")
    assert zoomed != whole
    here.page.mouse.click(*here.place(placed[1]))
    here.shows(placed[1].pile_id)
    assert canvas.get_attribute("data-view") == zoomed


def test_a_box_chooses_the_piles_inside_it(visit, sample):
    here = visit().open("/site_plan", SCREENS["/site_plan"])
    piles = services.assess(sample).piles
    outfall = piles[piles["area"] == "OF"]
    corners = [here.place(row) for row in outfall.itertuples()]
    left, top = min(x for x, _ in corners) - 12, min(y for _, y in corners) - 12
    right, bottom = max(x for x, _ in corners) + 12, max(y for _, y in corners) + 12
    here.page.get_by_role("button", name="Box").click()
    here.page.mouse.move(left, top)
    here.page.mouse.down()
    here.page.mouse.move(right, bottom, steps=5)
    here.page.mouse.up()
    here.settle()
    chosen = parse_qs(urlparse(here.page.url).query)["piles"][0].split(",")
    assert set(chosen) == set(outfall["pile_id"].fillna(outfall["position_id"]))


def test_arrow_keys_and_enter_choose_a_pile(visit, sample):
    here = visit().open("/site_plan", SCREENS["/site_plan"])
    here.page.locator(".plan canvas").focus()
    here.page.keyboard.press("ArrowRight")
    here.page.keyboard.press("ArrowRight")
    said = here.page.locator(".plan .live-region").inner_text()
    here.page.keyboard.press("Enter")
    assert said.startswith(here.chosen() + ", ")


def test_a_pasted_link_shows_the_same_choice(visit, placed):
    here = visit().open("/site_plan?area=BW&units=US", SCREENS["/site_plan"])
    here.page.mouse.click(*here.place(placed[0]))
    chosen = here.chosen()
    there = visit().open(here.page.url.removeprefix(here.root), SCREENS["/site_plan"])
    there.shows(chosen)
    assert "BW" in there.page.locator("[data-testid=stMultiSelect]").first.inner_text()
    there.page.get_by_role("link", name=f"Open pile {chosen}").click()
    there.page.wait_for_selector(".js-plotly-plot")
    there.shows(chosen)
    query = parse_qs(urlparse(there.page.url).query)
    assert query == {"piles": [chosen], "area": ["BW"], "units": ["US"]}


def test_the_profile_is_drawn_over_the_whole_depth(visit, placed):
    from PIL import Image

    here = visit().open(f"/pile?piles={placed[0].pile_id}", ".js-plotly-plot .scatterlayer")
    picture = here.page.locator(".js-plotly-plot").first.screenshot()
    colours = np.asarray(Image.open(io.BytesIO(picture)).convert("RGB")).astype(int)
    line = np.array([int(theme.PROFILE[at : at + 2], 16) for at in (1, 3, 5)])
    is_line = (np.abs(colours - line) <= 12).all(axis=2)
    rows = np.flatnonzero(is_line.any(axis=1))
    columns = np.flatnonzero(is_line.any(axis=0))
    height, width = is_line.shape
    assert len(rows) > 0.6 * height  # drawn at nearly every depth, not flat on the axis
    assert columns.max() - columns.min() > 0.2 * width


LONELIEST = """() => {
  const plot = document.querySelector(".js-plotly-plot"), layout = plot._fullLayout;
  const trace = plot._fullData.find((one) => one.meta === "handles");
  const x = layout.xaxis, y = layout.yaxis;
  const box = plot.getBoundingClientRect();
  const points = [...trace.x].map((torque, n) => ({
    pile: trace.customdata[n][0], x: x._offset + x.d2p(torque), y: y._offset + y.d2p(trace.y[n]),
  }));
  const room = (one) => Math.min(...points.filter((other) => other.pile !== one.pile)
    .map((other) => Math.hypot(one.x - other.x, one.y - other.y)));
  const best = points.reduce((a, b) => (room(b) > room(a) ? b : a));
  return {...best, x: best.x + box.x, y: best.y + box.y};
}"""


def test_a_click_on_a_line_of_the_torque_screen_chooses_its_pile(visit):
    here = visit(height=1200).open("/torque?area=BW&type=B1", SCREENS["/torque"])
    spot = here.page.evaluate(LONELIEST)
    here.page.mouse.move(spot["x"], spot["y"])
    here.page.wait_for_selector(".hoverlayer .hovertext")
    assert spot["pile"] in here.page.locator(".hoverlayer").text_content()
    here.page.mouse.click(spot["x"], spot["y"])
    here.page.wait_for_selector(".pw-big-pile")
    here.shows(spot["pile"])
    assert parse_qs(urlparse(here.page.url).query)["piles"] == [spot["pile"]]
    here.page.get_by_role("link", name=f"Open pile {spot['pile']}").wait_for()


def test_a_page_goes_on_paper_black_on_white_and_whole(visit):
    page = visit(color_scheme="dark").open("/", SCREENS["/"]).page
    page.emulate_media(media="print")
    assert page.get_by_role("button", name="As of").is_hidden()
    title = page.locator(".pw-title")
    assert title.evaluate("one => getComputedStyle(one).color") == "rgb(17, 17, 17)"
    ground = "getComputedStyle(document.querySelector('.stApp')).backgroundColor"
    assert page.evaluate(ground) == "rgb(255, 255, 255)"
    # The page itself is long, not a box inside it: what is below goes on the next sheet.
    caution = page.locator(".pw-caution").bounding_box()
    assert page.evaluate("document.documentElement.scrollHeight") >= caution["y"]
    assert caution["y"] > 900


def test_what_is_chosen_is_brought_near(visit, placed):
    here = visit().open("/site_plan", SCREENS["/site_plan"])
    button = here.page.get_by_role("button", name="Zoom to selection")
    assert button.is_disabled()
    here.page.mouse.click(*here.place(placed[0]))
    here.shows(placed[0].pile_id)
    far = here.place(placed[1])
    button.click()
    here.page.wait_for_timeout(300)
    box = here.page.locator(".plan canvas").bounding_box()
    x, y = here.place(placed[0])
    assert abs(x - box["x"] - box["width"] / 2) < 3
    assert abs(y - box["y"] - box["height"] / 2) < 30  # the scale bar has its room
    assert np.hypot(*np.subtract(here.place(placed[1]), (x, y))) > np.hypot(
        *np.subtract(far, (x, y))
    )


def test_an_offset_as_built_points_the_way_the_pile_stands_off(visit, sample):
    from PIL import Image

    piles = services.assess(sample).piles
    row = piles.loc[piles["plan_offset_mm"].idxmax()]
    here = visit().open(f"/site_plan?piles={row['pile_id']}", SCREENS["/site_plan"])
    assert "offset as built" in here.page.locator(".plan .legend").inner_text()
    here.page.get_by_role("button", name="Zoom to selection").click()
    here.page.wait_for_timeout(400)
    canvas = here.page.locator(".plan canvas")
    scale = json.loads(canvas.get_attribute("data-view"))["scale"]
    east, north, off = row[["offset_east_mm", "offset_north_mm", "plan_offset_mm"]].astype(float)
    mark, drawn = 13 + 2, 20 * scale * off / 1000  # px
    x, y = here.place(row)
    middle = mark + drawn / 2
    spot = x + east / off * middle, y - north / off * middle
    box = canvas.bounding_box()
    picture = Image.open(io.BytesIO(canvas.screenshot())).convert("RGB")
    left, top = int(spot[0] - box["x"]), int(spot[1] - box["y"])
    near = picture.crop((left - 1, top - 1, left + 2, top + 2))
    accent = np.array([0x1B, 0x5E, 0x86])
    assert np.abs(np.asarray(near).astype(int) - accent).sum(axis=2).min() < 60
