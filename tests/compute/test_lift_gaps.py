"""Lifts down to the toe: depths of the toe or of the column, gaps at either end and between."""

import itertools

import numpy as np
import pytest

from core.compute.measures import grout, lift_gaps
from tests.compute.grout_frames import toe_depths

FOOT = 304.8
ONE = {"from_mm": 500, "to_mm": 1500}
TWO = {"from_mm": 1500, "to_mm": 2500}
THREE = {"from_mm": 2500, "to_mm": 3000}


def gaps(*rows, **pile):
    """Where each gap lies, and between which lifts."""
    found = lift_gaps.lift_gaps(*toe_depths(*rows, **{"toe_mm": 3000.0, **pile}))
    texts = found[["lift_above", "lift_below"]].replace(
        r"lift (\w+) of run (\w+)", r"\2/\1", regex=True
    )
    return [
        (row.gap_from_mm, row.gap_to_mm, above, below)
        for row, above, below in zip(found.itertuples(), *(texts[n] for n in texts), strict=True)
    ]  # fmt: skip


def widest(*rows, **pile):
    found = lift_gaps.gap_measures(*toe_depths(*rows, **{"toe_mm": 3000.0, **pile})).loc["P1"]
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


@pytest.mark.parametrize(
    ("pile", "begins"),
    [
        ({}, 500),
        ({"grouted_length_mm": 2000.0}, 500),  # the first disc goes before the length
        ({"first_disc_depth_mm": np.nan, "grouted_length_mm": 2000.0}, 1000),
        ({"first_disc_depth_mm": np.nan, "grouted_length_mm": 9000.0}, 0),
        ({"first_disc_depth_mm": np.nan}, 0),
        ({"grout_from": "ground"}, 0),
        ({"grout_from": "ground", "grouted_length_mm": 2000.0}, 1000),
    ],
)
def test_lifts_begin_at_the_first_disc_else_by_the_grouted_length_else_at_the_ground(pile, begins):
    deep = {"from_mm": 1500, "to_mm": 3000}
    assert gaps(deep, **pile) == [(begins, 1500, "", "1/1")]


def test_what_is_not_recorded_is_said():
    assert widest(ONE, first_disc_depth_mm=np.nan) == (1500, grout.NO_DISC)
    length, why = widest(ONE, TWO, THREE, toe_mm=np.nan)
    assert np.isnan(length)
    assert why == lift_gaps.NO_TOE
    length, why = widest(ONE, first_disc_depth_mm=3000.0)
    assert np.isnan(length)
    assert why == lift_gaps.NO_COLUMN
    assert lift_gaps.gap_measures(*toe_depths(ONE, pile_id="P9")).empty


def column(*feet):
    """Lifts in depths of the column [ft]."""
    ends = [round(FOOT * depth) for depth in feet]
    return [{"from_mm": a, "to_mm": b, "depths_of": "column"} for a, b in itertools.pairwise(ends)]


# 12 ft of column on an 18 ft pile: what opens it stays 6 ft, 1829 mm, above the toe.
TWELVE = {"first_disc_depth_mm": np.nan, "grouted_length_mm": 12 * FOOT, "toe_mm": 18 * FOOT}


def test_depths_of_the_column_become_depths_of_the_toe():
    placed, piles = toe_depths(*column(0, 6, 12), **TWELVE)
    assert placed["from_mm"].round().tolist() == [1829, 3658]
    assert placed["to_mm"].round().tolist() == [3658, 5487]
    assert placed["written_to_mm"].tolist() == [1829, 3658]
    # Hand calculation: 25.2088 L per metre of column, 6 ft are 1.8288 m, 46.10 L.
    assert grout.lifts(placed, piles)["void_l"].round(1).tolist() == [46.1, 46.1]
    assert lift_gaps.gap_measures(placed, piles).loc["P1", "lift_gap_mm"] < 1


def test_a_column_whose_lifts_end_above_its_foot_has_a_gap():
    (gap,) = gaps(*column(0, 6, 10), **TWELVE)
    assert [round(depth) for depth in gap[:2]] == [4877, 5486]
    (gap,) = gaps(*column(2, 6, 12), **TWELVE)
    assert [round(depth) for depth in gap[:2]] == [1829, 2439]


def test_a_first_disc_places_a_column_before_the_grouted_length_does():
    placed, _ = toe_depths(*column(0, 6, 12), **TWELVE | {"first_disc_depth_mm": 1500.0})
    assert placed["to_mm"].tolist() == [3329, 5158]


def test_depths_of_a_column_of_unknown_length_cover_nothing():
    unknown = {**TWELVE, "grouted_length_mm": np.nan}
    placed, piles = toe_depths(*column(0, 6, 12), **unknown)
    assert placed["to_mm"].isna().all()
    assert grout.lifts(placed, piles)["missing"].tolist() == [grout.NO_DISC] * 2
    length, why = widest(*column(0, 6, 12), **unknown)
    assert (round(length), why) == (5486, grout.NO_DISC)


def test_a_gap_stands_before_the_lift_below_it_or_at_the_end():
    placed, piles = toe_depths(ONE, {**THREE, "to_mm": 2800}, toe_mm=3500.0)
    rows = lift_gaps.with_gaps(grout.lifts(placed, piles), lift_gaps.lift_gaps(placed, piles))
    assert rows["lift_no"].tolist() == ["1", "", "2", ""]
    assert rows["from_mm"].tolist() == [500, 1500, 2500, 2800]
    assert rows["missing"].tolist() == ["", lift_gaps.NO_LIFT, "", lift_gaps.NO_LIFT]
    assert rows.loc[[1, 3], ["net_l", "take_ratio"]].isna().all(axis=None)
