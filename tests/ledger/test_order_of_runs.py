"""The order of a pile's runs, and the schedule in force on the day of its last run."""

from __future__ import annotations

import pandas as pd
import pytest

from core import records
from core.ledger import Ledger
from core.selection import ordered_runs, readings_of_runs, schedule_at_runs
from tests.ledger.invented import FIRST, SECOND, THIRD, schedule, selected, take


def test_runs_of_a_pile_come_in_the_order_of_the_work(ledger):
    work = pd.DataFrame({"pile_id": "P1", "run_no": ["1", "10", "2"]})
    work = work.assign(run_on=[SECOND, THIRD, FIRST])
    take(ledger, "run", work, "runs.csv")
    log = work[["pile_id", "run_no"]].assign(depth_mm=300, torque_read_nm=1.0)
    take(ledger, "torque_reading", log, "t.csv")
    for selection in (ordered_runs, readings_of_runs):
        assert selected(ledger, selection)["run_no"].to_list() == ["2", "1", "10"]


def hour(number: int) -> pd.Timestamp:
    return FIRST + pd.Timedelta(hours=number)


@pytest.mark.parametrize(
    ("numbers", "starts", "wanted"),
    [
        (["1", "2", "10"], [hour(9), hour(8), hour(7)], ["10", "2", "1"]),
        (["10", "2", "1"], [hour(8), hour(8), hour(8)], ["1", "2", "10"]),
        (["1", "2", "10"], [pd.NaT, hour(9), hour(8)], ["1", "2", "10"]),
        (["10", "2", "1"], [pd.NaT, pd.NaT, pd.NaT], ["1", "2", "10"]),
    ],
)
def test_runs_of_one_day_come_by_start_only_where_all_have_one(ledger, numbers, starts, wanted):
    work = pd.DataFrame({"pile_id": "P1", "run_no": numbers, "run_on": FIRST})
    elsewhere = pd.DataFrame({"pile_id": ["P1", "P2"], "run_no": "3", "run_on": [SECOND, FIRST]})
    work = pd.concat([elsewhere, work.assign(started_at=starts)], ignore_index=True)
    take(ledger, "run", work, "runs.csv")
    log = work[["pile_id", "run_no"]].assign(depth_mm=300, torque_read_nm=1.0)
    take(ledger, "torque_reading", log, "t.csv")
    found, read = selected(ledger, ordered_runs), selected(ledger, readings_of_runs)
    assert found["run_no"].to_list() == [*wanted, "3", "3"]
    assert found["pile_id"].to_list() == ["P1"] * 4 + ["P2"]
    order = ["pile_id", "run_no", "run_order"]
    assert read[order].equals(found[order])


def in_force_at_runs(ledger: Ledger, as_of: int = 99) -> dict[str, tuple]:
    rows = selected(ledger, schedule_at_runs, as_of)
    return {row.pile_id: row for row in rows.itertuples()}


def drive(ledger: Ledger, *rows: tuple, file: str = "runs.csv") -> None:
    columns = ["pile_id", "run_no", "run_on", "schedule_revision"]
    take(ledger, "run", pd.DataFrame(rows, columns=columns), file)


def test_schedule_at_the_last_run_is_the_one_in_force_on_its_day(issued):
    drive(
        issued,
        ("P1", "1", FIRST, "A"),
        ("P1", "2", SECOND, "A"),
        ("P2", "10", FIRST, "A"),
        ("P2", "9", FIRST, "0"),
    )
    found = in_force_at_runs(issued)
    assert list(found) == ["P1", "P2"]
    told = [(row.run_on, row.schedule_revision, row.position_id, row.revision)
            for row in found.values()]  # fmt: skip
    assert told == [(SECOND, "A", "P1", "B"), (FIRST, "A", "P2", "A")]
    assert [(row.entry_no, row.row_no) for row in found.values()] == [(2, 2), (1, 2)]


def test_pile_is_held_against_the_position_that_its_record_names(issued):
    served = pd.DataFrame({"pile_id": ["X7", "P1"], "position_id": ["P10", None]})
    take(issued, "pile", served, "piles.csv")
    drive(issued, ("X7", "1", THIRD, "B"), ("P1", "1", THIRD, "B"), ("P2", "1", THIRD, "B"))
    found = in_force_at_runs(issued)
    told = {pile: (row.position_id, row.revision) for pile, row in found.items()}
    assert told == {"P1": ("P1", "B"), "P2": ("P2", "B"), "X7": ("P10", "A")}


def test_nothing_in_force_at_a_run_leaves_the_schedules_columns_empty(issued):
    take(issued, "schedule", schedule("C", THIRD, "P1", row_status="deleted"), "c.csv")
    take(issued, "schedule", schedule("D", FIRST, "P3", status="preliminary"), "d.csv")
    before = FIRST - pd.Timedelta(days=1)
    drive(
        issued,
        ("P1", "1", THIRD, "C"),
        ("P2", "1", before, "A"),
        ("P3", "1", THIRD, "D"),
        ("P10", "1", pd.NaT, "A"),
    )
    columns = [*records.KIND["schedule"].names, "entry_no", "row_no"]
    rows = selected(issued, schedule_at_runs)
    assert list(rows) == ["pile_id", "run_on", "schedule_revision", *columns]
    assert rows["pile_id"].to_list() == ["P1", "P2", "P3", "P10"]
    assert rows["schedule_revision"].to_list() == ["C", "A", "D", "A"]
    assert rows[columns].isna().all(axis=None)


def test_of_two_revisions_of_one_day_the_later_by_its_number_is_in_force_at_a_run(ledger):
    take(ledger, "schedule", schedule("C9", FIRST, "P1"), "c9.csv")
    take(ledger, "schedule", schedule("C10", FIRST, "P1"), "c10.csv")
    drive(ledger, ("P1", "1", FIRST, "C9"))
    assert in_force_at_runs(ledger)["P1"].revision == "C10"
    assert in_force_at_runs(ledger, as_of=2) == {}
