"""Specimens of a pile's groups: which decide, what is missing, how often they are taken."""

import numpy as np
import pandas as pd

from core import records
from core.compute.measures import specimens
from tests.compute.grout_frames import grouted_piles, placement_frame

ON = pd.Timestamp("2026-04-10")


def specimen_frame(*rows):
    base = {"sample_group_id": "G1", "taken_on": "2026-03-02", "age_days": 28}
    given = [{"specimen_id": f"S{n}", **base, **row} for n, row in enumerate(rows, start=1)]
    return records.typed(pd.DataFrame(given), records.KIND["grout_specimen"].columns)


def member_frame(*pairs):
    frame = pd.DataFrame(pairs, columns=["sample_group_id", "pile_id"])
    return records.typed(frame, records.KIND["sample_group_member"].columns)


ONE = member_frame(("G1", "P1"))


def strength(*rows, members=ONE, on=ON):
    found = specimens.specimens(specimen_frame(*rows), members, on)
    return specimens.strength_measures(found, members, grouted_piles(), on).loc["P1"]


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
    members = member_frame(("G1", "P1"), ("G2", "P1"))
    assert strength(in_with(40), members=members)["groups_untested"] == 1


def sampling(rows, members, placements):
    found = specimens.specimens(specimen_frame(*rows), members, ON)
    return specimens.sampling_measures(found, members, placements)


def test_groups_are_counted_with_their_piles_and_specimens():
    members = member_frame(("G1", "P1"), ("G1", "P2"), ("G2", "P1"))
    found = sampling([{}, {}, {"sample_group_id": "G2"}], members, placement_frame(
        {"from_mm": 0, "to_mm": 1}
    ))  # fmt: skip
    first = found.loc["P1"]
    assert (first["sample_groups"], first["piles_per_group"]) == (2, 2)
    assert first["specimens_per_group"] == 1
    assert first["days_without_group"] == 0


def test_a_day_on_which_nothing_was_taken_is_named():
    rows = [{"from_mm": 0, "to_mm": 1}, {"from_mm": 1, "to_mm": 2, "placed_on": "2026-03-05"}]
    found = sampling([{}], ONE, placement_frame(*rows)).loc["P1"]
    assert found["days_without_group"] == 1
    assert found["day_without_group"] == pd.Timestamp("2026-03-05")


def test_a_pile_with_grout_and_no_group_has_none():
    found = sampling([{}], member_frame(("G1", "P2")), placement_frame({"from_mm": 0, "to_mm": 1}))
    assert found.loc["P1", "sample_groups"] == 0
    assert np.isnan(found.loc["P1", "piles_per_group"])
