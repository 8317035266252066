"""Tables of torque as a whole: no rows, evidence, steps, and gaps that never help a pile."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.assessment.measuring import TableColumns
from core.subjects.columns import Book
from core.subjects.frames import frame_of_table
from core.subjects.torque.frames import profile
from tests.formulas.frames import (
    GRID,
    certificate_frame,
    pile_frame,
    point_frame,
    reading_frame,
    run_frame,
    torque_of,
)

CURVE = [(1000, 800), (5000, 4000), (10_000, 9000)]


def by_gauge(pressures, **same):
    """A log every 300 mm by pressure gauge [kPa], differential."""
    return reading_frame(GRID, [np.nan] * len(GRID), pressure_kpa=pressures,
                         pressure_kind="differential", **same)  # fmt: skip


@pytest.mark.parametrize("empty", ["readings", "runs", "piles", "points", "certificates", "all"])
def test_every_measure_of_no_rows(empty):
    given = {
        "readings": reading_frame(GRID),
        "runs": run_frame({}),
        "piles": pile_frame(),
        "certificates": certificate_frame(),
        "points": point_frame(CURVE),
    }
    gone = {"readings", "runs"} if empty == "runs" else {empty}
    given = {name: rows.iloc[:0] if {name, "all"} & {*gone, empty} and (
        name in gone or empty == "all") else rows for name, rows in given.items()}  # fmt: skip
    found = torque_of(**given)
    columns = TableColumns(found.pile.rows, found.pile, found.uncertainty).frame()
    assert len(columns) == len(given["piles"])
    assert len(profile(found)) == len(given["readings"])
    assert len(frame_of_table(found.read_instruments)) == len(found.read_instruments)
    assert not len(found.recorded_texts)
    assert columns["final_torque_nm"].isna().all()


def rows_of(every):
    """Record kind and numbers of the rows of each link that has some."""
    rows = [(one.record, one.rows.values("row_no")[one.at].tolist()) for one in every]
    return [(record, numbers) for record, numbers in rows if numbers]


def test_evidence_is_the_rows_of_logs_and_of_headers():
    log = reading_frame(GRID[:-1], np.arange(1000.0, 10_000.0, 1000.0))
    runs = run_frame({"final_torque_read_nm": 500.0})
    pile = torque_of(log, runs).pile
    rows = {name: rows_of(pile.evidence(name)) for name in (
        "final_torque_nm", "max_torque_nm", "readings_out_of_force", "spin_out_mm",
    )}  # fmt: skip
    assert rows["final_torque_nm"] == [("torque_reading", [8, 9]), ("run", [1])]
    assert rows["max_torque_nm"] == [("torque_reading", [9])]
    assert rows["readings_out_of_force"] == rows["spin_out_mm"] == []


def test_evidence_of_an_instrument_is_one_row_a_sheet():
    bare = by_gauge([5000.0] * 10).assign(pressure_kind=None).astype({"pressure_kind": "str"})
    found = torque_of(bare, run_frame({}), points=point_frame(CURVE).assign(
        entry_no=7, row_no=[4, 5, 6], sheet="")).read_instruments  # fmt: skip
    assert rows_of(found.evidence("pressure_kind")) == [
        ("torque_reading", [1]),
        ("calibration_point", [4]),
    ]


@pytest.mark.parametrize("rule", ["plain mean", "length-weighted mean"])
def test_the_steps_give_every_number_again(rule):
    pressures = [2000.0, 3000, 4000, 5000, 6000, 7000, 8000, 9000, 9500, 8500]
    found = torque_of(by_gauge(pressures), run_frame({"advance_mm_per_turn": 60.0}),
                      pile_frame(window_rule=rule), points=point_frame(CURVE).assign(
                      entry_no=7, row_no=[4, 5, 6], sheet=""), traced=True)  # fmt: skip
    steps = found.pile.steps(Book(str))
    by_measure = {step.measure: step for step in steps if step.measure}
    assert set(by_measure) >= {
        "toe_distance_mm", "window_gap_mm", "upper_gap_mm", "last_torque_nm", "final_torque_nm",
        "torque_without_peak_nm", "drop_share", "max_torque_nm", "advance_share",
    }  # fmt: skip
    assert list(by_measure) == [name for name in type(found.pile).declared if name in by_measure]
    first = next(step for step in steps if step.title == "Torque at 2.40 m")
    p, p1, t1, p2, t2 = (one.value for one in first.inputs)
    assert first.value == pytest.approx(t1 + (p - p1) / (p2 - p1) * (t2 - t1))
    assert [one.origin.record for one in first.inputs] == [
        "torque_reading", *["calibration_point"] * 4
    ]  # fmt: skip
    final = by_measure["final_torque_nm"]
    torques = [one.value for one in final.inputs if one.symbol.startswith("T")]
    lengths = [one.value for one in final.inputs if one.symbol.startswith("l")] or [1, 1, 1]
    assert final.value == pytest.approx(np.average(torques, weights=lengths))
    assert by_measure["advance_share"].value == 0.8
    bulk = torque_of(by_gauge(pressures), run_frame({"advance_mm_per_turn": 60.0}),
                     pile_frame(window_rule=rule), points=point_frame(CURVE))  # fmt: skip
    for name, step in by_measure.items():
        assert step.value == pytest.approx(getattr(bulk.pile, name).values[0], rel=0, nan_ok=True)


def test_a_curve_of_one_point_serves_readings_at_it_alone():
    found = torque_of(by_gauge([5000.0] * 9 + [5001.0]), run_frame({}),
                      points=point_frame([(5000, 4000)]))  # fmt: skip
    assert profile(found)["torque_nm"].tolist()[:9] == [4000.0] * 9
    assert profile(found)["range"].tolist()[-1] == "above"


def test_at_the_last_point_of_a_curve_a_reading_has_exactly_its_torque():
    points = [(0.1, 0.3), (0.7, 1.1), (1.3, 2.9)]
    found = torque_of(by_gauge([0.7] * 9 + [1.3]), run_frame({}), points=point_frame(points))
    assert profile(found)["torque_nm"].tolist() == [1.1] * 9 + [2.9]


def test_a_stop_and_a_toe_before_a_run_of_which_nothing_is_known_are_not_forgotten():
    first = reading_frame(GRID)
    again = reading_frame([2700, 3000, 3300], run_no="3")
    runs = run_frame({}, {"run_no": "2", "run_on": "2026-03-03", "toe_mm": None},
                     {"run_no": "3", "run_on": "2026-03-04", "toe_mm": 3300})  # fmt: skip
    found = torque_of(pd.concat([first, again]), runs).pile
    assert found.disturbed_toe_mm.tolist() == [3000]


NUMBERS = st.lists(st.floats(900.0, 10_500.0), min_size=10, max_size=10)
GAPS = st.sets(st.tuples(st.sampled_from(["pressure_kpa", "row"]), st.integers(0, 9)), min_size=1)
NUMBERS_OF_WINDOW = (
    "final_torque_nm", "final_torque_lower_bound_nm",
    "last_torque_nm", "last_torque_lower_bound_nm",
    "torque_without_peak_nm", "torque_without_peak_lower_bound_nm",
)  # fmt: skip


@settings(deadline=None)
@given(NUMBERS, GAPS, st.sampled_from(["plain mean", "length-weighted mean"]))
def test_a_reading_that_is_missing_makes_no_torque_higher_or_known(pressures, gaps, rule):
    piles = pile_frame(interval_mm=300.0, gap_tolerance_mm=10.0, window_rule=rule)
    points, log = point_frame(CURVE), by_gauge(pressures)
    whole = torque_of(log, run_frame({}), piles, points=points).pile
    holed = log.copy()
    for name, at in gaps:
        if name != "row":
            holed.loc[at, name] = np.nan
    holed = holed.drop(index=[at for name, at in gaps if name == "row"])
    found = torque_of(holed, run_frame({}), piles, points=points).pile
    for name in NUMBERS_OF_WINDOW:
        before, after = getattr(whole, name).values[0], getattr(found, name).values[0]
        assert np.isnan(after) or after <= before, name
