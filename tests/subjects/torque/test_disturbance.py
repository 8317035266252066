"""Ground disturbed by turning, and new penetration after stops, on small frames."""

import pandas as pd

from tests.formulas.frames import GRID, profile, reading_frame, run_frame, torque_of


def test_re_advance_voids_torque_until_three_helices_below_the_earlier_toe():
    first = reading_frame(GRID)
    again = reading_frame(list(range(2100, 4501, 300)), run_no="2")
    runs = run_frame({}, {"run_no": "2", "run_on": "2026-03-03", "toe_mm": 4500})
    frame, pile = profile(pd.concat([first, again]), runs)
    assert pile["void_to_mm"] == 3000 + 3 * 350
    counted = frame.loc[frame["counts"], "depth_mm"].tolist()
    assert counted == [4200, 4500]


def test_a_later_run_over_other_depths_leaves_no_earlier_reading_in_its_range():
    first = reading_frame([2400, 2700, 3000], [9.0, 9.0, 9.0])
    again = reading_frame([2450, 2750, 3050], [3.0, 3.0, 3.0], run_no="2")
    runs = run_frame({}, {"run_no": "2", "run_on": "2026-03-03", "toe_mm": 3050})
    frame, _ = profile(pd.concat([first, again]), runs)
    assert frame.loc[frame["current"], "depth_mm"].tolist() == [2400, 2450, 2750, 3050]


def test_a_run_that_ends_above_the_earlier_toe_has_disturbed_the_ground_down_to_it():
    runs = run_frame({}, {"run_no": "2", "run_on": "2026-03-02", "toe_mm": 2700})
    _, pile = profile(reading_frame(GRID), runs)
    assert pile["disturbed_toe_mm"] == 3000


def test_reverse_turning_within_a_run_disturbs_down_to_the_depth_reached_by_then():
    depths = [300, 1500, 3000, 400, 3300, 3600]
    turning = ["advancing", "advancing", "advancing", "reversed", "advancing", "advancing"]
    _, pile = profile(
        reading_frame(depths, direction=turning),
        run_frame({"toe_mm": 3600}),
    )
    assert pile["disturbed_toe_mm"] == 3000


def test_a_night_within_one_run_is_a_stop_where_the_times_of_the_readings_show_it():
    times = pd.to_datetime(["2026-03-02 07:00"] * 8 + ["2026-03-03 07:00"] * 2)
    frame, pile = profile(reading_frame(GRID, read_at=times), run_frame({}))
    assert pile["stop_from_mm"] == 2400
    assert frame.loc[~frame["counts"], "depth_mm"].tolist() == [2700]


def test_readings_after_each_of_two_stops_do_not_count():
    times = ["2026-03-02 07:00"] * 6 + ["2026-03-03 07:00"] * 2 + ["2026-03-04 07:00"] * 2
    frame, _ = profile(reading_frame(GRID, read_at=pd.to_datetime(times)), run_frame({}))
    assert frame.loc[~frame["counts"], "depth_mm"].tolist() == [2100, 2700]


def test_without_times_a_stop_is_as_long_as_the_days_allow():
    runs = run_frame({}, {"run_no": "2", "run_on": "2026-03-03"})
    found = torque_of(reading_frame(GRID), runs).runs
    assert found.values("hours_since_last_run").tolist()[1] == 48


def test_reverse_turning_in_a_run_of_its_own_disturbs_down_to_the_toe_reached_before():
    first = reading_frame(GRID)
    back = reading_frame([2400], run_no="2", direction="reversed")
    runs = run_frame({}, {"run_no": "2", "run_on": "2026-03-02", "toe_mm": 2400})
    _, pile = profile(pd.concat([first, back]), runs)
    assert pile["disturbed_toe_mm"] == 3000


def test_after_a_long_stop_readings_count_only_after_new_penetration():
    first = reading_frame(GRID)
    resumed = reading_frame(list(range(3300, 4501, 300)), run_no="2")
    times = {"started_at": "2026-03-02 07:00", "ended_at": "2026-03-02 09:00"}
    late = {"started_at": "2026-03-03 07:00", "ended_at": "2026-03-03 09:00"}
    runs = run_frame(times, {"run_no": "2", "run_on": "2026-03-03", "toe_mm": 4500, **late})
    frame, pile = profile(pd.concat([first, resumed]), runs)
    assert pile["stop_from_mm"] == 3000
    assert frame.loc[~frame["counts"], "depth_mm"].tolist() == [3300]


def test_after_a_short_stop_every_reading_counts():
    first = reading_frame(GRID)
    resumed = reading_frame([3300, 3600], run_no="2")
    times = {"started_at": "2026-03-02 07:00", "ended_at": "2026-03-02 09:00"}
    soon = {"started_at": "2026-03-02 21:00", "ended_at": "2026-03-02 22:00"}
    runs = run_frame(times, {"run_no": "2", "toe_mm": 3600, **soon})
    frame, pile = profile(pd.concat([first, resumed]), runs)
    assert pd.isna(pile["stop_from_mm"])
    assert frame["counts"].all()
