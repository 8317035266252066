"""Grout side by side: the thinnest lift of a pile, where lifts stand, what is unlike its group."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from core.subjects.grout.frames import (
    AT_THE_TOE,
    NO_LIFT,
    beyond_fences,
    grouted_piles,
    lift_points,
    takes_by_group,
    with_gaps,
)

LIFT = {
    "run_no": "1",
    "net_l": 30.0,
    "void_l": 25.0,
    "take_ratio": 1.2,
    "cumulative_net_l": 30.0,
    "cumulative_void_l": 25.0,
    "cumulative_ratio": 1.2,
    "resolution_l": 0.5,
    "how_measured": "flow meter",
    "batches": "B1",
    "placed_on": pd.Timestamp("2026-03-02"),
}


def lifts(*rows, **changed):
    """Lifts given as pile, lift, from and to in metres."""
    frame = pd.DataFrame(rows, columns=["pile_id", "lift_no", "from_mm", "to_mm"])
    frame[["from_mm", "to_mm"]] *= 1000.0
    return frame.assign(**(LIFT | changed))


def piles(*names, **changed):
    base = {"pile_id": list(names), "area": "A", "pile_type": "T1", "grouted": True}
    base |= {"toe_mm": 2000.0, "lifts": 2.0, "net_grout_l": 60.0, "void_l": 50.0}
    base |= {"take_ratio": 1.2, "min_cumulative_ratio": 1.1, "min_lift_ratio": 1.0}
    return pd.DataFrame(base | {"lift_of_min_cumulative_ratio": "lift 2 of run 1"} | changed)


def gaps(*rows):
    """Gaps given as pile, from and to in metres, lift above and below."""
    columns = ["pile_id", "gap_from_mm", "gap_to_mm", "lift_above", "lift_below"]
    frame = pd.DataFrame(rows, columns=pd.Index(columns))
    frame[["gap_from_mm", "gap_to_mm"]] = 1000.0 * frame[["gap_from_mm", "gap_to_mm"]].astype(float)
    return frame


TWO = (("1", "1", 0.0, 1.0), ("1", "2", 1.0, 2.0))


def test_the_thinnest_lift_stands_beside_its_pile_with_what_a_step_is_worth():
    thin = lifts(*TWO, take_ratio=[1.2, 0.8], net_l=[30.0, 20.0], cumulative_ratio=[1.2, 1.0])
    (pile,) = grouted_piles(piles("1"), thin).itertuples()
    assert (pile.thin_from_mm, pile.thin_to_mm, pile.thin_net_l) == (1000, 2000, 20)
    assert pile.thin_step_ratio == pytest.approx(0.5 / 25.0)
    assert pile.lift_of_min_cumulative_ratio == "lift 2 of run 1"


def test_a_toe_below_the_last_lift_is_named_when_the_whole_is_the_least():
    frame = grouted_piles(piles("1", take_ratio=0.9), lifts(*TWO))
    assert frame["lift_of_min_cumulative_ratio"].tolist() == [AT_THE_TOE]


def test_piles_of_other_types_are_left_out_unless_they_have_lifts():
    bare = piles("1", "2", "3", grouted=[False, False, True])
    frame = grouted_piles(bare, lifts(*TWO))
    assert frame["pile_id"].tolist() == ["1", "3"]
    assert np.isnan(frame["thin_to_mm"].iloc[1])


def test_a_lift_without_a_void_has_no_step_and_is_not_the_thinnest():
    topped = lifts(*TWO, void_l=[25.0, 0.0], take_ratio=[1.2, np.nan])
    (pile,) = grouted_piles(piles("1"), topped).itertuples()
    assert pile.thin_to_mm == 1000


def test_a_pile_far_outside_the_middle_half_of_its_group_is_unlike():
    # Quartiles of 1, 2, 3, 4, 5 are 2 and 4; the fences lie at 2 - 1.5 x 2 = -1 and 4 + 3 = 7.
    group = pd.Series(["A"] * 6 + ["B"] * 4)
    usual = [1.0, 2.0, 3.0, 4.0, 5.0, np.nan, 1.0, 1.0, 1.0, 99.0]
    assert not beyond_fences(pd.Series(usual), group).any()
    odd = [1.0, 2.0, 3.0, 4.0, 7.5, np.nan, 1.0, 1.0, 1.0, 99.0]
    found = beyond_fences(pd.Series(odd), group)
    assert found.tolist() == [False] * 4 + [True] + [False] * 5


def test_the_edge_of_a_fence_is_not_beyond_it():
    values = pd.Series([1.0, 2.0, 3.0, 4.0, 7.0])  # quartiles 2 and 4, upper fence 4 + 1.5 x 2
    assert not beyond_fences(values, pd.Series(["A"] * 5)).any()


def test_reach_is_the_deepest_toe_so_far_and_the_toe_has_a_row_of_its_own():
    rows = lifts(("2", "1", 0.0, 1.5), ("1", "1", 0.0, 1.0), ("1", "2", 0.5, 0.8))
    both = grouted_piles(piles("1", "2", toe_mm=[1000.0, 1800.0]), rows)
    points = lift_points(rows, both, gaps())
    assert points["pile_id"].tolist() == ["1", "1", "2", "2"]
    assert points["reach_mm"].tolist() == [1000, 1000, 1500, 1800]
    assert points["where"].tolist()[1:] == [
        "lift 2 of run 1",
        "lift 1 of run 1",
        AT_THE_TOE,
    ]
    assert points["cumulative_net_l"].iloc[3] == 60
    assert np.isnan(points["take_ratio"].iloc[3])
    assert set(points["group"]) == {"A · T1"}


def test_a_gap_between_two_lifts_breaks_their_line_and_one_at_the_toe_does_not():
    rows = lifts(("1", "1", 0.0, 0.5), ("1", "2", 1.0, 2.0), ("2", "1", 0.0, 1.0))
    both = grouted_piles(piles("1", "2"), rows)
    found = gaps(
        ("1", 0.5, 1.0, "lift 1 of run 1", "lift 2 of run 1"),
        ("2", 1.0, 2.0, "lift 1 of run 1", ""),
    )
    points = lift_points(rows, both, found)
    assert points["where"].tolist() == [
        "lift 1 of run 1", "no lift recorded", "lift 2 of run 1", "lift 1 of run 1",
        AT_THE_TOE,
    ]  # fmt: skip
    gap = points.iloc[1]
    assert (gap["pile_id"], gap["from_mm"], gap["to_mm"]) == ("1", 500, 1000)
    assert gap[["take_ratio", "cumulative_ratio", "cumulative_net_l"]].isna().all()


def test_a_group_adds_up_piles_whose_net_and_void_are_both_known():
    known = {"net_grout_l": [60.0, 90.0, 50.0], "void_l": [50.0, 60.0, np.nan]}
    known |= {"take_ratio": [1.2, 1.5, np.nan], "min_lift_ratio": [1.0, 0.7, np.nan]}
    frame = grouted_piles(piles("1", "2", "3", **known), lifts(*TWO))
    (group,) = takes_by_group(frame).itertuples()
    assert (group.piles, group.piles_placed, group.piles_unknown) == (3, 3, 1)
    assert (group.net_grout_l, group.void_l) == (150, 110)
    assert group.take_ratio == pytest.approx(150 / 110)
    assert group.min_lift_ratio == 0.7


def test_without_lifts_there_are_piles_and_nothing_to_draw():
    nothing = lifts(*TWO).iloc[:0]
    frame = grouted_piles(piles("1", lifts=np.nan, take_ratio=np.nan), nothing)
    assert frame["pile_id"].tolist() == ["1"]
    assert lift_points(nothing, frame, gaps()).empty
    assert takes_by_group(frame)["piles_placed"].tolist() == [0]


def test_a_gap_stands_before_the_lift_below_it_or_at_the_end():
    rows = lifts(("1", "1", 0.5, 1.5), ("1", "2", 2.5, 2.8), missing="")
    found = gaps(
        ("1", 1.5, 2.5, "lift 1 of run 1", "lift 2 of run 1"),
        ("1", 2.8, 3.5, "lift 2 of run 1", ""),
    )
    rows = with_gaps(rows, found)
    assert rows["lift_no"].tolist() == ["1", "", "2", ""]
    assert rows["from_mm"].tolist() == [500, 1500, 2500, 2800]
    assert rows["missing"].tolist() == ["", NO_LIFT, "", NO_LIFT]
    assert rows.loc[[1, 3], ["net_l", "take_ratio"]].isna().all(axis=None)
