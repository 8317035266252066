"""Checks of instruments and of torque: values computed by hand or printed elsewhere."""

import numpy as np
import pandas as pd
import pytest

from core import units
from core.formulas import sections, torque
from core.records.current_rows import CurrentRows
from core.subjects.torque.curves import certificate_of_day
from tests.formulas.test_torque_formulas import in_table

FT_LBF = units.factor("ft*lbf", "N*m")
IN_LBF = units.factor("inch*lbf", "N*m")
PSI = units.factor("psi", "MPa")
IN3 = units.factor("inch**3", "cm**3")


def test_c01_motor_torque_si():
    # Hand calculation: 10 · 400 · 12 · 0.90 / (2π) = 6,875.5 N·m.
    assert torque.motor_torque(10, 400, 12, 0.90) == pytest.approx(6875.493541569879, rel=1e-9)


def test_c02_motor_torque_us():
    # Hand calculation: 1,500 psi · 24 in³ · 12 · 0.90 / (2π · 12) = 5,156.6 ft·lbf.
    found = torque.motor_torque(1500 * PSI, 24 * IN3, 12, 0.90) / FT_LBF
    assert found == pytest.approx(5156.62015617741, rel=1e-6)


def test_c03_a_motor_alone():
    # Source: calculator.academy, hydraulic motor torque calculator: 500 psi and 0.36 in³ per turn,
    # printed 28.647 in·lbf (cut off, not rounded: 28.6479).
    found = torque.motor_torque(500 * PSI, 0.36 * IN3, 1, 1) / IN_LBF
    assert found == pytest.approx(28.647, abs=0.01)


def test_c04_torque_per_pressure_of_a_geared_motor():
    # Hand calculation: 24 · 12 · 0.90 / (24π) = 3.4377 ft·lbf per psi.
    found = torque.motor_torque(PSI, 24 * IN3, 12, 0.90) / FT_LBF
    assert found == pytest.approx(3.437746770784939, rel=1e-6)


def test_c05_calibration_between_points():
    # Source: engineer's table in a City of Everett permit file (document 1404196, page 15):
    # 1,500 psi gives 5,220 and 1,600 psi 5,568 ft·lbf; halfway 5,394.
    assert in_table(1550.0) == pytest.approx(5394.0, abs=0.5)


def test_c06_calibration_in_the_last_segment():
    # Source: the same table: 2,200 psi 7,656 and 2,300 psi 8,000 ft·lbf; the slope of the other
    # points would give 7,830.
    assert in_table(2250.0) == pytest.approx(7828.0, abs=0.5)


@pytest.mark.parametrize("pressure_psi", [2350.0, 400.0])
def test_c07_calibration_outside_its_points_gives_nothing(pressure_psi):
    # Judgement of this project: nothing is extrapolated.
    assert np.isnan(in_table(pressure_psi))


def certificate(valid_to, day):
    """Whether a certificate issued in March 2024 and valid to a day is in force on another."""
    of_instrument = {"instrument_id": ["TI-1"], "certificate": ["C-1"]}
    days = {"issued_on": ["2024-02-29"], "valid_from_on": ["2024-02-29"], "valid_to_on": [valid_to]}
    certificates = pd.DataFrame({**of_instrument, **days})
    for name in days:
        certificates[name] = pd.to_datetime(certificates[name])
    one, on = np.zeros(1, dtype=np.int64), np.array([day], dtype="datetime64[us]")
    _, in_force = certificate_of_day(one, on, CurrentRows.of_frame(certificates), one)
    return bool(in_force.item())


def test_c08_a_certificate_holds_on_its_last_day_and_not_after():
    # Trade practice: calibrated 10 March 2024 for 12 months; the day of expiry still counts.
    assert certificate("2025-03-10", "2025-03-10")
    assert not certificate("2025-03-10", "2025-03-11")


def test_c09_a_certificate_from_a_leap_day_ends_with_february():
    # Trade practice: calibrated 29 February 2024 for 12 months; last day 28 February 2025. A
    # certificate states its last day; months are not counted by the program.
    assert certificate("2025-02-28", "2025-02-28")
    assert not certificate("2025-02-28", "2025-03-01")


def test_c10_shear_pins():
    # Trade practice: six pins of 500 ft·lbf.
    assert torque.shear_pin_torque(6, 500) == 3000


def test_c23_final_torque_over_three_diameters():
    # Judgement of this project: 3 · 305 = 915 mm; readings at 8.1, 8.4, 8.7 and 9.0 m count,
    # 7.8 m does not: (5.8 + 6.2 + 6.4 + 6.6) / 4 = 6.25 kN·m.
    depth = np.array([7800, 8100, 8400, 8700, 9000])
    values = np.array([3000.0, 5800.0, 6200.0, 6400.0, 6600.0])
    assert torque.final_torque(depth, values, 9000, 915, 10) == 6250


def test_c24_final_torque_of_the_last_three_readings():
    # Trade practice: mean of 5,200, 5,600 and 6,000 ft·lbf.
    assert torque.final_torque_last(np.array([4000.0, 5200.0, 5600.0, 6000.0]), 3) == 5600


def test_c25_advance_per_revolution_against_pitch():
    # Source: New York City Building Code, BC 1814.12, at least 85 % of the pitch. 300 mm in five
    # turns is 60 mm per turn, 0.80 of 75 mm; at 85 % 300 mm takes 4.706 turns at most.
    assert torque.advance_ratio(300, 5, 75) == pytest.approx(0.80)
    assert torque.advance_ratio(300, 5, 75) < 0.85
    assert torque.advance_ratio(300, 4.706, 75) == pytest.approx(0.85, abs=1e-4)


def test_c26_drop_at_the_end():
    # Judgement of this project: (9.8 - 7.0) / 9.8 = 28.57 %.
    assert torque.drop_at_end(np.array([6.1, 9.8, 7.0])) == pytest.approx(0.2857, abs=1e-4)


def test_c53_elastic_twist_of_a_square_bar():
    # Source: Civil Engineering Formulas, p. 47: θ = 7.11·T·L/(s⁴·G), with G of 11.2e6 psi from
    # memory: 1.5 in bar, 2,000 ft·lbf over 20 ft, 0.7223 rad = 41.4°.
    inch = units.factor("inch", "mm")
    constant = sections.square_torsion_constant(1.5 * inch)
    turning = 2000 * units.factor("ft*lbf", "N*mm")
    shear = 11.2e6 * PSI
    twist = torque.elastic_twist(turning, 240 * inch, constant, shear, 2 * turning)
    assert np.rad2deg(twist) == pytest.approx(41.38392303116346, abs=0.05)
    assert np.isnan(torque.elastic_twist(turning, 240 * inch, constant, shear, turning / 2))
