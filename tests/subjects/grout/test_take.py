"""Lifts, void and take: order of the work, depths gone over again, what is not known."""

import numpy as np
import pytest

from core.subjects.columns import Book
from core.subjects.grout import lifts as of_lifts
from core.subjects.grout import measures as of_piles
from core.subjects.grout.measures import tables
from tests.published import published
from tests.subjects.grout.grout_rows import (
    grout,
    grouted_piles,
    inputs,
    measures,
    placement_frame,
    without_placements,
)

# Hand calculation: pi/4 x (200**2 - 88.9**2) mm2 = 25 208.76 mm2, 25.2088 L per metre of column.
PER_M = 25.2088


def lifts(*rows, **pile):
    return grout(*rows, **pile).lift.below


def litres(column):
    return [round(value, 1) for value in column.values.tolist()]


def test_batches_of_one_lift_add_up_and_are_named():
    same = {"lift_no": "1", "from_mm": 500, "to_mm": 1500}
    found = lifts(same, {**same, "batch_id": "B2"}, {**same, "batch_id": "B3"})
    assert found.net_l.values.tolist() == [90]
    assert found.batches.array().tolist() == ["B1, B2, B3"]
    assert found.placements.tolist() == [3]


def test_a_lift_that_repeats_depths_adds_grout_and_no_void():
    found = lifts({"from_mm": 500, "to_mm": 1500}, {"from_mm": 1500, "to_mm": 1500})
    assert litres(found.void_l) == [25.2, 0]
    assert found.cumulative_net_l.values.tolist() == [30, 60]
    assert np.isnan(found.take_ratio.values[1])
    assert found.cumulative_ratio.values[1] == pytest.approx(60 / PER_M, rel=1e-5)


def test_a_later_run_opens_only_what_is_below_the_earlier_one():
    again = {"lift_no": "1", "run_no": "2", "from_mm": 500, "to_mm": 2500}
    found = lifts({"from_mm": 500, "to_mm": 1500}, again)
    assert litres(found.void_l) == [25.2, 25.2]
    assert litres(found.cumulative_void_l) == [25.2, 50.4]


def test_a_depth_that_no_lift_names_counts_in_the_cumulative_void():
    found = lifts({"from_mm": 500, "to_mm": 1500}, {"from_mm": 2500, "to_mm": 3500})
    assert litres(found.void_l) == [25.2, 25.2]
    assert litres(found.cumulative_void_l) == [25.2, 75.6]


def test_lifts_follow_their_starts_where_all_have_one_and_else_their_depths():
    up = {"lift_no": "top", "from_mm": 500, "to_mm": 500}
    down = {"lift_no": "down", "from_mm": 500, "to_mm": 1500}
    timed = [
        {**up, "started_at": "2026-03-02 09:00"},
        {**down, "started_at": "2026-03-02 08:00"},
    ]
    assert lifts(*timed).text("lift_no").array().tolist() == ["down", "top"]
    assert lifts(up, down).text("lift_no").array().tolist() == ["top", "down"]


def test_above_the_first_disc_nothing_opens_and_from_the_ground_everything_does():
    whole = {"from_mm": 0, "to_mm": 1500}
    assert litres(lifts(whole).void_l) == [25.2]
    assert litres(lifts(whole, grout_from="ground").void_l) == [37.8]
    assert litres(lifts({"from_mm": 0, "to_mm": 400}).void_l) == [0]


def test_a_wider_pre_drilled_hole_counts_over_its_length_alone():
    # Hand calculation: pi/4 x (250**2 - 88.9**2) = 42 880.2 mm2; 1 m of it and 1 m of 25.2088 L.
    drilled = {"predrilled_diameter_mm": 250.0, "predrilled_length_mm": 1000.0}
    lift = {"from_mm": 500, "to_mm": 2500}
    assert lifts(lift, **drilled).void_l.values[0] == published("68.09")
    narrow = {**drilled, "predrilled_diameter_mm": 150.0}
    assert litres(lifts(lift, **narrow).void_l) == [50.4]
    alone = {**drilled, "disc_mm": np.nan}  # a type without disc: the drilled hole alone
    assert lifts(lift, **alone).void_l.values[0] == published("42.88")


def test_a_square_shaft_takes_its_square_and_a_grouted_bore_adds_its_circle():
    square = lifts(
        {"from_mm": 500, "to_mm": 6500}, shape="square", outside_diameter_mm=38.1, disc_mm=150.0
    )
    assert square.void_l.values[0] == published("97.32")
    # Hand calculation: 76.9 mm inside, pi/4 x 76.9**2 = 4 644.5 mm2, 4.6445 L per metre.
    bore = lifts({"from_mm": 500, "to_mm": 1500}, grouted_bore=True)
    assert bore.void_l.values[0] == published("29.853")


@pytest.mark.parametrize(
    ("pile", "why"),
    [
        ({"first_disc_depth_mm": np.nan}, of_piles.NO_DISC),
        ({"predrilled_diameter_mm": 300.0}, of_piles.NO_DRILLED),
        ({"grout_from": None}, of_piles.NO_HOLE),
        ({"disc_mm": np.nan}, of_piles.NO_HOLE),
    ],
)
def test_a_void_that_cannot_be_known_says_why(pile, why):
    found = measures(grout({"from_mm": 500, "to_mm": 1500}, **pile))
    assert np.isnan(found["void_l"])
    assert np.isnan(found["min_cumulative_ratio"])
    assert (found["lifts_unknown"], found["grout_missing"]) == (1, why)
    book = Book(str)
    grout({"from_mm": 500, "to_mm": 1500}, traced=True, **pile).steps(book)
    assert {step.measure: step.note for step in book.steps}["void_l"] == why


def test_from_a_lift_of_unknown_waste_on_the_running_sum_is_unknown():
    lost = {"from_mm": 1500, "to_mm": 2500, "spilled_l": np.nan}
    rows = [{"from_mm": 500, "to_mm": 1500}, lost, {"from_mm": 2500, "to_mm": 3500}]
    found = grout(*rows)
    assert found.lift.below.net_l.known.tolist() == [True, False, True]
    assert found.lift.below.cumulative_net_l.known.tolist() == [True, False, False]
    of_pile = measures(found)
    assert np.isnan(of_pile["net_grout_l"])
    assert of_pile["min_lift_ratio"] == pytest.approx(30 / PER_M, rel=1e-5)
    assert (of_pile["lifts_unknown"], of_pile["grout_missing"]) == (1, of_lifts.NO_WASTE)


def level(*rows):
    found = measures(grout(*rows))
    return found["level_drop_mm"], found["level_recorded"]


def test_a_fall_counts_until_it_is_topped_up():
    first = {"from_mm": 500, "to_mm": 1500, "level_drop_mm": 50}
    fallen = {"from_mm": 1500, "to_mm": 2500, "level_drop_mm": 300}
    assert level(first, fallen) == (300, True)
    assert level(first, {**fallen, "topped_up_l": 8}) == (50, True)
    assert level(first, fallen, {"from_mm": 2500, "to_mm": 2500}) == (0, True)
    assert level(fallen, {"from_mm": 2500, "to_mm": 3500}) == (300, False)


def test_without_any_grout_there_are_no_lifts_and_no_numbers():
    job = inputs(placement_frame({"from_mm": 0, "to_mm": 1}), grouted_piles({}))
    none = tables(without_placements(job))
    assert len(none.lift.below) == 0
    found = measures(none)
    assert np.isnan([found[name] for name in ("net_grout_l", "void_l", "take_ratio")]).all()
    assert (found["lifts"], found["level_recorded"]) == (0, False)


def worked_out(pile):
    """Title and result of every step, as a worksheet prints them."""
    book = Book(str)
    pile.steps(book)
    return {step.title: step for step in book.steps}


def test_the_worksheet_goes_lift_by_lift_and_ends_with_the_pile():
    rows = [{"from_mm": 500, "to_mm": 1500}, {"from_mm": 1500, "to_mm": 2500}]
    pile = grout(*rows, traced=True, toe_mm=3000.0)
    steps = worked_out(pile)
    titles = list(steps)
    assert titles[0] == "Net grout of lift 1 of run 1"
    assert titles.index("Take ratio of lift 1 of run 1") < titles.index(
        "Net grout of lift 2 of run 1"
    )
    void = steps["Void of lift 2 of run 1"]
    assert (void.equation, void.unit) == ("V = (π/4·d² − A)·L", "L")
    assert void.value == pytest.approx(PER_M, rel=1e-5)
    assert [one.value for one in void.inputs][2] == 1000  # the column from 1.0 to 2.0 m
    whole = steps["Theoretical void"]
    assert (whole.measure, whole.value) == ("void_l", pytest.approx(2.5 * PER_M, rel=1e-5))
    assert steps["Take ratio of the whole pile"].value == pytest.approx(
        60 / (2.5 * PER_M), rel=1e-5
    )


def test_a_pre_drilled_hole_and_a_grouted_bore_have_their_steps():
    drilled = {
        "predrilled_diameter_mm": 250.0,
        "predrilled_length_mm": 1000.0,
        "grouted_bore": True,
    }
    steps = worked_out(grout({"from_mm": 500, "to_mm": 2500}, traced=True, **drilled))
    parts = ("the hole", "the pre-drilled hole", "the bore")
    of_parts = [steps[f"Void of {part} of lift 1 of run 1"] for part in parts]
    assert [part.inputs[0].value for part in of_parts] == [200.0, 250.0, 76.9]
    assert [part.inputs[-1].value for part in of_parts] == [1000, 1000, 2000]
    whole = steps["Void of lift 1 of run 1"]
    assert whole.equation == "sum of V"
    assert [one.value for one in whole.inputs] == [part.value for part in of_parts]
    # Hand calculation: 25.2088 + 42.8802 + 2 x 4.6445 L.
    assert whole.value == published("77.378")


def test_the_evidence_of_the_least_ratio_is_its_lift_and_of_the_take_all_placements():
    thin = {"from_mm": 1500, "to_mm": 2500, "batched_l": 20}
    pile = grout({"from_mm": 500, "to_mm": 1500}, thin)
    (lift,) = pile.evidence("min_lift_ratio")
    assert (lift.record, lift.at.tolist()) == ("grout_placement", [1])
    placed, runs = pile.evidence("net_grout_l")
    assert (placed.at.tolist(), runs.record) == ([0, 1], "run")
    unknown = grout({"from_mm": 500, "to_mm": 1500}, thin, grout_from=None)
    assert unknown.evidence("min_lift_ratio")[0].at.tolist() == [0, 1]
