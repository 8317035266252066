"""Standing readings, the final window and gaps, on small frames."""

import numpy as np
import pandas as pd
import pytest

from tests.formulas.frames import GRID, profile, reading_frame, run_frame


def measures(*given, **also):
    return profile(*given, **also)[1]


def test_final_torque_is_the_mean_of_the_last_three_of_a_300_mm_log():
    values = np.arange(1000.0, 11000.0, 1000.0)
    found = measures(reading_frame(GRID, values), run_frame({}))
    assert found["final_torque_nm"] == pytest.approx(9000)
    assert found["last_torque_nm"] == 10000
    assert found["torque_without_peak_nm"] == pytest.approx(8500)
    assert found["max_torque_nm"] == 10000
    assert found["drop_share"] == 0


def test_at_each_depth_the_latest_advancing_run_stands():
    first = reading_frame([2400, 2700, 3000], [1.0, 1.0, 1.0])
    again = reading_frame([2700, 3000], [2.0, 2.0], run_no="2")
    runs = run_frame({}, {"run_no": "2", "run_on": "2026-03-03", "why": "re-advanced"})
    frame, _ = profile(pd.concat([first, again]), runs)
    standing = frame[frame["current"]]
    assert standing["depth_mm"].tolist() == [2400, 2700, 3000]
    assert standing["torque_nm"].tolist() == [1.0, 2.0, 2.0]


def test_readings_in_the_predrilled_length_do_not_count():
    frame, _ = profile(reading_frame(GRID), run_frame({"predrilled_length_mm": 900}))
    assert frame.loc[~frame["counts"], "depth_mm"].tolist() == [300, 600, 900]


def test_estimated_readings_do_not_count_and_missed_ones_do_not_stand():
    flags = ["measured", "estimated", "missed"]
    frame, _ = profile(reading_frame([2400, 2700, 3000], flag=flags), run_frame({}))
    assert frame["counts"].tolist() == [True, False, False]
    assert frame["current"].tolist() == [True, True, False]


def test_a_reading_that_does_not_count_leaves_the_window_without_final_torque():
    flags = ["measured"] * 9 + ["estimated"]
    found = measures(reading_frame(GRID, flag=flags), run_frame({}))
    assert np.isnan(found["final_torque_nm"])
    assert found["readings_not_counted"] == 1


def gaps(depths, toe=3000.0, predrilled=None):
    runs = run_frame({"toe_mm": int(toe), "predrilled_length_mm": predrilled})
    return measures(reading_frame(depths), runs)[["window_gap_mm", "upper_gap_mm"]].tolist()


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
    assert gaps([d for d in GRID if d > 900], predrilled=900) == [300, 300]
    assert gaps([d for d in GRID if d > 900]) == [300, 1200]


def test_advance_comes_from_the_window_and_else_from_the_run():
    advance = np.where(np.array(GRID) > 2100, 72.0, 10.0)
    found = measures(reading_frame(GRID, advance_mm_per_turn=advance), run_frame({}))
    assert found["advance_share"] == pytest.approx(0.96)
    some = np.where(np.array(GRID) == 3000, 72.0, np.nan)
    assert np.isnan(
        measures(reading_frame(GRID, advance_mm_per_turn=some), run_frame({}))["advance_share"]
    )
    runs = run_frame({"advance_mm_per_turn": 60.0})
    assert measures(reading_frame(GRID), runs)["advance_share"] == 0.8
