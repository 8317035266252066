"""The named questions: the revision in force, readings with their instrument, certificates."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest

from core import records
from core.store import Ledger
from tests.store.invented import FIRST, SECOND, THIRD, readings, runs, schedule, statuses, take


def in_force(ledger: Ledger, on: date, as_of: int = 99) -> dict[str, tuple[str, bool]]:
    with ledger.read() as reader:
        rows = reader.ask("schedule_in_force", as_of=as_of, on=on)
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
    with issued.read() as reader:
        rows = reader.ask("schedule_rows_for_construction", as_of=99)
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
        assert reader.standing("schedule", 1)["status"].to_list() == ["preliminary"]


def test_reading_carries_its_own_instrument_or_that_of_its_run(ledger):
    work = runs(("P1", 9000), ("P2", 8000)).assign(
        instrument_id=["G1", None], gear=["low", None], rig="R1", predrilled_length_mm=500
    )
    take(ledger, "run", work, "runs.csv")
    log = readings(("P2", 300, 1.0), ("P1", 600, 2.0), ("P1", 300, 3.0))
    log = log.assign(instrument_id=[None, None, "G2"], gear=[None, None, "high"])
    take(ledger, "torque_reading", log, "t.csv")
    with ledger.read() as reader:
        rows = reader.ask("readings_of_runs", as_of=2)
        assert reader.ask("readings_of_runs", as_of=1).empty
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
    certificates = pd.DataFrame({"instrument_id": "G1", "certificate": ["C2", "C1"]})
    certificates = certificates.assign(valid_from_on=[SECOND, FIRST], valid_to_on=THIRD)
    take(ledger, "calibration", certificates, "c.csv")
    points = pd.DataFrame({"instrument_id": "G1", "certificate": "C1", "gear": ""}, index=range(2))
    points = points.assign(point_no=["1", "2"], point_pressure_kpa=[900.0, 300.0])
    take(ledger, "calibration_point", points.assign(point_torque_nm=[9.0, 3.0]), "p.csv")
    with ledger.read() as reader:
        found = reader.ask("certificates", as_of=3)
        curve = reader.ask("calibration_points", as_of=3)
    assert found["certificate"].to_list() == ["C1", "C2"]
    assert set(found["instrument_kind"]) == {"torque indicator"}
    assert curve["point_torque_nm"].to_list() == [3.0, 9.0]


EXTRA = {"runs": ["run_order"]}


@pytest.mark.parametrize("question", ["piles", "runs", "stage_records", "sign_offs"])
def test_question_about_one_kind_holds_all_its_columns(ledger, question):
    kind = records.KIND[question.removesuffix("s")]
    with ledger.read() as reader:
        columns = list(reader.ask(question, as_of=0))
    assert columns == [*kind.names, "entry_no", "row_no", "sheet", *EXTRA.get(question, [])]


def test_every_question_as_of_needs_the_entry(ledger):
    with ledger.read() as reader, pytest.raises(Exception, match="as_of"):
        reader.ask("runs")
