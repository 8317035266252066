"""Specimens of a pile's groups: which decide, what is missing, how often they are taken."""

import numpy as np
import pandas as pd

from core.subjects.grout.measures import tables
from tests.subjects.grout.grout_rows import (
    ON,
    grouted_piles,
    inputs,
    kind_frame,
    measures,
    placement_frame,
)

ONE = (("G1", "P1"),)


def of(specimens, members=ONE, placements=(), on=ON):
    """The tables of piles P1 and P2 with specimens S1, S2 … of group G1 taken on 2 March."""
    base = {"sample_group_id": "G1", "taken_on": "2026-03-02", "age_days": 28}
    taken = [{"specimen_id": f"S{n}", **base, **row} for n, row in enumerate(specimens, start=1)]
    pairs = [{"sample_group_id": group, "pile_id": pile} for group, pile in members]
    job = inputs(
        placement_frame(*(placements or [{"from_mm": 0, "to_mm": 1}])),
        grouted_piles({}, {}),
        specimens=kind_frame("grout_specimen", *taken),
        members=kind_frame("sample_group_member", *pairs),
        on=on,
    )
    return tables(job)


def strength(*specimens, members=ONE, on=ON):
    return measures(of(specimens, members, on=on))


def in_with(strength_mpa, on="2026-03-30", **more):
    return {"tested_on": on, "strength_mpa": strength_mpa, **more}


def test_the_least_value_at_the_age_is_named_and_other_ages_do_not_decide():
    found = strength(in_with(40), in_with(37.5), in_with(22, "2026-03-09", age_days=7))
    assert found["grout_strength_mpa"] == 37.5
    assert found["weakest_specimen"] == "specimen S2 of group G1"
    assert (found["groups_untested"], found["results_missing"]) == (0, 0)


def test_a_specimen_tested_before_its_age_does_not_decide():
    found = strength(in_with(40, "2026-03-20"))
    assert np.isnan(found["grout_strength_mpa"])
    assert found["groups_untested"] == 1


def test_a_missing_result_says_how_long_ago_it_was_due():
    # Taken on 2 March, 28 days old on 30 March, judged on 10 April.
    found = strength(in_with(40), {})
    assert (found["results_missing"], found["results_due_days"]) == (1, 11)
    assert found["results_due_on"] == pd.Timestamp("2026-03-30")
    assert found["grout_strength_mpa"] == 40


def test_a_result_of_a_later_day_is_not_in_yet():
    found = strength(in_with(20), on=pd.Timestamp("2026-03-20"))
    assert np.isnan(found["grout_strength_mpa"])
    assert (found["results_missing"], found["results_due_days"]) == (1, -10)


def test_every_group_of_a_pile_needs_a_specimen_of_the_age():
    members = (("G1", "P1"), ("G2", "P1"))
    assert strength(in_with(40), members=members)["groups_untested"] == 1


def test_groups_are_counted_with_their_piles_and_specimens():
    members = (("G1", "P1"), ("G1", "P2"), ("G2", "P1"))
    found = measures(of([{}, {}, {"sample_group_id": "G2"}], members))
    assert (found["sample_groups"], found["piles_per_group"]) == (2, 2)
    assert found["specimens_per_group"] == 1
    assert found["days_without_group"] == 0


def test_a_day_on_which_nothing_was_taken_is_named():
    rows = [{"from_mm": 0, "to_mm": 1}, {"from_mm": 1, "to_mm": 2, "placed_on": "2026-03-05"}]
    found = measures(of([{}], placements=[*rows, {**rows[1], "lift_no": "9"}]))
    assert found["days_without_group"] == 1
    assert found["day_without_group"] == pd.Timestamp("2026-03-05")


def test_a_pile_with_grout_and_no_group_has_none():
    found = measures(of([{}], members=(("G1", "P2"),)))
    assert found["sample_groups"] == 0
    assert np.isnan(found["piles_per_group"])


def test_a_specimen_names_the_piles_of_its_group():
    members = (("G1", "P1"), ("G1", "P2"))
    specimen = of([{}, {"sample_group_id": "G2"}], members).sampled.below.specimen
    assert specimen.piles.tolist() == [2, 0]
    assert specimen.pile_ids.array().tolist() == ["P1, P2", ""]


def test_the_evidence_of_a_strength_is_the_groups_and_their_specimens():
    members, specimens = of([{}, {"sample_group_id": "G2"}]).evidence("grout_strength_mpa")
    assert members.record == "sample_group_member"
    assert (specimens.record, specimens.rows.values("row_no")[specimens.at].tolist()) == (
        "grout_specimen",
        [1],
    )
