"""Numbers of grout with nothing recorded, and with gaps in what is recorded."""

import itertools

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.subjects.grout.measures import tables
from tests.subjects.grout.grout_rows import (
    grouted_piles,
    inputs,
    kind_frame,
    placement_frame,
    run_frame,
    without_placements,
)

VOLUMES = ("left_l", "spilled_l", "returned_l")


def test_every_measure_of_grout_works_on_no_rows():
    none = inputs(placement_frame({"from_mm": 0, "to_mm": 1}), grouted_piles(), run_frame({}))
    pile = tables(without_placements(none))
    below = (pile, pile.lift.below, pile.placed.below, pile.gap.below, pile.sampled.below)
    for table in (*below, pile.sampled.below.specimen):
        for name, values in table.columns():
            assert len(getattr(values, "values", values)) == 0, name
    for name, declared in pile.declared.items():
        if declared.evidence is not None:
            assert not any(len(links.owner) for links in pile.evidence(name)), name


@st.composite
def jobs(draw):
    """A pile with some lifts down from its first disc, and the same with gaps in its records."""
    number = draw(st.integers(1, 5))
    steps = draw(st.lists(st.sampled_from([0, 400, 1000]), min_size=number, max_size=number))
    ends = np.cumsum([500, *steps]).tolist()
    column = draw(st.booleans())
    whole, broken = [], []
    for from_mm, to_mm in itertools.pairwise(ends):
        shift = 500 if column else 0
        row = {"from_mm": from_mm - shift, "to_mm": to_mm - shift,
               "depths_of": "column" if column else "toe",
               "batched_l": draw(st.integers(20, 60)),
               **{name: draw(st.integers(0, 5)) for name in VOLUMES}}  # fmt: skip
        lost = draw(st.sets(st.sampled_from(VOLUMES)))
        whole.append(row)
        broken.append(row | dict.fromkeys(lost, np.nan))
    pile = {
        "toe_mm": float(ends[-1] + draw(st.sampled_from([0, 700]))),
        "predrilled_diameter_mm": draw(st.sampled_from([np.nan, 250.0])),
        "predrilled_length_mm": 600.0,
        "grouted_bore": draw(st.booleans()),
    }
    may_miss = st.sampled_from(
        ["disc_mm", "first_disc_depth_mm", "predrilled_length_mm", "toe_mm", "grout_from",
         "outside_diameter_mm", "wall_mm"]
    )  # fmt: skip
    lost = draw(st.sets(may_miss, max_size=2))
    if pile["predrilled_diameter_mm"] > 0:
        lost -= {"disc_mm"}  # a type without a disc is another type: the drilled hole alone
    return (whole, pile), (broken, pile | dict.fromkeys(lost, np.nan)), lost


def of(job):
    rows, pile = job
    return tables(inputs(placement_frame(*rows), grouted_piles(pile)))


@settings(max_examples=150, deadline=None)
@given(jobs())
def test_a_gap_in_the_records_makes_numbers_unknown_and_never_better(job):
    whole, broken, lost = job
    full, found = of(whole), of(broken)
    no_volume = any(np.isnan(row[name]) for row in broken[0] for name in VOLUMES)
    drilled = not np.isnan(broken[1]["predrilled_diameter_mm"])
    of_hole = {"first_disc_depth_mm", "grout_from", "outside_diameter_mm"}
    of_hole |= {"predrilled_length_mm"} if drilled else {"disc_mm"}
    of_hole |= {"wall_mm"} if broken[1]["grouted_bore"] else set()
    no_void = bool(lost & of_hole)
    assert np.isnan(found.net_grout_l.values[0]) == no_volume
    assert np.isnan(found.void_l.values[0]) == no_void
    if no_volume or no_void:
        assert np.isnan(found.take_ratio.values[0])
    if "toe_mm" in lost:  # the void then counts to the last lift, and the gap below it is unknown
        assert np.isnan(found.lift_gap_mm.values[0])
    else:
        assert not found.take_ratio.values[0] > full.take_ratio.values[0]
    lift, whole_lift = found.lift.below, full.lift.below
    rows = np.isnan([[row[name] for name in VOLUMES] for row in broken[0]]).any(axis=1)
    assert np.isnan(lift.net_l.values).tolist() == rows.tolist()
    assert (
        np.isnan(lift.cumulative_net_l.values).tolist() == np.logical_or.accumulate(rows).tolist()
    )
    if no_void:
        assert not lift.cumulative_void_l.known.any()
        assert not lift.take_ratio.known.any()
    known = lift.take_ratio.known
    assert lift.take_ratio.values[known] == pytest.approx(whole_lift.take_ratio.values[known])
    hidden = whole_lift.take_ratio.known & ~known
    assert found.lifts_unknown[0] >= hidden.sum()  # so that the minimum of the rest decides nothing


@settings(max_examples=50, deadline=None)
@given(st.lists(st.booleans(), min_size=1, max_size=4), st.booleans(), st.booleans())
def test_ages_and_strengths_with_gaps_are_counted(ended, mixed, tested):
    rows = [{"from_mm": 500 * at, "to_mm": 500 * at + 500,
             "ended_at": f"2026-03-02 0{at + 1}:00" if known else None}
            for at, known in enumerate(ended)]  # fmt: skip
    batch = {"batch_id": "B1", "mixed_on": "2026-03-02", "mix": "M1",
             "mixed_at": "2026-03-02 00:30" if mixed else None}  # fmt: skip
    result = {"tested_on": "2026-03-30", "strength_mpa": 30.0} if tested else {}
    specimen = {"specimen_id": "S1", "sample_group_id": "G1", "taken_on": "2026-03-02",
                "age_days": 28}  # fmt: skip
    job = inputs(
        placement_frame(*rows), grouted_piles({}),
        batches=kind_frame("grout_batch", batch),
        specimens=kind_frame("grout_specimen", {**specimen, **result}),
        members=kind_frame("sample_group_member", {"sample_group_id": "G1", "pile_id": "P1"}),
    )  # fmt: skip
    pile = tables(job)
    assert pile.untimed_placements[0] == ended.count(False)
    assert pile.age_unknown[0] == (ended.count(False) if mixed else len(ended))
    assert np.isnan(pile.batch_age_h.values[0]) == (not mixed or not any(ended))
    assert (pile.results_missing[0] == 1) == np.isnan(pile.grout_strength_mpa.values[0])
    assert pd.isna(pile.results_due_on[0]) == tested
