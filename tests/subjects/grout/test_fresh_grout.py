"""Hours between grout and later work, with and without times, and neighbours on a grid."""

import numpy as np

from core.subjects.grout.measures import tables
from core.subjects.grout.selection import neighbours
from tests.subjects.grout.grout_rows import (
    grouted_piles,
    inputs,
    kind_frame,
    placement_frame,
    run_frame,
    without_placements,
)

ENDED = {"from_mm": 0, "to_mm": 1500, "ended_at": "2026-03-02 09:00"}
UNTIMED = {"from_mm": 0, "to_mm": 1500}


def turned(placement, *rows, readings=()):
    """Hours until pile P1 turned again, certain and possible, and placements without an end."""
    read = [{"pile_id": "P1", "run_no": "1", "depth_mm": at, **row}
            for at, row in enumerate(readings)]  # fmt: skip
    job = inputs(
        placement_frame(placement), grouted_piles({}), run_frame(*rows),
        readings=kind_frame("torque_reading", *read),
    )  # fmt: skip
    pile = tables(job)
    return pile.turned_h[0], pile.turned_possible_h[0], pile.untimed_placements[0]


def test_a_later_run_counts_from_the_end_of_the_last_placement_before_it():
    later = {"run_no": "2", "started_at": "2026-03-02 16:30"}
    found = turned(ENDED, {"started_at": "2026-03-02 08:00"}, later)
    assert found == (7.5, 7.5, 0)


def test_the_run_of_the_placement_itself_is_no_later_turn():
    found = turned(ENDED, {"started_at": "2026-03-02 08:00"})
    assert np.isnan(found[0])


def test_a_run_on_a_later_day_without_times_is_bounded_by_the_days():
    # Placed on 2 March without times, turned on 4 March: 24 to 72 hours.
    found = turned(UNTIMED, {}, {"run_no": "2", "run_on": "2026-03-04"})
    assert found == (24, 72, 1)


def test_a_reading_taken_long_after_the_placement_is_a_turn():
    read = [{"read_at": "2026-03-02 08:30"}, {"read_at": "2026-03-02 16:00"}]
    assert turned(ENDED, {}, readings=read)[0] == 7
    missed = [read[0], {**read[1], "flag": "missed"}]
    assert np.isnan(turned(ENDED, {}, readings=missed)[0])


def beside(placement, run, apart_m=2.0):
    """Pile P2 beside the grouted pile P1, worked as in ``run``."""
    piles = grouted_piles({}, {"easting_m": 100.0 + apart_m})
    runs = run_frame({}, {"pile_id": "P2", **run})
    return tables(inputs(placement_frame(placement), piles, runs))


def fresh(*given, **more):
    """Age of the youngest grout beside P2: proven, possible, and whose it is."""
    pile = beside(*given, **more)
    return pile.fresh_h[1], pile.fresh_possible_h[1], pile.fresh_neighbour.array()[1]


def test_the_pile_worked_later_gets_the_age_of_its_neighbour_s_grout():
    times = {"started_at": "2026-03-02 12:00", "ended_at": "2026-03-02 12:30"}
    assert fresh(ENDED, times) == (3, 3, "P1")
    assert np.isnan(beside(ENDED, times).fresh_h[0])
    runs, placements = beside(ENDED, times).evidence("fresh_h")
    assert (runs.record, runs.owner.tolist(), runs.at.tolist()) == ("run", [1], [1])
    assert (placements.owner.tolist(), placements.at.tolist()) == ([1], [0])


def test_work_that_ended_before_the_grout_was_placed_does_not_count():
    times = {"started_at": "2026-03-02 07:00", "ended_at": "2026-03-02 08:00"}
    assert fresh(ENDED, times)[2] == ""


def test_work_during_the_placement_finds_grout_of_no_age():
    times = {"started_at": "2026-03-02 08:30", "ended_at": "2026-03-02 09:30"}
    assert fresh(ENDED, times)[0] == 0


def test_beyond_the_distance_nothing_is_near_and_exactly_on_it_is():
    times = {"started_at": "2026-03-02 12:00", "ended_at": "2026-03-02 12:30"}
    assert fresh(ENDED, times, apart_m=3.0)[2] == "P1"
    assert fresh(ENDED, times, apart_m=3.1)[2] == ""


def test_without_times_the_days_bound_the_age_and_prove_nothing_on_one_day():
    proven, possible, neighbour = fresh(UNTIMED, {})
    assert np.isnan(proven)
    assert (possible, neighbour) == (0, "P1")
    assert fresh(UNTIMED, {"run_on": "2026-03-04"}) == (72, 24, "P1")


def test_the_grid_finds_the_same_neighbours_as_all_pairs():
    random = np.random.default_rng(7)
    places = random.uniform(0, 25, (120, 2))
    reach = random.choice([1500.0, 3000.0, np.nan], 120)
    found = set(zip(*map(np.ndarray.tolist, neighbours(*places.T, reach)), strict=True))
    apart = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1)) * 1000
    close = (apart <= reach[:, None]) & ~np.eye(120, dtype=bool)
    expected = set(zip(*map(np.ndarray.tolist, np.nonzero(close)), strict=True))
    assert found == expected
    assert len(found) > 100


def test_without_a_distance_or_a_place_there_are_no_neighbours():
    here = np.array([100.0, 100.0])
    assert len(neighbours(here, here, np.array([np.nan, np.nan]))[0]) == 0
    assert len(neighbours(np.array([np.nan, 100.0]), here, np.array([3000.0] * 2))[0]) == 0
    assert len(neighbours(*(np.array([]) for _ in range(3)))[0]) == 0


def test_without_grout_nothing_is_fresh():
    job = inputs(placement_frame(ENDED), grouted_piles({}, {}), run_frame({}, {"pile_id": "P2"}))
    none = tables(without_placements(job))
    assert np.isnan(none.fresh_h).all()
    assert none.fresh_neighbour.array().tolist() == ["", ""]
