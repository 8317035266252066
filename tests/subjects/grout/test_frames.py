"""Grout mixed, placed and sampled: batches with their piles, days, sample groups and strengths."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from core.subjects.grout import frames

DAY = pd.Timestamp("2026-03-02")
NEXT = pd.Timestamp("2026-03-03")
LATE = pd.Timestamp("2026-04-01")


def batches(*names, **changed):
    base = {"batch_id": list(names), "mixed_on": DAY, "mixed_at": DAY + pd.Timedelta(hours=8)}
    base |= {"mix": "M1", "density_kg_m3": 1900.0, "flow_s": 16.0, "volume_l": 200.0}
    return pd.DataFrame(base | changed)


def placed(*rows, **changed):
    """Placements given as pile and batch."""
    frame = pd.DataFrame(rows, columns=["pile_id", "batch_id"])
    base = {"placed_on": DAY, "run_on": DAY, "batched_l": 20.0}
    return frame.assign(**({"batch_age_h": 1.0} | base | changed))


def taken(*rows, on=LATE):
    """Specimens given as number, group, age and strength, all taken on the first day."""
    frame = pd.DataFrame(rows, columns=["specimen_id", "sample_group_id", "age_days",
                                        "strength_mpa"])  # fmt: skip
    tested = pd.Series(DAY, index=frame.index) + pd.to_timedelta(frame["age_days"], unit="D")
    strength = frame["strength_mpa"].where(tested <= on)
    return frame.assign(batch_id="B1", taken_on=DAY, due_on=tested, strength_mpa=strength)


def sampled(*pairs):
    return pd.DataFrame(pairs, columns=["sample_group_id", "pile_id"]).astype("str")


def test_a_batch_touches_its_piles_once_and_has_its_greatest_age():
    rows = placed(("P1", "B1"), ("P2", "B1"), ("P1", "B1"), batch_age_h=[1.0, 1.5, 0.25])
    mixed = batches("B1", "B2")
    first, second = frames.used_batches(mixed, rows).itertuples()
    assert (first.batch_id, first.piles, first.pile_ids) == ("B1", 2, "P1, P2")
    assert (first.batched_l, first.batch_age_h) == (60, pytest.approx(1.5))
    assert (second.piles, second.pile_ids) == (0, "")


def test_the_age_of_a_batch_is_unknown_while_one_end_is_and_an_unknown_batch_is_listed():
    rows = placed(("P1", "B1"), ("P2", "B1"), ("P3", "B9"), batch_age_h=[1.0, np.nan, np.nan])
    mixed = batches("B1")
    frame = frames.used_batches(mixed, rows).set_index("batch_id")
    assert np.isnan(frame.loc["B1", "batch_age_h"])
    assert frame.loc["B9", "pile_ids"] == "P3"
    assert np.isnan(frame.loc["B9", "density_kg_m3"])


def test_a_day_counts_its_piles_groups_and_those_that_no_group_stands_for():
    rows = placed(("P1", "B1"), ("P1", "B2"), ("P2", "B1"), ("P3", "B3"),
                  placed_on=[DAY, DAY, DAY, pd.NaT], run_on=[DAY, DAY, DAY, NEXT])  # fmt: skip
    found = taken(("S1", "G1", 7, 25.0), ("S2", "G1", 28, np.nan))
    later, first = frames.days(rows, found, sampled(("G1", "P1"), ("G1", "P3"))).itertuples()
    assert (later.day, later.piles, later.groups, later.without_group) == (NEXT, 1, 0, 0)
    assert (first.day, first.piles, first.batches, first.specimens) == (DAY, 2, 2, 2)
    assert (first.groups, first.group_ids, first.without_group) == (1, "G1", 1)


def test_a_day_with_specimens_and_no_placement_is_listed():
    nothing = placed(("P1", "B1")).iloc[:0]
    (day,) = frames.days(nothing, taken(("S1", "G1", 7, 25.0)), sampled()).itertuples()
    assert (day.piles, day.specimens, day.pile_ids) == (0, 1, "")


@pytest.mark.parametrize(("days", "late"), [(27, 0), (28, 0), (30, 2)])
def test_a_sample_group_says_what_it_waits_for_and_how_late_that_is(days, late):
    on = DAY + pd.Timedelta(days=days)
    members = (("G1", "P1"), ("G1", "P2"))
    found = taken(("S1", "G1", 7, 25.0), ("S2", "G1", 28, np.nan), on=on)
    (group,) = frames.sample_groups(found, sampled(*members), on).itertuples()
    assert (group.piles, group.pile_ids) == (2, "P1, P2")
    assert (group.specimens, group.waiting) == (2, 1)
    assert (group.due_on, group.overdue_days) == (DAY + pd.Timedelta(days=28), late)


def test_a_group_with_all_results_waits_for_nothing_and_one_without_specimens_is_listed():
    found = taken(("S1", "G1", 7, 25.0))
    frame = frames.sample_groups(found, sampled(("G2", "P1")), NEXT).set_index("sample_group_id")
    assert frame.loc["G1", "waiting"] == 0
    assert pd.isna(frame.loc["G1", "due_on"])
    assert (frame.loc["G2", "specimens"], frame.loc["G2", "pile_ids"]) == (0, "P1")


def test_strength_is_the_least_of_each_group_and_age():
    found = taken(("S1", "G1", 7, 25.0), ("S2", "G1", 28, 41.0), ("S3", "G1", 28, 38.5),
                  ("S4", "G2", 28, np.nan))  # fmt: skip
    frame = frames.strengths(found)
    assert frame["min_strength_mpa"].tolist()[:2] == [25.0, 38.5]
    assert frame["tested"].tolist() == [1, 2, 0]
    assert np.isnan(frame["min_strength_mpa"].iloc[2])
