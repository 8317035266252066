"""Calibration of readings, standing readings, the final window and gaps, on small frames."""

import numpy as np
import pandas as pd
import pytest

from core.compute.measures import calibration, disturbance, torque
from core.compute.measures import piles as pile_measures
from tests.compute.frames import (
    certificate_frame,
    pile_frame,
    point_frame,
    reading_frame,
    run_frame,
)

GRID = list(range(300, 3001, 300))
NO_POINTS = point_frame([])
WIDE = point_frame([(np.nan, 0.0), (np.nan, 20000.0)])


def profile(readings, runs, piles=None, certificates=None, points=None):
    certificates = certificate_frame() if certificates is None else certificates
    runs = disturbance.with_stops(runs)
    piles = pile_frame() if piles is None else piles
    points = WIDE if points is None else points
    readings = readings.reset_index(drop=True)
    readings = calibration.with_torque(readings, certificates, points)
    stops = disturbance.long_stops(readings, runs, piles)
    disturbed = disturbance.disturbed_ground(readings, runs, piles)
    piles = piles.drop(columns=["void_to_mm"]).merge(disturbed, on="pile_id")
    piles = piles.drop(columns=["stop_from_mm", "stop_to_mm"])
    piles = piles.merge(stops.tail(1), on="pile_id", how="left")
    return torque.with_standing(readings, piles, runs, stops), piles


def measures(*given, **also):
    frame, piles = profile(*given, **also)
    return torque.torque_measures(frame, piles).loc["P1"]


def test_final_torque_is_the_mean_of_the_last_three_of_a_300_mm_log():
    values = np.arange(1000.0, 11000.0, 1000.0)
    found = measures(reading_frame(GRID, values), run_frame({}))
    assert found["final_torque_nm"] == pytest.approx(9000)
    assert found["last_torque_nm"] == 10000
    assert found["torque_without_greatest_nm"] == pytest.approx(8500)
    assert found["greatest_torque_nm"] == 10000
    assert found["drop_share"] == 0


def test_pressure_goes_through_the_curve_of_its_instrument_and_gear():
    readings = reading_frame([300], [np.nan], pressure_kpa=5000.0, gear="low")
    points = pd.concat(
        [
            point_frame([(0, 0), (10000, 8000)], gear="high"),
            point_frame([(0, 0), (10000, 4000)], gear="low"),
        ]
    )
    found = calibration.with_torque(readings, certificate_frame(), points)
    assert found["torque_nm"].tolist() == [2000.0]
    assert found["range"].tolist() == ["in"]


@pytest.mark.parametrize(
    ("pressure", "place", "floor"),
    [(999.0, "below", np.nan), (1000.0, "in", 800.0), (10001.0, "above", 8000.0)],
)
def test_outside_the_points_there_is_no_torque_and_above_them_the_last_point_is_the_floor(
    pressure, place, floor
):
    readings = reading_frame([300], [np.nan], pressure_kpa=pressure)
    found = calibration.with_torque(
        readings, certificate_frame(), point_frame([(1000, 800), (10000, 8000)])
    )
    assert found["range"].tolist() == [place]
    np.testing.assert_equal(found["floor_torque_nm"].tolist(), [floor])
    ceiling = 800.0 if place == "below" else np.nan
    np.testing.assert_equal(found["ceiling_torque_nm"].tolist(), [ceiling])
    assert np.isnan(found["torque_nm"].iloc[0]) == (place != "in")


def test_the_last_day_of_a_certificate_is_in_force_and_the_next_day_is_not():
    days = ["2026-06-30", "2026-07-01"]
    readings = reading_frame([300, 600]).assign(read_on=pd.to_datetime(days))
    found = calibration.with_torque(
        readings, certificate_frame({"valid_to_on": "2026-06-30"}), NO_POINTS
    )
    assert found["in_force"].tolist() == [True, False]
    assert found["certificate"].tolist() == ["C1", "C1"]


def test_a_reading_without_a_curve_has_no_torque_whatever_its_instrument_shows():
    found = calibration.with_torque(reading_frame([300]), certificate_frame(), NO_POINTS)
    assert found["range"].tolist() == ["none"]
    assert np.isnan(found["torque_nm"].iloc[0])


def test_of_two_certificates_in_force_the_later_issued_is_used():
    both = certificate_frame({}, {"certificate": "C2", "issued_on": "2026-02-01"})
    found = calibration.with_torque(reading_frame([300]), both, NO_POINTS)
    assert found["certificate"].tolist() == ["C2"]


def test_an_instrument_without_certificate_is_not_in_force():
    found = calibration.with_torque(
        reading_frame([300], instrument_id="I9"), certificate_frame(), NO_POINTS
    )
    assert found["in_force"].tolist() == [False]
    assert found["range"].tolist() == ["none"]


def test_at_each_depth_the_latest_advancing_run_stands():
    first = reading_frame([2400, 2700, 3000], [1.0, 1.0, 1.0])
    again = reading_frame([2700, 3000], [2.0, 2.0], run_no="2")
    runs = run_frame({}, {"run_no": "2", "run_on": "2026-03-03", "why": "re-advanced"})
    frame, _ = profile(pd.concat([first, again]), runs)
    standing = frame[frame["standing"]]
    assert standing["depth_mm"].tolist() == [2400, 2700, 3000]
    assert standing["torque_nm"].tolist() == [1.0, 2.0, 2.0]


def test_readings_in_the_predrilled_length_do_not_count():
    frame, _ = profile(reading_frame(GRID), run_frame({}), pile_frame(predrilled_length_mm=900.0))
    assert frame.loc[~frame["counts"], "depth_mm"].tolist() == [300, 600, 900]


def test_estimated_readings_do_not_count_and_missed_ones_do_not_stand():
    flags = ["measured", "estimated", "missed"]
    frame, _ = profile(reading_frame([2400, 2700, 3000], flag=flags), run_frame({}))
    assert frame["counts"].tolist() == [True, False, False]
    assert frame["standing"].tolist() == [True, True, False]


def test_a_reading_that_does_not_count_leaves_the_window_without_final_torque():
    flags = ["measured"] * 9 + ["estimated"]
    found = measures(reading_frame(GRID, flag=flags), run_frame({}))
    assert np.isnan(found["final_torque_nm"])
    assert found["readings_not_counted"] == 1


def test_re_advance_voids_torque_until_three_helices_below_the_earlier_toe():
    first = reading_frame(GRID)
    again = reading_frame(list(range(2100, 4501, 300)), run_no="2")
    runs = run_frame({}, {"run_no": "2", "run_on": "2026-03-03", "toe_mm": 4500})
    frame, piles = profile(pd.concat([first, again]), runs, pile_frame(toe_mm=4500.0))
    assert piles["void_to_mm"].tolist() == [3000 + 3 * 350]
    counted = frame.loc[frame["counts"], "depth_mm"].tolist()
    assert counted == [4200, 4500]


def test_a_later_run_over_other_depths_leaves_no_earlier_reading_in_its_range():
    first = reading_frame([2400, 2700, 3000], [9.0, 9.0, 9.0])
    again = reading_frame([2450, 2750, 3050], [3.0, 3.0, 3.0], run_no="2")
    runs = run_frame({}, {"run_no": "2", "run_on": "2026-03-03", "toe_mm": 3050})
    frame, _ = profile(pd.concat([first, again]), runs, pile_frame(toe_mm=3050.0))
    assert frame.loc[frame["standing"], "depth_mm"].tolist() == [2400, 2450, 2750, 3050]


def test_a_run_that_ends_above_the_earlier_toe_has_disturbed_the_ground_down_to_it():
    runs = run_frame({}, {"run_no": "2", "run_on": "2026-03-02", "toe_mm": 2700})
    _, piles = profile(reading_frame(GRID), runs, pile_frame(toe_mm=2700.0))
    assert piles["disturbed_toe_mm"].tolist() == [3000]


def test_reverse_turning_within_a_run_disturbs_down_to_the_depth_reached_by_then():
    depths = [300, 1500, 3000, 400, 3300, 3600]
    turning = ["advancing", "advancing", "advancing", "reversed", "advancing", "advancing"]
    _, piles = profile(
        reading_frame(depths, direction=turning),
        run_frame({"toe_mm": 3600}),
        pile_frame(toe_mm=3600.0),
    )
    assert piles["disturbed_toe_mm"].tolist() == [3000]


def test_a_night_within_one_run_is_a_stop_where_the_times_of_the_readings_show_it():
    times = pd.to_datetime(["2026-03-02 07:00"] * 8 + ["2026-03-03 07:00"] * 2)
    frame, piles = profile(reading_frame(GRID, read_at=times), run_frame({}))
    assert piles["stop_from_mm"].tolist() == [2400]
    assert frame.loc[~frame["counts"], "depth_mm"].tolist() == [2700]


def test_readings_after_each_of_two_stops_do_not_count():
    times = ["2026-03-02 07:00"] * 6 + ["2026-03-03 07:00"] * 2 + ["2026-03-04 07:00"] * 2
    frame, _ = profile(reading_frame(GRID, read_at=pd.to_datetime(times)), run_frame({}))
    assert frame.loc[~frame["counts"], "depth_mm"].tolist() == [2100, 2700]


def test_without_times_a_stop_is_as_long_as_the_days_allow():
    runs = run_frame({}, {"run_no": "2", "run_on": "2026-03-03"})
    assert disturbance.with_stops(runs)["hours_since_last_run"].tolist()[1] == 48


def test_reverse_turning_in_a_run_of_its_own_disturbs_down_to_the_toe_reached_before():
    first = reading_frame(GRID)
    back = reading_frame([2400], run_no="2", direction="reversed")
    runs = run_frame({}, {"run_no": "2", "run_on": "2026-03-02", "toe_mm": 2400})
    _, piles = profile(pd.concat([first, back]), runs)
    assert piles["disturbed_toe_mm"].tolist() == [3000]


def test_after_a_long_stop_readings_count_only_after_new_penetration():
    first = reading_frame(GRID)
    resumed = reading_frame(list(range(3300, 4501, 300)), run_no="2")
    times = {"started_at": "2026-03-02 07:00", "ended_at": "2026-03-02 09:00"}
    late = {"started_at": "2026-03-03 07:00", "ended_at": "2026-03-03 09:00"}
    runs = run_frame(times, {"run_no": "2", "run_on": "2026-03-03", "toe_mm": 4500, **late})
    frame, piles = profile(pd.concat([first, resumed]), runs, pile_frame(toe_mm=4500.0))
    assert piles["stop_from_mm"].tolist() == [3000]
    assert frame.loc[~frame["counts"], "depth_mm"].tolist() == [3300]


def test_after_a_short_stop_every_reading_counts():
    first = reading_frame(GRID)
    resumed = reading_frame([3300, 3600], run_no="2")
    times = {"started_at": "2026-03-02 07:00", "ended_at": "2026-03-02 09:00"}
    soon = {"started_at": "2026-03-02 21:00", "ended_at": "2026-03-02 22:00"}
    runs = run_frame(times, {"run_no": "2", "toe_mm": 3600, **soon})
    frame, piles = profile(pd.concat([first, resumed]), runs, pile_frame(toe_mm=3600.0))
    assert piles["stop_from_mm"].isna().all()
    assert frame["counts"].all()


def gaps(depths, toe=3000.0, predrilled=np.nan):
    piles = pile_frame(toe_mm=toe, predrilled_length_mm=predrilled)
    runs = run_frame({"toe_mm": int(toe)})
    frame, piles = profile(reading_frame(depths), runs, piles)
    return torque.gap_measures(frame, piles).loc["P1"].tolist()


def test_a_full_log_has_no_gap_wider_than_its_interval():
    assert gaps(GRID) == [300, 300]


def test_a_missing_reading_in_the_window_is_a_gap_in_the_window():
    assert gaps([d for d in GRID if d != 2700]) == [600, 300]


def test_a_missing_reading_higher_up_is_a_gap_above_the_window():
    assert gaps([d for d in GRID if d != 1200]) == [300, 600]


def test_a_last_reading_short_of_the_toe_is_a_gap_in_the_window():
    assert gaps(GRID, toe=3450.0) == [450, 300]
    assert gaps(GRID, toe=3750.0) == [750, 300]


def test_the_first_gap_counts_from_the_predrilled_length():
    assert gaps([d for d in GRID if d > 900], predrilled=900.0) == [300, 300]
    assert gaps([d for d in GRID if d > 900]) == [300, 1200]


def test_advance_comes_from_the_window_and_else_from_the_run():
    advance = np.where(np.array(GRID) > 2100, 72.0, 10.0)
    found = measures(reading_frame(GRID, advance_mm_per_turn=advance), run_frame({}))
    assert found["advance_share"] == pytest.approx(0.96)
    some = np.where(np.array(GRID) == 3000, 72.0, np.nan)
    assert np.isnan(
        measures(reading_frame(GRID, advance_mm_per_turn=some), run_frame({}))["advance_share"]
    )
    piles = pile_frame(run_advance_mm_per_turn=60.0)
    assert measures(reading_frame(GRID), run_frame({}), piles)["advance_share"] == 0.8


FACTORS = pd.DataFrame(
    {
        "id": ["bare", "any ground", "grouted"],
        "section": "S",
        "direction": "compression",
        "grouted": [False, False, True],
        "helix_set": ["300", "300", "300"],
        "ground": ["sand", "any", "sand"],
        "source": "invented",
        "torque_factor_per_m": [23.0, 20.0, 15.0],
    }
)


@pytest.mark.parametrize(
    ("case", "chosen"),
    [
        ({}, ["bare"]),
        ({"ground_class": "clay"}, ["any ground"]),
        ({"grouted": True}, ["grouted"]),
        ({"grouted": True, "ground_class": "clay"}, []),
        ({"direction": "tension"}, []),
    ],
)
def test_a_torque_factor_serves_only_its_own_case(case, chosen):
    base = {"pile_id": "P1", "section": "S", "direction": "compression", "grouted": False}
    piles = pd.DataFrame([{**base, "helix_set": "300", "ground_class": "sand", **case}])
    found = pile_measures.matched_torque_factors(piles, FACTORS)
    assert found["torque_factor_id"].tolist() == chosen
