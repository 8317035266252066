"""Uncertainty of readings and of a window: by curve and dial, and by nothing but the dial."""

import numpy as np
import pandas as pd
import pytest

from core.compute import torque
from core.compute.measures import uncertainty

POINTS = pd.DataFrame(
    {
        "instrument_id": "G1",
        "certificate": "C1",
        "gear": "low",
        "point_pressure_kpa": [2000.0, 8000.0, 14_000.0],
        "point_torque_nm": [1000.0, 4000.0, 8000.0],
        "point_pressure_kind": "differential",
        "point_return_pressure_kpa": np.nan,
    }
)
INSTRUMENTS = pd.DataFrame(
    {
        "instrument_id": ["G1", "T1"],
        "class_share": [0.01, 0.005],
        "full_scale_kpa": [25_000.0, np.nan],
        "resolution_kpa": [100.0, np.nan],
        "full_scale_nm": [np.nan, 16_300.0],
        "resolution_nm": [np.nan, 68.0],
        "calibration_nm": [45.0, 35.0],
        "coverage": [2.0, 2.0],
    }
)


def reading(depth, torque_nm, instrument="G1", kpa=np.nan, read=np.nan, **other):
    return {
        "pile_id": "1", "depth_mm": float(depth), "instrument_id": instrument,
        "certificate": "C1", "gear": "low", "pressure_kpa": kpa, "torque_read_nm": read,
        "curve_pressure_kpa": kpa, "curve_pressure_kind": "differential",
        "torque_nm": torque_nm, "floor_torque_nm": torque_nm, "standing": True, "counts": True,
        "in_window": True, **other,
    }  # fmt: skip


def known(*rows):
    return uncertainty.with_uncertainty(pd.DataFrame(list(rows)), POINTS, INSTRUMENTS)


def test_slopes_of_a_curve():
    pressures = np.array([500.0, 2000.0, 5000.0, 8000.0, 8001.0, 20_000.0])
    points = POINTS["point_pressure_kpa"].to_numpy(), POINTS["point_torque_nm"].to_numpy()
    slopes = torque.torque_per_pressure(pressures, *points)
    assert slopes == pytest.approx([0.5, 0.5, 0.5, 0.5, 2 / 3, 2 / 3])


def test_a_reading_by_its_curve_and_one_by_its_dial():
    # Hand calculation: u of the gauge √((250/√3)² + (100/√12)²) = 147.20 kPa; at 0.5 N·m/kPa
    # 2·√(73.60² + 45²) = 172.53; at 2/3 N·m/kPa 2·√(98.13² + 45²) = 215.92; the dial's 123.7
    # stands in test_measurement_formulas.
    found = known(
        reading(300, 2500.0, kpa=5000.0),
        reading(600, 6000.0, kpa=11_000.0),
        reading(900, 5000.0, "T1", read=5000.0),
    )["torque_uncertainty_nm"]
    assert found.tolist() == pytest.approx([172.53, 215.92, 123.69], abs=0.02)


def test_nothing_is_known_of_another_instrument_a_reading_without_torque_or_without_a_curve():
    found = known(
        reading(300, 2500.0, "G2", kpa=5000.0),
        reading(600, np.nan, kpa=900.0),
        reading(900, 3000.0, kpa=6000.0, certificate="C2"),
    )["torque_uncertainty_nm"]
    assert found.isna().all()


def asked(rule="plain mean"):
    return pd.DataFrame(
        {"pile_id": ["1", "2"], "toe_mm": 1000.0, "window_mm": 1000.0,
         "interval_tolerance_mm": 10.0, "window_rule": rule}
    )  # fmt: skip


def profile():
    return known(
        reading(200, 2500.0, kpa=5000.0),
        reading(600, 6000.0, kpa=11_000.0),
        reading(1000, 5000.0, "T1", read=5000.0),
    )


def test_a_window_takes_the_mean_of_its_readings_with_the_same_weights():
    found = uncertainty.uncertainties(profile(), asked()).loc["1"]
    assert found["final_uncertainty_nm"] == pytest.approx((172.53 + 215.92 + 123.69) / 3, abs=0.02)
    assert found["last_uncertainty_nm"] == pytest.approx(123.69, abs=0.02)
    rest = found["without_greatest_uncertainty_nm"]
    assert rest == pytest.approx((172.53 + 123.69) / 2, abs=0.02)
    assert found["greatest_uncertainty_nm"] == pytest.approx(215.92, abs=0.02)
    weighted = uncertainty.uncertainties(profile(), asked("length-weighted mean")).loc["1"]
    by_length = 0.2 * 172.53 + 0.4 * 215.92 + 0.4 * 123.69
    assert weighted["final_uncertainty_nm"] == pytest.approx(by_length, abs=0.02)


def test_one_unknown_reading_leaves_the_means_unknown():
    rows = profile()
    rows.loc[0, "torque_uncertainty_nm"] = np.nan
    found = uncertainty.uncertainties(rows, asked()).loc["1"]
    assert found[["final_uncertainty_nm", "without_greatest_uncertainty_nm"]].isna().all()
    assert found["last_uncertainty_nm"] == pytest.approx(123.69, abs=0.02)


def test_a_pile_without_readings_and_a_project_that_knows_nothing_have_none():
    assert uncertainty.uncertainties(profile(), asked()).loc["2"].isna().all()
    nothing = uncertainty.with_uncertainty(profile(), POINTS, INSTRUMENTS.iloc[:0])
    assert uncertainty.uncertainties(nothing, asked()).isna().all(axis=None)
