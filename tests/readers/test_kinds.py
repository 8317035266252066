"""Which kinds a file holds is told by its headers, the same way every time."""

from __future__ import annotations

import pandas as pd
import pytest

from core.errors import WrongUse
from core.readers import recognise
from core.readers.recognise import KIND_GROUPS, file_kinds
from core.records import KIND, PROBLEM_COLUMNS
from tests.readers.files import CERTIFICATE, RIG_LOG, TYPICAL, kinds, said, taken

CASES = [(system, kind) for system in TYPICAL for kind in TYPICAL[system]]


@pytest.mark.parametrize(("system", "kind"), CASES)
def test_a_typical_file_of_each_kind_is_taken_as_that_kind(system, kind):
    text = TYPICAL[system][kind]
    result = taken(text)
    assert said(result) == ""
    assert list(result.frames) == [kind]
    assert result.mapping["unread"] == []
    assert len(result.frames[kind]) == result.rows_read == text.count("\n") - 1
    assert result.rows_left_out == 0


@pytest.mark.parametrize(("system", "kind"), CASES)
def test_frames_have_every_column_in_its_type_with_sheet_and_row(system, kind):
    frame = taken(TYPICAL[system][kind]).frames[kind]
    assert list(frame.columns) == [*KIND[kind].names, "sheet", "row_no"]
    wanted = {column.name: column.dtype for column in KIND[kind].columns}
    found = {name: str(dtype) for name, dtype in frame.dtypes.items()}
    assert found == {**wanted, "sheet": "str", "row_no": "Int64"}
    assert list(frame["row_no"]) == list(range(2, 2 + len(frame)))


def test_every_kind_of_file_has_its_place_in_a_chain():
    assert {kind for chain in KIND_GROUPS for kind in chain} == set(file_kinds())


@pytest.mark.parametrize("as_kind", [None, "run"])
def test_a_header_of_two_kinds_of_rows_is_itself_alone_in_a_sheet_without_rows(
    monkeypatch, as_kind
):
    monkeypatch.setattr(recognise, "KIND_GROUPS", (*KIND_GROUPS, ("run", "survey")))
    result = taken(TYPICAL["SI"]["run"], as_kind=as_kind)
    assert said(result) == ""
    assert list(result.frames) == ["run"]


def test_a_chain_goes_from_the_header_of_a_sheet_to_its_rows():
    assert ("instrument", "calibration", "calibration_point") in KIND_GROUPS
    assert ("run", "torque_reading") in KIND_GROUPS
    assert ("component", "piece") in KIND_GROUPS


def test_a_rigs_log_brings_one_run_per_pile_beside_its_readings():
    result = taken(RIG_LOG)
    assert said(result) == ""
    runs, rows = result.frames["run"], result.frames["torque_reading"]
    assert list(zip(runs["pile_id"], runs["run_no"], runs["row_no"], strict=True)) == [
        ("101", "1", 2),
        ("102", "1", 5),
    ]
    assert list(runs["toe_mm"]) == [914, 610]
    assert list(runs["instrument_id"]) == list(rows["instrument_id"])[:2] == ["G1", "G1"]
    assert len(rows) == result.rows_read == 5
    # 7:30 in Chicago in winter is 13:30 UTC; the second row has no date of its own.
    assert rows["read_at"].iloc[1] == pd.Timestamp("2026-03-04 13:31")


def test_a_gear_change_within_a_run_stays_with_the_readings():
    text = RIG_LOG.replace("101,1,G1,07:32", "101,1,G2,07:32")
    result = taken(text)
    assert said(result) == ""
    assert result.frames["run"]["instrument_id"].isna().tolist() == [True, False]
    assert list(result.frames["torque_reading"]["instrument_id"])[:3] == ["G1", "G1", "G2"]


def test_a_certificate_brings_its_instrument_and_its_points():
    result = taken(CERTIFICATE)
    assert said(result) == ""
    assert {kind: len(frame) for kind, frame in result.frames.items()} == {
        "instrument": 1,
        "calibration": 1,
        "calibration_point": 4,
    }


def test_a_cell_of_a_run_that_changes_within_it_names_both_rows():
    result = taken(
        RIG_LOG.replace("2026-03-05,Rig 1,B,102,1,G1,07:31", "2026-03-05,Rig 1,C,102,1,G1,07:31")
    )
    assert kinds(result) == [("two values in one run", 6)]
    assert "Crew is C here and B in row 5" in said(result)
    assert list(result.frames["run"]["pile_id"]) == ["101"]
    assert result.rows_left_out == 2


def test_readings_of_a_bad_run_are_left_out_and_said_once():
    result = taken(RIG_LOG.replace("2026-03-05", "05/03/2026"))
    assert kinds(result) == [("date order", 5)]
    assert set(result.frames["torque_reading"]["pile_id"]) == {"101"}
    assert result.rows_left_out == 2
    assert list(result.frames["run"]["pile_id"]) == ["101"]


def test_a_bad_reading_leaves_its_run_standing():
    result = taken(RIG_LOG.replace(",2,350,", ",2,35O,"))
    assert kinds(result) == [("not a number", 3)]
    assert len(result.frames["run"]) == 2
    assert len(result.frames["torque_reading"]) == 4


def test_a_log_with_columns_of_a_run_but_no_date_is_a_problem():
    result = taken(
        "Pile,Depth (m),Differential pressure (bar),Stop reason,Toe (m)\n1,0.3,20,instructed,0.3\n"
    )
    assert kinds(result) == [("no date", 1)]
    assert result.frames == {}
    assert result.rows_left_out == 1


def test_a_misspelt_column_of_a_kind_that_is_plainly_meant_is_suggested():
    result = taken(CERTIFICATE.replace("Valid to", "Vaild to"))
    assert kinds(result) == [("missing column", 1), ("unknown column", 1)]
    assert "Write valid to if that is meant" in said(result)


def test_a_forced_kind_takes_the_columns_of_that_kind_only():
    only = taken(RIG_LOG, as_kind="torque reading")
    assert said(only) == ""
    assert list(only.frames) == ["torque_reading"]
    assert list(taken(RIG_LOG, as_kind="run").frames["run"]["pile_id"]) == ["101", "102"]


def test_a_forced_kind_that_does_not_fit_says_what_is_missing():
    result = taken(TYPICAL["SI"]["pile"], as_kind="schedule")
    assert kinds(result) == [("missing column", 1)]
    assert "not a complete schedule. Missing: revision, issued" in said(result)


def test_an_unknown_kind_is_wrong_use():
    with pytest.raises(WrongUse, match="weather is not a record kind"):
        taken(RIG_LOG, as_kind="weather")


def test_a_row_without_pile_number_is_said_also_when_only_runs_are_taken():
    result = taken(RIG_LOG.replace(",A,101,1,G1,07:32", ",A,,1,G1,07:32"), as_kind="run")
    assert kinds(result) == [("missing value", 4)]
    assert result.rows_left_out == 1


def test_when_nothing_fits_the_nearest_kind_and_its_missing_columns_are_named():
    result = taken("Pile,Depth (m),Rpm (rpm)\n1,0.3,12\n")
    assert kinds(result) == [("missing column", 1)]
    assert "nearest to torque reading. Missing: pressure or torque" in said(result)


def test_an_incomplete_schedule_is_not_taken_for_a_list_of_piles():
    result = taken("Pile,Position,Type,Area,Easting (m),Northing (m)\n101,101,P1,North,1,2\n")
    assert kinds(result) == [("missing column", 1)]
    assert "schedule" in said(result)


def test_a_log_that_repeats_words_of_the_schedule_is_still_a_log():
    header = "Pile,Area,Type,Rev,Easting (m),Northing (m),Depth (m),Differential pressure (bar)"
    assert list(taken(f"{header}\n1,North,P1,A,1,2,0.3,20\n").frames) == ["torque_reading"]


def test_a_header_may_stand_on_two_lines_within_its_cell():
    result = taken('Pile,"Depth\n(m)",Differential pressure (bar)\n1,0.3,20\n')
    assert said(result) == ""
    assert list(result.frames["torque_reading"]["row_no"]) == [3]


def test_headers_that_fit_two_kinds_ask_which():
    text = "Pile,Position,Date\n101A,101,2026-03-04\n"
    assert kinds(taken(text)) == [("unknown kind", 1)]
    assert list(taken(text, as_kind="pile").frames) == ["pile"]


def test_position_and_pile_may_stand_side_by_side():
    result = taken("Position,Pile,Depth (m),Differential pressure (bar)\n101,101A,0.3,20\n")
    assert said(result) == ""
    assert list(result.frames["torque_reading"]["pile_id"]) == ["101A"]
    assert result.mapping["unread"] == ["Position"]


def test_problems_have_the_columns_of_every_problem():
    for text in (RIG_LOG, "", "a,b\n1,2\n"):
        assert tuple(taken(text).problems.columns) == PROBLEM_COLUMNS


def test_a_log_of_rows_without_any_pile_is_answered_with_its_missing_keys():
    result = taken(RIG_LOG.splitlines()[0] + "\n,,,,,,,,,,0\n")
    assert "missing value" in {kind for kind, _ in kinds(result)}
    assert result.rows_left_out == 1
