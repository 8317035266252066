"""Mess in files, cases 40 to 50: layouts, dates, times, encodings, old books, faults and papers."""

from datetime import date

import pytest
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from core.readers import Origin
from tests.readers.mess.books import (
    book,
    by,
    good,
    looked,
    notices,
    pile_layout,
    pile_sheet,
    problems,
    readings_layout,
    said,
    sheet,
    taken,
    words,
)
from tests.readers.workbooks import workbook

COLUMNS = {
    "pile_id": Origin(header="Pile no"),
    "run_no": Origin(text="1"),
    "depth_mm": Origin(header="Depth below ground (ft)", unit="ft"),
    "torque_read_nm": Origin(header="Readings at the head Torque (kip-ft)", unit="kip-ft"),
}
THREE_ROWS = [
    ["Torque log (invented)", None, None, None, None],
    [None, None, None, None, None],
    ["Pile", None, "Depth below", "Readings at the head", None],
    ["no", None, "ground", "Torque", "Remarks"],
    [None, None, "(ft)", "(kip-ft)", None],
    ["101", None, 1, 2.0, "soft"],
    ["101", None, 2, 2.5, None],
    ["Total", None, 2, 4.5, None],
    [],
    ["Notes: all torques by indicator", None, None, None, None],
]


def merge(worksheet):
    worksheet.merge_cells("D3:E3")


def test_case_40_three_header_rows_merged_cells_units_totals_and_notes_are_read_by_a_layout():
    content = sheet(*THREE_ROWS, change=merge)
    layout = readings_layout(COLUMNS, header_rows=(3, 5), ends="blank row", passed_over=("Total",))
    result = taken(content, by(layout))
    rows = good(result)
    assert rows["depth_mm"] == [305, 610]
    assert rows["row_no"] == [6, 7]
    assert rows["torque_read_nm"] == pytest.approx([2711.636, 3389.545], abs=0.01)
    assert "Row 8 (Total) is no record" in notices(result)
    assert "row 10 was passed over" in notices(result)
    seen = looked(content, by(layout)).sheets[0]
    assert seen.ready
    assert seen.recognised.set_index("column").loc["depth_mm", "sample_1"] == "1 → 305 mm"


def test_case_40_without_a_layout_such_a_sheet_is_asked_about_and_nothing_is_taken():
    result = taken(sheet(*THREE_ROWS, change=merge))
    assert result.frames == {}
    assert "lay the sheet out once on Import" in words(result)
    assert not looked(sheet(*THREE_ROWS, change=merge)).sheets[0].ready


@pytest.mark.parametrize("fill_down", [("pile_id",), ()])
def test_case_41_blanks_are_filled_down_only_in_named_columns(fill_down):
    rows = [
        ["Pile", "Depth (m)", "Torque (kN·m)"],
        ["101", 0.3, 5],
        [None, None, 6],
        [None, 0.9, 7],
    ]
    columns = {
        "pile_id": Origin(header="Pile"),
        "depth_mm": Origin(header="Depth (m)", unit="m"),
        "torque_read_nm": Origin(header="Torque (kN·m)", unit="kN·m"),
    }
    result = taken(sheet(*rows), by(readings_layout(columns, fill_down=fill_down)))
    missing = result.problems[result.problems["kind"].eq("missing value")]
    found = sorted(zip(missing["row"], missing["column"], strict=True))
    if fill_down:
        assert found == [(3, "Depth (m)")]  # a depth is never that of the row above
        assert result.frames["torque_reading"]["depth_mm"].tolist() == [300, 900]
        assert set(result.frames["torque_reading"]["pile_id"]) == {"101"}
    else:
        assert found == [(3, "Depth (m)"), (3, "Pile"), (4, "Pile")]
        assert result.frames["torque_reading"]["row_no"].tolist() == [2]


def test_case_42_the_pile_number_is_in_the_tab_or_in_a_cell():
    by_tab = taken(book({"Pile P-1": pile_sheet(), "Pile P-2": pile_sheet()}), by(pile_layout()))
    rows = good(by_tab)
    assert list(dict.fromkeys(rows["pile_id"])) == ["P-1", "P-2"]
    assert good(by_tab, "run")["pile_id"] == ["P-1", "P-2"]
    in_cell = [list(row) for row in pile_sheet()]
    in_cell[2] = [None, "No. P-7"]
    columns = dict(pile_layout().columns) | {"pile_id": Origin(cell="B3", before="No.")}
    by_cell = taken(book({"Sheet1": in_cell}), by(pile_layout(columns=columns)))
    assert set(good(by_cell)["pile_id"]) == {"P-7"}


RUNS = ",".join(["Pile", "Date", "Toe (m)", "Reason for stopping"])


def runs(*days):
    lines = [f"{101 + at},{day},6.3,instructed" for at, day in enumerate(days)]
    return "\n".join([RUNS, *lines]) + "\n"


def run_days(result):
    return [str(day)[:10] for day in good(result, "run")["run_on"]]


def test_case_43_a_day_that_may_be_two_days_is_asked_with_its_weekdays():
    result = taken(runs("03/04/2025", "05/04/2025"))
    assert problems(result)[0][0] == "date order"
    # 3 April 2025 is a Thursday, 4 March 2025 a Tuesday by any calendar.
    for part in ("3 April", "Thursday", "4 March", "Tuesday", "--date-order"):
        assert part in words(result)
    assert len(result.frames["run"]) == 0


def test_case_43_an_order_that_is_said_is_followed():
    text = runs("03/04/2025")
    assert run_days(taken(text, said(date_order="day month year"))) == ["2025-04-03"]
    assert run_days(taken(text, said(date_order="month day year"))) == ["2025-03-04"]


def test_case_43_a_file_that_fits_one_order_only_is_read_so_with_a_remark():
    result = taken(runs("03/04/2025", "25/04/2025"))
    assert run_days(result) == ["2025-04-03", "2025-04-25"]
    assert "day month year" in notices(result)
    assert "25/04/2025 can be nothing else" in notices(result)


def test_case_43_orders_that_contradict_are_a_problem():
    result = taken(runs("25/04/2025", "04/26/2025"))
    assert problems(result)[0][0] == "date order"
    assert len(result.frames["run"]) == 0


@pytest.mark.parametrize("epoch", [None, CALENDAR_MAC_1904], ids=["1900", "1904"])
def test_case_43_a_workbooks_dates_are_the_days_it_shows_in_both_calendars(epoch):
    def fill(worksheet):
        worksheet.append(RUNS.split(","))
        worksheet.append(["101", date(2026, 3, 4), 6.3, "instructed"])

    assert run_days(taken(workbook(fill, epoch))) == ["2026-03-04"]


def test_case_43_a_count_of_days_is_asked_and_read_when_it_is_said():
    content = sheet(RUNS.split(","), ["101", 46085, 6.3, "instructed"])  # 2026-03-04, by hand
    assert problems(taken(content)) == [("not a date", 2)]
    assert run_days(taken(content, said(date_order="day number"))) == ["2026-03-04"]


def test_case_43_two_figures_of_a_year_need_an_order_that_is_said_or_proven():
    assert run_days(taken(runs("03/04/26"), said(date_order="day month year"))) == ["2026-04-03"]
    assert problems(taken(runs("03/04/26")))[0][0] == "date order"


def started(*times):
    text = "Pile,Date,Start,Toe (m),Reason for stopping\n"
    return taken(
        text + "".join(f"{101 + at},{time},6.3,instructed\n" for at, time in enumerate(times))
    )


def test_case_44_times_are_of_the_projects_zone_and_stored_in_utc():
    # America/Chicago is 6 h behind UTC in winter, 5 h in summer.
    result = started("2026-01-05,07:30", "2026-07-06,07:30", "2026-01-05,2026-01-05 13:30Z")
    found = good(result, "run")["started_at"]
    assert [str(moment) for moment in found] == [
        "2026-01-05 13:30:00", "2026-07-06 12:30:00", "2026-01-05 13:30:00",
    ]  # fmt: skip
    assert result.mapping["zone"] == "America/Chicago"


def test_case_44_the_shifts_day_is_not_the_readings_day_and_midnight_is_asked():
    head = "Pile,Date,Depth (m),Differential pressure (bar),Time,Toe (m),Stop\n"
    asked = taken(head + "101,2026-03-04,0.3,20,23:50,0.6,instructed\n"
                  "101,2026-03-04,0.6,25,00:10,0.6,instructed\n")  # fmt: skip
    assert problems(asked) == [("times out of order", 3)]
    assert "past midnight write the date" in words(asked)
    clear = taken(head + "101,2026-03-04,0.3,20,23:50,0.6,instructed\n"
                  "101,2026-03-04,0.6,25,2026-03-05 00:10,0.6,instructed\n")  # fmt: skip
    assert [str(at) for at in good(clear)["read_at"]] == [
        "2026-03-05 05:50:00", "2026-03-05 06:10:00",
    ]  # fmt: skip
    assert run_days(clear) == ["2026-03-04"]


@pytest.mark.parametrize("time", ["2026-03-08,02:30", "2026-11-01,01:30"])
def test_case_44_an_hour_that_happens_twice_or_never_is_a_problem(time):
    # In the United States clocks go forward on the second Sunday of March, 8 March 2026, and back
    # on the first of November (Energy Policy Act of 2005, section 110; from memory).
    assert problems(started(time)) == [("clock change", 2)]
    day, hour = time.split(",")
    assert problems(started(f"{day},{day} {hour}-06:00")) == []
