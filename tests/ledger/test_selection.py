"""Selections of current rows: the revision in force, readings of runs, certificates."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core import records
from core.ledger import Ledger
from core.ledger.database import Macros
from core.records.current_rows import CurrentRows, joined_codes
from core.records.matching import counting_order, in_order, plain_ranks, ranks
from core.selection import (
    calibration_points,
    certificates,
    grout_placements,
    readings_of_runs,
    readings_without_run,
    schedule_for_construction,
    schedule_in_force,
)
from tests.ledger.invented import (
    FIRST,
    SECOND,
    THIRD,
    readings,
    runs,
    schedule,
    selected,
    statuses,
    take,
)


def in_force(ledger: Ledger, on: date, as_of: int = 99) -> dict[str, tuple[str, bool]]:
    rows = selected(ledger, schedule_in_force, as_of, on=on)
    return {row.position_id: (row.revision, row.in_latest) for row in rows.itertuples()}


def test_each_position_is_in_force_by_its_latest_issue(issued):
    assert in_force(issued, date(2026, 2, 28)) == {}
    assert in_force(issued, date(2026, 3, 9)) == {
        "P1": ("A", True),
        "P2": ("A", True),
        "P10": ("A", True),
    }
    assert in_force(issued, date(2026, 3, 10)) == {
        "P1": ("B", True),
        "P2": ("B", True),
        "P10": ("A", False),
    }


def test_positions_come_in_the_order_in_which_people_count(issued):
    assert list(in_force(issued, date(2026, 3, 9))) == ["P1", "P2", "P10"]


def test_only_deleted_takes_a_position_out(issued):
    gone = schedule("C", THIRD, "P1", "P2", row_status=["deleted", "replaced"])
    take(issued, "schedule", gone, "c.csv")
    assert in_force(issued, date(2026, 3, 20)) == {"P2": ("C", True), "P10": ("A", False)}


def test_preliminary_revision_is_never_in_force(issued):
    take(issued, "schedule", schedule("C", THIRD, "P1", status="preliminary"), "c.csv")
    assert in_force(issued, date(2026, 3, 30))["P1"] == ("B", True)
    rows = selected(issued, schedule_for_construction)
    assert list(zip(rows["position_id"], rows["revision"], strict=True)) == [
        ("P1", "A"),
        ("P1", "B"),
        ("P2", "A"),
        ("P2", "B"),
        ("P10", "A"),
    ]


def test_of_two_revisions_of_one_day_the_later_by_its_number_is_in_force(ledger):
    take(ledger, "schedule", schedule("C9", FIRST, "P1"), "c9.csv")
    take(ledger, "schedule", schedule("C10", FIRST, "P1"), "c10.csv")
    assert in_force(ledger, date(2026, 3, 1)) == {"P1": ("C10", True)}


def test_revision_of_one_structure_says_nothing_of_another(ledger):
    take(ledger, "schedule", schedule("A", FIRST, "W1", structure="wall"), "w.csv")
    take(ledger, "schedule", schedule("B", SECOND, "H1", structure="house"), "h.csv")
    assert in_force(ledger, date(2026, 3, 10)) == {"H1": ("B", True), "W1": ("A", True)}


def test_schedule_keeps_the_status_of_its_rows_while_staged(ledger):
    staged = take(ledger, "schedule", schedule("A", FIRST, "P1", status="preliminary"), "a.csv")
    assert statuses(staged) == ["added"]
    with ledger.read() as reader:
        assert reader.current_frame("schedule", 1)["status"].to_list() == ["preliminary"]


def test_reading_carries_its_own_instrument_or_that_of_its_run(ledger):
    work = runs(("P1", 9000), ("P2", 8000)).assign(
        instrument_id=["G1", None], gear=["low", None], rig="R1", predrilled_length_mm=500
    )
    take(ledger, "run", work, "runs.csv")
    log = readings(("P2", 300, 1.0), ("P1", 600, 2.0), ("P1", 300, 3.0))
    log = log.assign(instrument_id=[None, None, "G2"], gear=[None, None, "high"])
    take(ledger, "torque_reading", log, "t.csv")
    rows = selected(ledger, readings_of_runs)
    assert selected(ledger, readings_of_runs, as_of=1).empty
    told = ["pile_id", "depth_mm", "torque_read_nm", "instrument_id", "gear", "row_no"]
    assert rows[told].to_numpy().tolist() == [
        ["P1", 300, 3.0, "G2", "high", 4],
        ["P1", 600, 2.0, "G1", "low", 3],
        ["P2", 300, 1.0, "", "", 2],
    ]
    assert rows["toe_mm"].to_list() == [9000, 9000, 8000]
    assert set(rows["rig"]) == {"R1"}
    assert set(rows["predrilled_length_mm"]) == {500}


def test_certificates_and_their_points(ledger):
    take(
        ledger,
        "instrument",
        pd.DataFrame({"instrument_id": ["G1"], "instrument_kind": "torque indicator"}),
        "i.csv",
    )
    papers = pd.DataFrame({"instrument_id": "G1", "certificate": ["C2", "C1"]})
    papers = papers.assign(valid_from_on=[SECOND, FIRST], valid_to_on=THIRD)
    take(ledger, "calibration", papers, "c.csv")
    points = pd.DataFrame({"instrument_id": "G1", "certificate": "C1", "gear": ""}, index=range(2))
    points = points.assign(point_no=["1", "2"], point_pressure_kpa=[900.0, 300.0])
    take(ledger, "calibration_point", points.assign(point_torque_nm=[9.0, 3.0]), "p.csv")
    found, curve = selected(ledger, certificates), selected(ledger, calibration_points)
    assert found["certificate"].to_list() == ["C1", "C2"]
    assert set(found["instrument_kind"]) == {"torque indicator"}
    assert curve["point_torque_nm"].to_list() == [3.0, 9.0]


@pytest.mark.parametrize("kind", records.KINDS, ids=lambda kind: kind.name)
def test_rows_of_a_kind_hold_all_its_columns_even_when_there_is_none(ledger, kind):
    with ledger.read() as reader:
        read = reader.current(kind.name, 0)
    for rows in (read, CurrentRows.none(kind), in_order(kind.name, read)):
        assert rows.names == (*kind.names, "entry_no", "row_no", "sheet")
        empty = rows.frame()
        pd.testing.assert_frame_equal(records.typed(empty, kind.columns), empty)


def test_last_row_of_a_key_is_current_until_its_entry_is_withdrawn_or_it_is_removed(ledger):
    take(ledger, "run", runs(("P1", 9000), ("P2", 8000)), "runs.csv")
    take(ledger, "run", runs(("P1", 9500)), "runs.csv", replace=True)
    with ledger.write() as writer:
        writer.withdraw(2, "Ann", "wrong file")

    def toes(as_of: int) -> list[tuple[str, int]]:
        with ledger.read() as reader:
            rows = reader.current("run", as_of).frame()
        return sorted(zip(rows["pile_id"], rows["toe_mm"], strict=True))

    assert toes(0) == []
    assert toes(1) == toes(3) == [("P1", 9000), ("P2", 8000)]
    assert toes(2) == [("P1", 9500)]


def test_readings_without_a_run_are_one_row_per_run_with_the_first_of_them(ledger):
    take(ledger, "run", runs(("P1", 9000), ("P2", 8000)), "runs.csv")
    take(ledger, "torque_reading", readings(("P1", 300, 1.0), ("P1", 600, 2.0)), "t.csv")
    take(ledger, "torque_reading", readings(("P2", 300, 1.0)), "u.csv")
    assert selected(ledger, readings_without_run).empty
    with ledger.write() as writer:
        writer.withdraw(1, "Ann", "wrong file")
    found = selected(ledger, readings_without_run)
    told = ["pile_id", "run_no", "readings", "entry_no", "row_no"]
    assert found[told].to_numpy().tolist() == [["P1", "1", 2, 2, 2], ["P2", "1", 1, 3, 2]]


def test_placement_without_its_run_has_no_order_and_comes_last(ledger):
    take(ledger, "run", runs(("P1", 9000), ("P2", 8000)), "runs.csv")
    lifts = pd.DataFrame({"pile_id": ["P2", "P2", "P1"], "lift_no": ["2", "10", "1"]})
    lifts = lifts.assign(run_no="1", batch_id="B1", from_mm=[0, 0, 300])
    take(ledger, "grout_placement", lifts, "g.csv")
    found = selected(ledger, grout_placements)
    assert found[["pile_id", "lift_no", "run_order"]].to_numpy().tolist() == [
        ["P1", "1", 1],
        ["P2", "2", 2],
        ["P2", "10", 2],
    ]
    take(ledger, "run", runs(("P2", 8000)), "runs.csv", replace=True)
    found = selected(ledger, grout_placements)
    assert found["pile_id"].to_list() == ["P2", "P2", "P1"]
    assert found["run_order"].isna().to_list() == [False, False, True]


def test_text_is_ordered_as_people_count_and_as_the_macro_orders_it(ledger):
    texts = ["P10", "P2", "P2a", "", "7", "07", "p 1", "é3", "12345678901x2", "A-001-9", "A-1-10"]
    with ledger.write() as writer:
        asked = "select text, counting_order(text) from unnest($texts) as given(text)"
        Macros(writer.connection).make_for(asked)
        rows = writer.connection.sql(asked, params={"texts": texts}).fetchall()
    assert {text: counting_order(text) for text in texts} == dict(rows)
    assert sorted(["P10", "P2", "P1"], key=counting_order) == ["P1", "P2", "P10"]


@settings(deadline=None)
@given(st.lists(st.text("aPé-. \n0179", max_size=14), unique=True))
def test_rows_are_ranked_as_their_texts_are_ordered(texts):
    rows = CurrentRows({}, len(texts)).with_text("name", np.arange(len(texts)), texts)
    people = sorted(texts, key=lambda text: (counting_order(text), text))
    assert [people[rank] for rank in ranks(rows, "name")] == texts
    assert [sorted(texts)[rank] for rank in plain_ranks(rows, "name")] == texts
    bare = CurrentRows({}, 1).with_text("name", np.array([-1]), texts)
    assert ranks(bare, "name").tolist() == plain_ranks(bare, "name").tolist() == [len(texts)]


def test_codes_of_several_columns_are_one_code_however_many_there_are():
    parts = [np.array([1, 0, 1, -1]), np.array([2, 2, 2, 2])] + [np.array([1 << 40] * 4)] * 4
    one = joined_codes(parts)
    assert one[0] == one[2] != one[1]
    assert one[3] == -1
