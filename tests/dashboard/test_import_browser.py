"""Import in a real browser: a log with a problem, and a crew's workbook mapped once."""

from __future__ import annotations

import csv

import pytest

from core import services, units
from tests.dashboard.browsing import IN_A_BROWSER, serving
from tests.dashboard.importing import ENGINEER, FAULTY_LOG, FOREMAN
from tests.dashboard.workbooks import READINGS, SOFFICE, workbook
from tests.services import small

pytestmark = IN_A_BROWSER
UPLOADER = "[data-testid=stFileUploader]"


@pytest.fixture
def root(site):
    with serving(site, site.parent / "server.log") as address:
        yield address


def opened(visit, **size):
    """The Import page with the foreman chosen."""
    here = visit(**size).open("/import", UPLOADER)
    here.choose("Imported by", FOREMAN)
    return here


def drop(here, *paths) -> None:
    """Drop files and wait until they were looked at."""
    here.page.locator(f"{UPLOADER} input[type=file]").set_input_files([str(p) for p in paths])
    here.page.get_by_role("heading", name="3 · Recognised").wait_for(timeout=60_000)
    here.page.get_by_text(paths[-1].name).first.wait_for()
    here.settle()


def run_import(here, label: str) -> None:
    """Press the last button and wait until the import has ended."""
    here.press(label)
    here.page.get_by_text("Imported. Entries written").wait_for(timeout=60_000)
    here.settle()


def tick(here, row: int) -> None:
    """Tick a row of the first table on the page."""
    table = here.page.locator("[data-testid=stDataFrame]").first.bounding_box()
    here.page.mouse.click(table["x"] + 16, table["y"] + 35 * row + 18)
    here.settle()


def downloaded(here, label: str):
    """The file that a button hands out."""
    with here.page.expect_download() as waiting:
        own = here.page.get_by_test_id("stDownloadButton")
        own.get_by_role("button", name=label).click()
    return waiting.value.path()


@pytest.mark.parametrize("size", [{}, {"width": 820, "height": 1180, "has_touch": True}])
def test_a_log_with_a_problem_goes_in_without_its_row_and_is_withdrawn(visit, site, tmp_path, size):
    texts = {"schedule.csv": small.SCHEDULE, "instruments.csv": small.INSTRUMENTS}
    texts |= {"certificates.csv": small.CERTIFICATES, "log.csv": FAULTY_LOG[1]}
    files = [small.write(tmp_path / "incoming", name, text) for name, text in texts.items()]
    here = opened(visit, **size)
    drop(here, *files)
    assert here.page.get_by_role("button", name="Import", exact=True).is_disabled()
    here.page.get_by_role("cell", name="3x0", exact=True).wait_for()
    with open(downloaded(here, "Download as CSV"), encoding="utf-8-sig", newline="") as lines:
        problems = list(csv.DictReader(lines))
    assert [(p["File"], p["Row"], p["Value"]) for p in problems] == [("log.csv", "4", "3x0")]
    here.page.get_by_text("Skip the 1 row").click()
    here.settle()
    run_import(here, "Import 17 rows from 4 files")
    assert len(services.assess(site).measured.profile) == 9

    here.page.get_by_text("History", exact=True).click()
    here.settle()
    tick(here, 1)
    here.page.get_by_role("heading", name="Entry 5: log.csv").wait_for()
    here.page.get_by_text("10 new").wait_for()  # one run and nine of its ten readings
    assert downloaded(here, "Download log.csv").read_text() == FAULTY_LOG[1]
    here.page.get_by_text("Withdraw this entry").click()
    here.settle()
    here.choose("Withdrawn by", ENGINEER)
    here.press("Withdraw entry 5…")
    here.page.get_by_text("A withdrawal needs a reason.").wait_for()
    here.page.get_by_label("Note: why").fill("wrong pile (invented)")
    here.page.get_by_label("Note: why").press("Enter")
    here.page.get_by_text("No longer counted: run 1, torque reading 9").wait_for()
    assert len(services.assess(site).measured.profile) == 9  # Enter alone writes nothing
    here.press("Confirm withdrawal of entry 5")
    here.page.get_by_text("Entry 5 is withdrawn by entry 6.").wait_for(timeout=30_000)
    assert services.history(site).set_index("entry_no")["active"][5] == False  # noqa: E712
    assert services.assess(site).measured.profile.empty


@pytest.mark.skipif(SOFFICE is None, reason="no LibreOffice on this machine's path")
def test_a_workbook_of_one_sheet_a_pile_is_mapped_once_and_its_successor_needs_no_mapping(
    visit, site, tmp_path
):
    first = workbook(tmp_path, "week 40", ["101", "102", "103"])
    second = workbook(tmp_path, "week 41", ["104", "105"], shift=100)
    here = opened(visit)
    drop(here, small.write(tmp_path, "schedule.csv", small.SCHEDULE), first)
    here.page.get_by_role("heading", name="Sheets not recognised: 3").wait_for()
    here.write("First row of the header ✱", "5")
    here.page.get_by_text("First row of the header", exact=True).wait_for()  # confirmed
    here.settle()
    here.choose("Where depth is", "A: Depth Tip (ft)")
    here.choose("Unit of depth", "ft")
    here.write("Skip rows starting with", "Total, Note")
    here.press("Preview this layout")
    # 42.5 in and 3150 ft-lb as the sheet writes them, beside what would be kept.
    here.page.get_by_role("cell", name="3'-6 1/2\" → 1,080 mm").wait_for()
    here.page.get_by_role("cell", name="3150 → 4,270.83 N·m").wait_for()
    assert len(services.history(site)) == 0  # nothing is applied before it is remembered
    sender = here.page.get_by_role("combobox", name="Remember it for the sender")
    sender.fill("Crew Plover")
    sender.press("Enter")
    here.settle()
    here.write("Name of the layout", "a sheet a pile")
    here.press("Remember for Crew Plover")
    here.page.get_by_text("The layout “a sheet a pile” is remembered").wait_for(timeout=30_000)
    run_import(here, "Import 18 rows from 2 files")

    drop(here, second)
    assert here.page.get_by_text("Sheets not recognised").count() == 0
    run_import(here, "Import 10 rows from 1 file")
    held = services.assess(site).measured.profile.set_index(["pile_id", "depth_mm"])[
        "torque_read_nm"
    ]
    foot_pound = units.factor("ft*lbf", "N*m")
    wanted = {
        (pile, depth): (torque + shift) * foot_pound
        for pile, shift in (("101", 0), ("102", 0), ("103", 0), ("104", 100), ("105", 100))
        for depth, (_, torque) in zip((305, 610, 1080, 1524), READINGS, strict=True)
    }
    assert held.to_dict() == pytest.approx(wanted)
