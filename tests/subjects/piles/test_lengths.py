"""Toe, embedment by each measure, and which runs are open."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.subjects.piles.measures import Loads, Resistances, lengths_of
from core.subjects.piles.selection import pile_rows
from tests.subjects.given import Given
from tests.subjects.piles.cases import pile_records, runs_of

NONE = np.array([], dtype=np.int64), []
ALONG, COVER, BEYOND = (
    "along the axis",
    "vertical cover over the top helix",
    "beyond a failure surface",
)


def of_records(given_records, traced=False):
    """Lengths of piles whose runs have no reading."""
    read = np.zeros(len(given_records.runs), dtype=bool)
    return lengths_of(pile_rows(given_records), given_records.runs, read, traced=traced)


def lengths(runs=None, types=None, traced=False, **schedule):
    given_records = pile_records(schedule=[schedule], runs=runs, types=[types or {}])
    return of_records(given_records, traced)


def embedment(runs=None, by=ALONG, types=None, **schedule):
    of_type = {"embedment_measure": by, **(types or {})}
    return lengths(runs, of_type, **schedule).embedment_mm.values.tolist()


def test_the_toe_and_the_length_in_the_ground_are_those_of_the_last_run_with_a_toe():
    found = lengths([{"toe_mm": 4000}, {"run_no": "2"}, {"run_no": "3", "toe_mm": None}])
    assert (found.toe_mm.values[0], found.installed_mm.values[0]) == (6000, 6000)


def test_the_embedment_loses_what_lies_below_the_ground_or_was_drilled_the_more():
    assert embedment() == [6000]
    assert embedment(scour_level_m=9.0) == [5000]
    assert embedment(scour_level_m=9.0, finished_grade_level_m=8.5) == [4500]
    assert embedment(finished_grade_level_m=11.0) == [6000]  # a fill adds nothing
    drilled = [{"predrilled_length_mm": 1200}, {"run_no": "2", "predrilled_length_mm": 800}]
    assert embedment(drilled, scour_level_m=9.0) == [4800]
    assert embedment(drilled, scour_level_m=8.5) == [4500]


def test_the_ground_is_that_of_the_last_run_where_it_records_one():
    assert embedment([{"ground_level_m": 9.5}], scour_level_m=9.0) == [5500]
    two = [{"ground_level_m": 9.5}, {"run_no": "2"}]
    assert embedment(two, scour_level_m=9.0) == [5000]


def test_without_the_level_of_the_ground_a_lower_level_leaves_the_embedment_unknown():
    assert np.isnan(embedment(ground_level_m=None, scour_level_m=9.0)).all()
    assert embedment(ground_level_m=None) == [6000]


def test_a_lost_height_is_longer_along_a_battered_axis():
    assert embedment(scour_level_m=9.0, batter_deg=60.0) == pytest.approx([4000])
    assert embedment(batter_deg=60.0) == [6000]


def test_an_anchor_without_a_batter_has_no_vertical_cover():
    anchor = {"element": "helical anchor"}
    assert np.isnan(embedment(by=COVER, types=anchor)).all()
    assert np.isnan(embedment(types=anchor, scour_level_m=9.0)).all()
    assert embedment(types=anchor) == [6000]
    assert embedment(by=COVER) == [5000]
    assert embedment(by=COVER, batter_deg=60.0) == pytest.approx([2500])


def test_beyond_a_failure_surface_and_by_no_measure():
    assert embedment(by=BEYOND, failure_surface_depth_mm=2500) == [3500]
    assert np.isnan(embedment(by=BEYOND)).all()
    assert np.isnan(embedment(by=None)).all()


SCHEDULE = {"ground_level_m": 10.0, "scour_level_m": 9.0, "batter_deg": 15.0}
RUN = {"toe_mm": 6000, "ground_level_m": 9.8}


@settings(deadline=None)
@given(
    st.sampled_from([ALONG, COVER, BEYOND]),
    st.sets(st.sampled_from(["toe_mm", "ground_level_m", "batter_deg", "top", "surface"])),
)
def test_a_gap_never_raises_the_embedment(by, gaps):
    types = {"element": "helical anchor"}
    schedule = {**SCHEDULE, "failure_surface_depth_mm": 2500}
    whole = embedment([RUN], by, types, **schedule)[0]
    if "ground_level_m" in gaps:
        schedule["ground_level_m"] = None
    if "batter_deg" in gaps:
        schedule["batter_deg"] = None
    if "surface" in gaps:
        schedule["failure_surface_depth_mm"] = None
    run = {name: None if name in gaps else value for name, value in RUN.items()}
    of_type = {**types, **({"top_helix_above_toe_mm": None} if "top" in gaps else {})}
    found = embedment([run], by, of_type, **schedule)[0]
    assert np.isnan(found) or found == whole


def opened(read=True, reason_status="set", **run):
    given_records = pile_records(runs=[run], types=[{"reason_status": reason_status}])
    rows = pile_rows(given_records)
    table = lengths_of(rows, given_records.runs, np.array([read])).runs.below
    return bool(table.closed[0]), bool(table.open_run[0]), str(table.lacks.array()[0])


def test_a_run_is_closed_by_its_toe_and_its_reason_for_stopping():
    assert opened() == (True, False, "")
    assert opened(toe_mm=None) == (False, True, "no toe depth")
    assert opened(stop_reason=None) == (False, True, "no reason for stopping")
    both = "no toe depth and no reason for stopping"
    assert opened(toe_mm=None, stop_reason=None) == (False, True, both)


def test_a_run_without_a_reading_is_closed_by_its_reason():
    assert opened(read=False, toe_mm=None) == (True, False, "")
    assert opened(read=False, stop_reason=None) == (False, False, "no reason for stopping")


def test_where_no_reason_is_required_the_toe_closes_a_run():
    assert opened(reason_status="not required", stop_reason=None) == (True, False, "")
    only = opened(read=False, reason_status="not required", toe_mm=None, stop_reason=None)
    assert only == (False, False, "no toe depth")


def test_a_run_of_no_known_pile_requires_a_reason():
    given_records = pile_records(runs=[])
    runs = runs_of({"pile_id": "X1", "stop_reason": None})
    table = lengths_of(pile_rows(given_records), runs, np.array([True])).runs.below
    assert table.lacks.array().tolist() == ["no reason for stopping"]


def test_every_measure_runs_on_no_row():
    nothing = pile_records(schedule=[], runs=[], types=[], factors=[])
    rows = pile_rows(nothing)
    for name in ("final_torque_nm", "component_rated_torque_nm"):
        rows = rows.with_number(name, np.array([]))
    pile = lengths_of(rows, nothing.runs, np.array([], dtype=bool), traced=True)
    loads, other = Loads(rows, traced=True), Given(rows.with_text("component_rated_stamp", *NONE))
    resistances = Resistances(rows, traced=True, loads=loads, torque=other, steel=other)
    for table in (pile, pile.runs.below, loads, resistances):
        for name, values in table.columns():
            assert len(values) == 0, name
        for name in table.declared:
            assert sum(len(links.at) for links in table.evidence(name)) == 0
    bare = pile_records(runs=[])
    assert of_records(bare).toe_mm.values.tolist() == pytest.approx([np.nan], nan_ok=True)


def test_the_embedment_rests_on_the_runs_of_the_pile_and_its_row_of_the_schedule():
    found = lengths([{}, {"run_no": "2"}])
    rows = {links.record: links.rows.values("row_no")[links.at].tolist()
            for links in found.evidence("embedment_mm")}  # fmt: skip
    assert rows == {"run": [1, 2], "schedule": [1]}
    assert [links.record for links in found.evidence("stop_reason")] == ["run"]


def test_positions_without_a_pile_have_no_length():
    given_records = pile_records(schedule=[{}, {"position_id": "P2"}])
    found = of_records(given_records)
    assert pd.isna(found.toe_mm.values).tolist() == [False, True]
    assert pd.isna(found.embedment_mm.values).tolist() == [False, True]
