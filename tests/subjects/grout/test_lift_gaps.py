"""Lifts down to the toe: depths of the toe or of the column, gaps at either end and between."""

import itertools

import numpy as np
import pytest

from core.subjects.columns import Book
from core.subjects.grout.lifts import lift_names
from core.subjects.grout.measures import NO_COLUMN, NO_DISC, NO_TOE
from tests.subjects.grout.grout_rows import grout, measures

FOOT = 304.8
ONE = {"from_mm": 500, "to_mm": 1500}
TWO = {"from_mm": 1500, "to_mm": 2500}
THREE = {"from_mm": 2500, "to_mm": 3000}


def of(*rows, **pile):
    return grout(*rows, **{"toe_mm": 3000.0, **pile})


def gaps(*rows, **pile):
    """Where each gap lies, and between which lifts, as run/lift."""
    table = of(*rows, **pile)
    found, names = table.gap.below, lift_names(table.placed.below)
    beside = [
        ["/".join(reversed(name.removeprefix("lift ").split(" of run "))) for name in one]
        for one in (names.take(found.above).array(), names.take(found.below).array())
    ]
    return list(zip(found.from_mm.values, found.to_mm.values, *beside, strict=True))


def widest(*rows, **pile):
    found = measures(of(*rows, **pile))
    return found["lift_gap_mm"], found["lift_gap_missing"]


def test_lifts_that_follow_each_other_to_the_toe_have_no_gap():
    assert gaps(ONE, TWO, THREE) == []
    assert widest(ONE, TWO, THREE) == (0, "")
    assert gaps({"from_mm": 500, "to_mm": 3000}) == []  # one total of the pile
    assert gaps({"from_mm": 0, "to_mm": 3010}) == []


def test_a_gap_is_named_by_the_lifts_beside_it():
    assert gaps(ONE, TWO) == [(2500, 3000, "1/2", "")]
    assert gaps(ONE, THREE) == [(1500, 2500, "1/1", "1/2")]  # numbered anew
    assert gaps(TWO, THREE) == [(500, 1500, "", "1/1")]
    assert gaps(ONE, TWO, {**THREE, "to_mm": 2700}) == [(2700, 3000, "1/3", "")]
    assert gaps({**ONE, "from_mm": 900}, TWO, THREE) == [(500, 900, "", "1/1")]
    assert widest(ONE, {**THREE, "to_mm": 2900}) == (1000, "")
    found = measures(of(ONE, {**THREE, "to_mm": 2900}))
    beside = "lift 1 of run 1", "lift 2 of run 1"
    assert (found["lift_above_gap"], found["lift_below_gap"]) == beside


def test_a_lift_is_no_longer_than_what_its_batches_filled():
    same = {"lift_no": "1", "batch_id": "B2"}
    assert gaps({**ONE, "lift_no": "1"}, {**THREE, **same}) == [(1500, 2500, "1/1", "1/1")]
    assert gaps({**ONE, "lift_no": "1"}, {**TWO, **same}, {**THREE, **same, "batch_id": "B3"}) == []


def test_batches_runs_top_ups_and_depths_gone_over_again_leave_no_gap():
    again = {"from_mm": 1000, "to_mm": 2000, "run_no": "2"}
    deeper = {"from_mm": 500, "to_mm": 3000, "run_no": "2", "lift_no": "1"}
    top_up = {"from_mm": 3000, "to_mm": 3000}
    split = {**TWO, "batch_id": "B2"}
    assert gaps(ONE, TWO, split, THREE, top_up, again) == []
    assert gaps(ONE, deeper) == []


def test_a_top_up_or_a_placement_of_no_grout_covers_nothing():
    assert gaps({"from_mm": 3000, "to_mm": 3000}) == [(500, 3000, "", "")]
    for nothing in ({"batched_l": 0}, {"batched_l": 9, "returned_l": 9}):
        assert gaps(ONE, {**TWO, **nothing}, THREE) == [(1500, 2500, "1/1", "1/3")]
    assert gaps(ONE, {**TWO, "returned_l": np.nan}, THREE) == []  # "grout recorded" says it


PLANNED = {"schedule_grouted_length_mm": 2000.0}


@pytest.mark.parametrize(
    ("pile", "begins"),
    [
        ({}, 500),
        (PLANNED, 500),  # the first disc goes before the length
        ({"first_disc_depth_mm": np.nan, **PLANNED}, 1000),
        ({"first_disc_depth_mm": np.nan, "type_grouted_length_mm": 2500.0}, 500),
        ({"first_disc_depth_mm": np.nan, "type_grouted_length_mm": 2500.0, **PLANNED}, 1000),
        ({"first_disc_depth_mm": np.nan, "schedule_grouted_length_mm": 9000.0}, 0),
        ({"first_disc_depth_mm": np.nan}, 0),
        ({"grout_from": "ground"}, 0),
        ({"grout_from": "ground", **PLANNED}, 1000),
    ],
)
def test_lifts_begin_at_the_first_disc_else_by_the_grouted_length_else_at_the_ground(pile, begins):
    deep = {"from_mm": 1500, "to_mm": 3000}
    assert gaps(deep, **pile) == [(begins, 1500, "", "1/1")]


def test_what_is_not_recorded_is_said():
    assert widest(ONE, first_disc_depth_mm=np.nan) == (1500, NO_DISC)
    length, why = widest(ONE, TWO, THREE, toe_mm=np.nan)
    assert np.isnan(length)
    assert why == NO_TOE
    length, why = widest(ONE, first_disc_depth_mm=3000.0)
    assert np.isnan(length)
    assert why == NO_COLUMN
    assert widest({**ONE, "pile_id": "P9"})[1] == ""  # nothing placed in the pile itself


def column(*feet):
    """Lifts in depths of the column [ft]."""
    ends = [round(FOOT * depth) for depth in feet]
    return [{"from_mm": a, "to_mm": b, "depths_of": "column"} for a, b in itertools.pairwise(ends)]


# 12 ft of column on an 18 ft pile: what opens it stays 6 ft, 1829 mm, above the toe.
TWELVE = {"first_disc_depth_mm": np.nan, "schedule_grouted_length_mm": round(12 * FOOT),
          "toe_mm": round(18 * FOOT)}  # fmt: skip


def test_depths_of_the_column_become_depths_of_the_toe():
    table = of(*column(0, 6, 12), **TWELVE)
    placed = table.placed.below
    assert placed.from_mm.values.tolist() == [1828, 3657]
    assert placed.to_mm.values.tolist() == [3657, 5486]
    assert placed.written_to_mm.tolist() == [1829, 3658]
    # Hand calculation: 25.2088 L per metre of column, 6 ft are 1.829 m, 46.11 L.
    assert table.lift.below.void_l.values.round(1).tolist() == [46.1, 46.1]
    assert table.lift_gap_mm.values.tolist() == [0]


def test_a_column_whose_lifts_end_above_its_foot_has_a_gap():
    (gap,) = gaps(*column(0, 6, 10), **TWELVE)
    assert gap[:2] == (4876, 5486)
    (gap,) = gaps(*column(2, 6, 12), **TWELVE)
    assert gap[:2] == (1828, 2438)


def test_a_first_disc_places_a_column_before_the_grouted_length_does():
    table = of(*column(0, 6, 12), **TWELVE | {"first_disc_depth_mm": 1500.0})
    assert table.placed.below.to_mm.values.tolist() == [3329, 5158]


def test_depths_of_a_column_of_unknown_length_cover_nothing():
    unknown = {**TWELVE, "schedule_grouted_length_mm": np.nan}
    table = of(*column(0, 6, 12), **unknown)
    assert not table.placed.below.to_mm.known.any()
    assert table.lift.below.missing.array().tolist() == [NO_DISC] * 2
    assert widest(*column(0, 6, 12), **unknown) == (5486, NO_DISC)


def last_step(*rows, **pile):
    book = Book(str)
    book.value(of(*rows, traced=True, **pile).lift_gap_mm, 0)
    return book.steps


def test_the_steps_of_a_gap_lead_to_the_lifts_beside_it():
    difference, gap = last_step(ONE, THREE)
    assert (difference.equation, difference.value) == ("g = d₂ − d₁", 1000)
    assert [one.origin.row_no for one in difference.inputs] == [1, 2]
    assert (gap.measure, gap.value) == ("lift_gap_mm", 1000)
    *_, difference, gap = last_step(*column(0, 6, 10), **TWELVE)
    assert "toe depth at the end of batch B1 in lift 2" in difference.inputs[0].source
    assert difference.inputs[1].origin.record == "run"
    (none,) = last_step(ONE, TWO, THREE)
    assert none.inputs[0].source == "no depth down to the toe is without a lift"
    (unknown,) = last_step(ONE, toe_mm=np.nan)
    assert unknown.note == NO_TOE


def test_the_evidence_of_a_gap_is_the_lifts_beside_it_the_runs_and_the_planned_length():
    table = of(ONE, THREE, {**THREE, "lift_no": "9"}, **PLANNED)
    placed, runs, schedule = table.evidence("lift_gap_mm")
    assert placed.at.tolist() == [0, 1]
    assert (runs.record, schedule.record) == ("run", "schedule")
    whole, *_ = of(ONE, TWO, THREE).evidence("lift_gap_mm")
    assert whole.at.tolist() == [0, 1, 2]
