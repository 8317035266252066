"""Hours between grout and later work, with and without times, and neighbours on a grid."""

import numpy as np
import pandas as pd
import pytest

from core.compute.measures import fresh_grout
from tests.compute.frames import run_frame
from tests.compute.grout_frames import grouted_piles, placement_frame, within_day

NO_READINGS = pd.DataFrame(
    {"pile_id": ["P1"], "read_at": pd.to_datetime([None]), "flag": ["measured"]}
).astype({"pile_id": "str", "read_at": "datetime64[us]"})
ENDED = {"from_mm": 0, "to_mm": 1500, "ended_at": "2026-03-02 09:00"}
UNTIMED = {"from_mm": 0, "to_mm": 1500}


def runs(*rows):
    return within_day(run_frame(*rows), "run_on")


def turned(placements, *rows, readings=NO_READINGS):
    found = fresh_grout.turned_again(runs(*rows), readings, placements).loc["P1"]
    return tuple(found)


def test_a_later_run_counts_from_the_end_of_the_last_placement_before_it():
    later = {"run_no": "2", "started_at": "2026-03-02 16:30"}
    found = turned(placement_frame(ENDED), {"started_at": "2026-03-02 08:00"}, later)
    assert found == (7.5, 7.5, 0)


def test_the_run_of_the_placement_itself_is_no_later_turn():
    found = turned(placement_frame(ENDED), {"started_at": "2026-03-02 08:00"})
    assert np.isnan(found[0])


def test_a_run_on_a_later_day_without_times_is_bounded_by_the_days():
    # Placed on 2 March without times, turned on 4 March: 24 to 72 hours.
    found = turned(placement_frame(UNTIMED), {}, {"run_no": "2", "run_on": "2026-03-04"})
    assert found == (24, 72, 1)


def test_a_reading_taken_long_after_the_placement_is_a_turn():
    read = pd.to_datetime(["2026-03-02 08:30", "2026-03-02 16:00"])
    readings = pd.DataFrame({"pile_id": "P1", "read_at": read, "flag": "measured"})
    readings = readings.astype({"pile_id": "str", "read_at": "datetime64[us]"})
    assert turned(placement_frame(ENDED), {}, readings=readings)[0] == 7
    missed = readings.assign(flag=["measured", "missed"])
    assert np.isnan(turned(placement_frame(ENDED), {}, readings=missed)[0])


def beside(placements, *rows, apart_m=2.0):
    piles = grouted_piles({}, {"easting_m": 100.0 + apart_m})
    return fresh_grout.fresh_neighbours(piles, runs(*rows), placements)


def test_the_pile_worked_later_gets_the_age_of_its_neighbour_s_grout():
    times = {"started_at": "2026-03-02 12:00", "ended_at": "2026-03-02 12:30"}
    found = beside(placement_frame(ENDED), {"pile_id": "P2", **times})
    assert found.index.tolist() == ["P2"]
    assert found.loc["P2", ["fresh_h", "fresh_possible_h", "fresh_neighbour"]].tolist() == [
        3,
        3,
        "P1",
    ]


def test_work_that_ended_before_the_grout_was_placed_does_not_count():
    times = {"started_at": "2026-03-02 07:00", "ended_at": "2026-03-02 08:00"}
    assert beside(placement_frame(ENDED), {"pile_id": "P2", **times}).empty


def test_work_during_the_placement_finds_grout_of_no_age():
    times = {"started_at": "2026-03-02 08:30", "ended_at": "2026-03-02 09:30"}
    assert beside(placement_frame(ENDED), {"pile_id": "P2", **times})["fresh_h"].item() == 0


def test_beyond_the_distance_nothing_is_near_and_exactly_on_it_is():
    times = {"started_at": "2026-03-02 12:00", "ended_at": "2026-03-02 12:30"}
    run = {"pile_id": "P2", **times}
    assert len(beside(placement_frame(ENDED), run, apart_m=3.0)) == 1
    assert beside(placement_frame(ENDED), run, apart_m=3.1).empty


def test_without_times_the_days_bound_the_age_and_prove_nothing_on_one_day():
    same = beside(placement_frame(UNTIMED), {"pile_id": "P2"})
    assert same["fresh_h"].isna().all()
    assert same["fresh_possible_h"].item() == 0
    later = beside(placement_frame(UNTIMED), {"pile_id": "P2", "run_on": "2026-03-04"})
    assert (later["fresh_possible_h"].item(), later["fresh_h"].item()) == (24, 72)


def test_the_grid_finds_the_same_neighbours_as_all_pairs():
    random = np.random.default_rng(7)
    places = random.uniform(0, 25, (120, 2))
    reach = random.choice([1500.0, 3000.0, np.nan], 120)
    piles = grouted_piles(*({"easting_m": e, "northing_m": n} for e, n in places)).assign(
        neighbour_mm=reach
    )
    found = set(fresh_grout.neighbours(piles).itertuples(index=False, name=None))
    apart = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1)) * 1000
    close = (apart <= reach[:, None]) & ~np.eye(120, dtype=bool)
    expected = {(f"P{a + 1}", f"P{b + 1}") for a, b in zip(*np.nonzero(close), strict=True)}
    assert found == expected
    assert len(found) > 100


def test_without_a_distance_or_a_place_there_are_no_neighbours():
    assert fresh_grout.neighbours(grouted_piles({"neighbour_mm": np.nan})).empty
    assert fresh_grout.neighbours(grouted_piles({"easting_m": np.nan}, {})).empty


@pytest.mark.parametrize("column", ["fresh_h", "fresh_neighbour"])
def test_without_grout_nothing_is_fresh(column):
    none = placement_frame(ENDED).iloc[:0]
    assert beside(none, {"pile_id": "P2"})[column].empty
