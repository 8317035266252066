"""Lifts, void and take: order of the work, depths gone over again, what is not known."""

import numpy as np
import pandas as pd
import pytest

from core.compute.measures import grout
from tests.compute.grout_frames import grouted_piles, toe_depths
from tests.published import published

# Hand calculation: pi/4 x (200**2 - 88.9**2) mm2 = 25 208.76 mm2, 25.2088 L per metre of column.
PER_M = 25.2088


def lifts(*rows, **pile):
    return grout.lifts(*toe_depths(*rows, **pile))


def measures(*rows, **pile):
    placed, piles = toe_depths(*rows, **pile)
    return grout.take_measures(grout.lifts(placed, piles), piles).loc["P1"]


def litres(frame, column="void_l"):
    return [round(value, 1) for value in frame[column]]


def test_batches_of_one_lift_add_up_and_are_named():
    same = {"lift_no": "1", "from_mm": 500, "to_mm": 1500}
    found = lifts(same, {**same, "batch_id": "B2"}, {**same, "batch_id": "B3"})
    assert found["net_l"].tolist() == [90]
    assert found["batches"].tolist() == ["B1, B2, B3"]
    assert found["placements"].tolist() == [3]


def test_a_lift_that_repeats_depths_adds_grout_and_no_void():
    found = lifts({"from_mm": 500, "to_mm": 1500}, {"from_mm": 1500, "to_mm": 1500})
    assert litres(found) == [25.2, 0]
    assert found["cumulative_net_l"].tolist() == [30, 60]
    assert np.isnan(found["take_ratio"].iloc[1])
    assert found["cumulative_ratio"].iloc[1] == pytest.approx(60 / PER_M, rel=1e-5)


def test_a_later_run_opens_only_what_is_below_the_earlier_one():
    again = {"lift_no": "1", "run_no": "2", "from_mm": 500, "to_mm": 2500}
    found = lifts({"from_mm": 500, "to_mm": 1500}, again)
    assert litres(found) == [25.2, 25.2]
    assert litres(found, "cumulative_void_l") == [25.2, 50.4]


def test_a_depth_that_no_lift_names_counts_in_the_cumulative_void():
    found = lifts({"from_mm": 500, "to_mm": 1500}, {"from_mm": 2500, "to_mm": 3500})
    assert litres(found) == [25.2, 25.2]
    assert litres(found, "cumulative_void_l") == [25.2, 75.6]


def test_lifts_follow_their_starts_where_all_have_one_and_else_their_depths():
    up = {"lift_no": "top", "from_mm": 500, "to_mm": 500}
    down = {"lift_no": "down", "from_mm": 500, "to_mm": 1500}
    timed = [
        {**up, "started_at": "2026-03-02 09:00"},
        {**down, "started_at": "2026-03-02 08:00"},
    ]
    assert lifts(*timed)["lift_no"].tolist() == ["down", "top"]
    assert lifts(up, down)["lift_no"].tolist() == ["top", "down"]


def test_above_the_first_disc_nothing_opens_and_from_the_ground_everything_does():
    whole = {"from_mm": 0, "to_mm": 1500}
    assert litres(lifts(whole)) == [25.2]
    assert litres(lifts(whole, grout_from="ground")) == [37.8]
    assert litres(lifts({"from_mm": 0, "to_mm": 400})) == [0]


def test_a_wider_pre_drilled_hole_counts_over_its_length_alone():
    # Hand calculation: pi/4 x (250**2 - 88.9**2) = 42 880.2 mm2; 1 m of it and 1 m of 25.2088 L.
    drilled = {"predrilled_mm": 250.0, "predrilled_length_mm": 1000.0}
    assert lifts({"from_mm": 500, "to_mm": 2500}, **drilled)["void_l"].item() == published("68.09")
    narrow = {**drilled, "predrilled_mm": 150.0}
    assert litres(lifts({"from_mm": 500, "to_mm": 2500}, **narrow)) == [50.4]


def test_a_square_shaft_takes_its_square_and_a_grouted_bore_adds_its_circle():
    square = lifts({"from_mm": 500, "to_mm": 6500}, shape="square", outside_mm=38.1, disc_mm=150.0)
    assert square["void_l"].item() == published("97.32")
    # Hand calculation: 76.9 mm inside, pi/4 x 76.9**2 = 4 644.5 mm2, 4.6445 L per metre.
    bore = lifts({"from_mm": 500, "to_mm": 1500}, grouted_bore=True)
    assert bore["void_l"].item() == published("29.853")


@pytest.mark.parametrize(
    ("pile", "told"),
    [
        ({"first_disc_depth_mm": np.nan}, grout.NO_DISC),
        ({"predrilled_mm": 300.0}, grout.NO_DRILLED),
        ({"grout_from": None}, grout.NO_HOLE),
        ({"disc_mm": np.nan}, grout.NO_HOLE),
    ],
)
def test_a_void_that_cannot_be_known_says_why(pile, told):
    found = measures({"from_mm": 500, "to_mm": 1500}, **pile)
    assert np.isnan(found["void_l"])
    assert np.isnan(found["least_cumulative_ratio"])
    assert (found["lifts_unknown"], found["grout_missing"]) == (1, told)


def test_from_a_lift_of_unknown_waste_on_the_running_sum_is_unknown():
    lost = {"from_mm": 1500, "to_mm": 2500, "spilled_l": np.nan}
    rows = [{"from_mm": 500, "to_mm": 1500}, lost, {"from_mm": 2500, "to_mm": 3500}]
    found = lifts(*rows)
    assert found["net_l"].isna().tolist() == [False, True, False]
    assert found["cumulative_net_l"].isna().tolist() == [False, True, True]
    told = measures(*rows)
    assert np.isnan(told["net_grout_l"])
    assert told["least_lift_ratio"] == pytest.approx(30 / PER_M, rel=1e-5)
    assert (told["lifts_unknown"], told["grout_missing"]) == (1, grout.NO_WASTE)


def level(*rows):
    frame = grout.lifts(*toe_depths(*rows))
    return tuple(grout.level_measures(frame).loc["P1"])


def test_a_fall_counts_until_it_is_topped_up():
    first = {"from_mm": 500, "to_mm": 1500, "level_drop_mm": 50}
    fallen = {"from_mm": 1500, "to_mm": 2500, "level_drop_mm": 300}
    assert level(first, fallen) == (300, True)
    assert level(first, {**fallen, "topped_up_l": 8}) == (50, True)
    assert level(first, fallen, {"from_mm": 2500, "to_mm": 2500}) == (0, True)
    assert level(fallen, {"from_mm": 2500, "to_mm": 3500}) == (300, False)


def test_without_any_grout_there_are_no_lifts_and_no_measures():
    placed, piles = toe_depths({"from_mm": 0, "to_mm": 1})
    none = grout.lifts(placed.iloc[:0], piles)
    assert none.empty
    assert grout.take_measures(none, grouted_piles()).empty
    assert isinstance(grout.level_measures(none), pd.DataFrame)
