"""What rules read: columns of piles and of the criterion, rows of records, and outcomes."""

import numpy as np
import pandas as pd
import pytest

from core.criteria.cases import CaseRecords, Cases, no_records
from core.criteria.columns import FrameColumns, RowColumns, text_array
from core.criteria.outcomes import outcome, recorded, without_numbers
from core.records.current_rows import CurrentRows
from tests.assessment.one_case import criterion

ROWS = [
    {"pile_id": "P1", "toe_mm": 9000, "closed": True, "run_on": "2026-03-09", "measure": "x"},
    {"pile_id": "P2", "toe_mm": None, "closed": None, "run_on": None, "measure": None},
    {"pile_id": "P3", "toe_mm": 1.5, "closed": False, "run_on": "2026-03-10", "measure": "y"},
]
FRAME = pd.DataFrame(ROWS).astype({"run_on": "datetime64[us]"})


def cases(columns, due=(True, True, True), records_of=no_records):
    rows = [{"measure": "own", "limits": ("a", "b"), "min_mm": 5}] * 3
    one = criterion(*rows)
    one.is_due[:] = due
    return Cases(columns, one, records_of)


@pytest.mark.parametrize("columns", [FrameColumns(FRAME), RowColumns(ROWS)])
def test_columns_are_numbers_texts_days_and_truths_and_unknown_stays_unknown(columns):
    found = cases(columns)
    assert np.array_equal(found["toe_mm"], [9000.0, np.nan, 1.5], equal_nan=True)
    assert np.array_equal(found["closed"], [1.0, np.nan, 0.0], equal_nan=True)
    assert found.text("measure").tolist() == ["x", "", "y"]
    assert found.is_true("closed").tolist() == [True, False, False]
    assert np.isnat(found.day("run_on")).tolist() == [False, True, False]
    assert found.is_text("measure", "y", "z").tolist() == [False, False, True]


@pytest.mark.parametrize("columns", [FrameColumns(FRAME), RowColumns(ROWS)])
def test_only_piles_of_which_the_rule_is_due_are_read(columns):
    found = cases(columns, (False, False, True))
    assert len(found) == 1
    assert found.text("pile_id").tolist() == ["P3"]
    assert found["min_mm"].tolist() == [5.0]
    assert len(cases(columns, (False, False, False))["toe_mm"]) == 0


def test_a_parameter_that_piles_have_too_goes_by_its_name_with_an_ending():
    found = cases(RowColumns(ROWS))
    assert found.text("measure_of_criterion").tolist() == ["own"] * 3
    assert found.parameter("limits") == [("a", "b")] * 3


def test_an_unknown_column_is_an_error_that_names_the_nearest():
    with pytest.raises(LookupError, match=r"no column toe_m of piles.*near: toe_mm"):
        cases(RowColumns(ROWS))["toe_m"]
    with pytest.raises(LookupError, match="no rows of pour"):
        cases(RowColumns(ROWS)).records("pour")


def test_nobody_writes_to_a_column_that_rules_share():
    with pytest.raises(ValueError, match="read-only"):
        cases(FrameColumns(FRAME))["toe_mm"][0] = 1.0


def test_rows_of_a_record_kind_are_counted_and_added_by_pile():
    frame = pd.DataFrame(
        {"pile_id": ["P3", "P9", "P1", "P3", "P2"], "volume_l": [1.0, 50.0, 2.0, 3.0, np.nan]}
    )
    rows = CurrentRows.of_frame(frame)
    found = CaseRecords.of(rows, text_array(["P1", "P2", "P3", "P4"]))
    assert found.count().tolist() == [1, 1, 2, 0]
    assert np.array_equal(found.total("volume_l"), [2, np.nan, 4, np.nan], equal_nan=True)
    assert CaseRecords.of(rows, text_array([])).count().tolist() == []


def test_an_outcome_is_no_evidence_where_a_number_is_missing_and_texts_are_made_where_needed():
    found = outcome(cases(RowColumns(ROWS)), np.array([True, True, False]),
                    np.array([1.0, np.nan, 3.0]), 2.0)  # fmt: skip
    made = []
    found.put(
        found.has("not met"), part="lift 3", note=lambda at: made.append(at.tolist()) or ["n"]
    )
    found.put(found.has("waiting"), note=lambda at: made.append(at.tolist()))
    assert (found.text("note"), found.text("part"), made) == (
        ["", "", "n"],
        ["", "", "lift 3"],
        [[2]],
    )
    assert found.has("met", "no evidence").tolist() == [True, True, False]
    found.drop(found.has("met"))
    assert found.result[0] == -1


def test_an_outcome_without_numbers_is_met_where_the_record_is():
    found = recorded(cases(RowColumns(ROWS)), np.array([True, False, False]), "nothing")
    assert found.has("met").tolist() == [True, False, False]
    assert found.text("note") == ["", "nothing", "nothing"]
    assert without_numbers(cases(RowColumns(ROWS)), "noted", "n").text("note") == ["n"] * 3
