"""Torque of readings through the certificate in force and its curve, on small frames."""

import numpy as np
import pandas as pd
import pytest

from core.subjects.frames import frame_of_table
from core.subjects.torque.frames import profile
from tests.formulas.frames import (
    certificate_frame,
    point_frame,
    reading_frame,
    run_frame,
    torque_of,
)

NO_POINTS = point_frame([])


def with_torque(readings, certificates, points):
    """The frame of readings of one run."""
    days = {"run_on": readings["run_on"].iloc[0], "toe_mm": 3000}
    return profile(torque_of(readings, run_frame(days), None, certificates, points))


def test_pressure_goes_through_the_curve_of_its_instrument_and_gear():
    readings = reading_frame([300], [np.nan], pressure_kpa=5000.0, gear="low")
    points = pd.concat(
        [
            point_frame([(0, 0), (10000, 8000)], gear="high"),
            point_frame([(0, 0), (10000, 4000)], gear="low"),
        ]
    )
    found = with_torque(readings, certificate_frame(), points)
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
    found = with_torque(readings, certificate_frame(), point_frame([(1000, 800), (10000, 8000)]))
    assert found["range"].tolist() == [place]
    np.testing.assert_equal(found["torque_lower_bound_nm"].tolist(), [floor])
    ceiling = 800.0 if place == "below" else np.nan
    np.testing.assert_equal(found["ceiling_torque_nm"].tolist(), [ceiling])
    assert np.isnan(found["torque_nm"].iloc[0]) == (place != "in")


@pytest.mark.parametrize("typed", [1.0, 99999.0])
def test_a_torque_worked_out_beside_a_pressure_does_not_replace_the_curve(typed):
    readings = reading_frame([300], [typed], pressure_kpa=5000.0)
    points = point_frame([(0, 0), (10000, 8000)])
    found = with_torque(readings, certificate_frame(), points)
    assert found["torque_nm"].tolist() == [4000.0]
    assert found["torque_read_nm"].isna().all()


def test_a_torque_beside_a_pressure_in_some_readings_of_a_log_is_left_out_there_alone():
    readings = reading_frame([300, 600, 900], [99.0, np.nan, 3000.0], pressure_kpa=5000.0)
    readings["pressure_kpa"] = [5000.0, 2500.0, np.nan]
    found = with_torque(readings, certificate_frame(), point_frame([(0, 0), (10000, 8000)]))
    assert found["torque_nm"].tolist() == [4000.0, 2000.0, 3000.0]
    np.testing.assert_equal(found["torque_read_nm"].tolist(), [np.nan, np.nan, 3000.0])


def test_a_torque_shown_by_an_indicator_beside_a_pressure_stays():
    readings = reading_frame([300], [3000.0], pressure_kpa=5000.0)
    points = point_frame([(np.nan, 0), (np.nan, 8000)])
    found = with_torque(readings, certificate_frame(), points)
    assert found["torque_nm"].tolist() == [3000.0]


def test_the_last_day_of_a_certificate_is_in_force_and_the_next_day_is_not():
    days = ["2026-06-30", "2026-07-01"]
    read_at = pd.to_datetime(days) + pd.Timedelta(hours=12)
    readings = reading_frame([300, 600], read_at=read_at)
    found = with_torque(readings, certificate_frame({"valid_to_on": "2026-06-30"}), NO_POINTS)
    assert found["in_force"].tolist() == [True, False]
    assert found["certificate"].tolist() == ["C1", "C1"]


def test_a_reading_without_a_curve_has_no_torque_whatever_its_instrument_shows():
    found = with_torque(reading_frame([300]), certificate_frame(), NO_POINTS)
    assert found["range"].tolist() == ["none"]
    assert np.isnan(found["torque_nm"].iloc[0])


def test_of_two_certificates_in_force_the_later_issued_is_used():
    both = certificate_frame({}, {"certificate": "C2", "issued_on": "2026-02-01"})
    found = with_torque(reading_frame([300]), both, NO_POINTS)
    assert found["certificate"].tolist() == ["C2"]


def test_an_instrument_without_certificate_is_not_in_force():
    found = with_torque(reading_frame([300], instrument_id="I9"), certificate_frame(), NO_POINTS)
    assert found["in_force"].tolist() == [False]
    assert found["range"].tolist() == ["none"]


# A curve of 1 N·m/kPa from 0 to 20 000 kPa, so that a torque in N·m is the pressure it rests on.
CURVE = [(0, 0), (20_000, 20_000)]


@pytest.mark.parametrize(
    ("reading", "curve", "torque"),
    [
        # 118 bar of line pressure with 10 bar of return are 108 bar across the motor.
        (("line", 1000.0), ("differential", np.nan), 10_800.0),
        (("differential", np.nan), ("differential", np.nan), 11_800.0),
        (("line", 1000.0), ("line", 500.0), 11_800.0),
        (("line", np.nan), ("line", np.nan), 11_800.0),
        (("differential", np.nan), ("line", 500.0), 12_300.0),
        (("line", np.nan), ("differential", np.nan), np.nan),
        (("differential", np.nan), ("line", np.nan), np.nan),
        ((None, np.nan), ("differential", np.nan), 11_800.0),
        ((None, np.nan), (None, np.nan), 11_800.0),
        ((None, np.nan), ("line", np.nan), np.nan),
        (("line", np.nan), (None, np.nan), np.nan),
        (("line", 1000.0), (None, np.nan), 10_800.0),
    ],
)
def test_a_reading_meets_a_curve_of_its_own_kind_or_by_the_return_pressure(reading, curve, torque):
    readings = reading_frame(
        [300], [np.nan], pressure_kpa=11_800.0, pressure_kind=reading[0],
        return_pressure_kpa=reading[1],
    )  # fmt: skip
    points = point_frame(CURVE, point_pressure_kind=curve[0], point_return_pressure_kpa=curve[1])
    found = with_torque(readings, certificate_frame(), points)
    np.testing.assert_allclose(found["torque_nm"], [torque])
    assert found["kinds_differ"].tolist() == [np.isnan(torque)]
    assert found["range"].tolist() == ["none" if np.isnan(torque) else "in"]


def test_readings_of_both_kinds_go_through_one_curve_by_line_pressure():
    kinds = ["line", "differential", None]
    readings = reading_frame([300, 600, 900], [np.nan] * 3, pressure_kpa=5000.0)
    readings["pressure_kind"] = pd.Series(kinds, dtype="str")
    points = point_frame(CURVE, point_pressure_kind="line", point_return_pressure_kpa=800.0)
    found = with_torque(readings, certificate_frame(), points)
    assert found["torque_nm"].tolist() == [5000.0, 5800.0, 5800.0]
    assert found["curve_pressure_kind"].tolist() == ["line", "differential", "differential"]


def test_what_an_indicator_shows_has_no_kind_of_pressure():
    points = point_frame([(np.nan, 0), (np.nan, 9000)])
    found = with_torque(reading_frame([300]), certificate_frame(), points)
    assert found["torque_nm"].tolist() == [5000.0]
    assert found["kinds_differ"].tolist() == [False]


def test_pressures_without_a_kind_are_counted_by_instrument():
    stated = reading_frame([300], [np.nan], pressure_kpa=5000.0, pressure_kind="differential")
    bare = reading_frame([600, 900], [np.nan, 4000.0], pressure_kpa=5000.0, instrument_id="I2")
    points = point_frame(CURVE)
    of_dial = point_frame([(np.nan, 0), (np.nan, 9000)], instrument_id="I2")
    found = torque_of(
        pd.concat([stated, bare]), run_frame({}), points=pd.concat([points, of_dial])
    ).read_instruments
    counts = frame_of_table(found)
    assert found.rows.texts("instrument_id") == ["I1", "I2"]
    assert counts["readings_without_kind"].tolist() == [0, 1]
    assert counts["points_without_kind"].tolist() == [2, 0]
