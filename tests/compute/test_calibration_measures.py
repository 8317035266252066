"""Torque of readings through the certificate in force and its curve, on small frames."""

import numpy as np
import pandas as pd
import pytest

from core.compute.measures import calibration
from tests.compute.frames import certificate_frame, point_frame, reading_frame

NO_POINTS = point_frame([])


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
