"""A record that many rows of a spreadsheet share keeps how its cells were held."""

from __future__ import annotations

import io

import openpyxl
import pandas as pd

from core.readers import Locale, ReadOptions, parse_file
from tests.readers.files import PROJECT


def test_a_number_of_a_spreadsheet_is_not_read_by_the_decimal_comma_of_its_texts():
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["Pile", "Date", "Toe (m)", "Stop", "Depth (m)", "Differential pressure (bar)"])
    sheet.append(["101", "2026-03-04", 1.234, "instructed", "0,3", "25,5"])
    sheet.append(["101", "2026-03-04", 1.234, "instructed", "0,6", "26,5"])
    content = io.BytesIO()
    book.save(content)
    comma = ReadOptions(conventions=Locale(decimal="comma"))
    result = parse_file(content.getvalue(), "log.xlsx", PROJECT, comma)
    assert result.problems.empty
    assert list(result.frames["run"]["toe_mm"]) == [1234]
    assert list(result.frames["torque_reading"]["depth_mm"]) == [300, 600]


def test_times_of_a_batch_that_several_lifts_share_stand_on_its_own_day():
    text = (
        "Batch,Date mixed,Time mixed,Pile,Lift,From (m),To (m),Batched (L),Start\n"
        "GB-1,2026-03-04,07:20,101,1,0.5,1.5,30,07:41\n"
        "GB-1,,,101,2,1.5,2.5,30,07:50\n"
        "GB-2,2026-03-05,08:00,101,3,2.5,3.5,30,08:10\n"
    )
    result = parse_file(text.encode(), "grout.csv", PROJECT)
    assert result.problems.empty
    batches, lifts = result.frames["grout_batch"], result.frames["grout_placement"]
    zone = PROJECT.tables.project.timezone
    assert list(_clock(batches["mixed_at"], zone)) == ["2026-03-04 07:20", "2026-03-05 08:00"]
    expected = ["2026-03-04 07:41", "2026-03-04 07:50", "2026-03-05 08:10"]
    assert list(_clock(lifts["started_at"], zone)) == expected


def _clock(moments: pd.Series, zone) -> pd.Series:
    return moments.dt.tz_localize("UTC").dt.tz_convert(zone).dt.strftime("%Y-%m-%d %H:%M")
