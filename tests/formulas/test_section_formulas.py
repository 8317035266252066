"""Sections and corrosion against handbook rows, an exact series and each other."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core import units
from core.formulas import sections
from tests.published import published

INCH = units.factor("inch", "mm")


@pytest.mark.parametrize(
    ("outside", "wall", "area", "moment"),
    [
        (3.5, 0.216, "2.23", "3.02"),  # NPS 3 standard
        (2.875, 0.203, "1.70", "1.53"),  # NPS 2½ standard
        (4.5, 0.237, "3.17", "7.23"),  # NPS 4 standard
        (6.625, 0.280, "5.58", "28.1"),  # NPS 6 standard
        (8.625, 0.322, "8.40", "72.5"),  # NPS 8 standard
    ],
)
def test_tubes_match_the_pipe_table_of_the_steel_handbook(outside, wall, area, moment):
    # Source: AISC Steel Construction Manual, older editions, properties of standard-weight pipe
    # with nominal wall (dimensions of ASME B36.10M); from memory.
    assert sections.tube_section(outside * INCH, wall * INCH) / INCH**2 == published(area)
    assert sections.tube_second_moment(outside * INCH, wall * INCH) / INCH**4 == published(moment)


@pytest.mark.parametrize(
    ("outside", "wall", "area", "moment"),
    [
        (2.865, 0.247, "2.03", "1.76"),
        (7.000, 0.337, "7.05", "39.25"),
        (6.964, 0.301, "6.30", "35.04"),
    ],
)
def test_corroded_tubes_match_a_trade_table(outside, wall, area, moment):
    # Trade table of tubes new and corroded, no public source.
    assert sections.tube_section(outside * INCH, wall * INCH) / INCH**2 == published(area)
    found = sections.tube_second_moment(outside * INCH, wall * INCH) / INCH**4
    assert found == pytest.approx(float(published(moment).printed), abs=0.01)


def saint_venant_constant():
    """Torsion constant of a square of side 1 by the exact series."""
    odd = np.arange(1, 101, 2)
    series = np.tanh(odd * np.pi / 2) / odd**5
    return (1 - 192 / np.pi**5 * series.sum()) / 3


def saint_venant_modulus():
    """Torsion modulus of a square of side 1 by the exact series."""
    odd = np.arange(1, 101, 2)
    series = 1 / (odd**2 * np.cosh(odd * np.pi / 2))
    return saint_venant_constant() / (1 - 8 / np.pi**2 * series.sum())


def test_a_square_bar_twists_as_the_exact_series_says():
    # Source: Saint-Venant's series for a rectangle (Timoshenko & Goodier, Theory of Elasticity,
    # art. 109, from memory), printed 0.1406 and 0.208 for a square.
    assert saint_venant_constant() == published("0.1406")
    assert saint_venant_modulus() == published("0.208")
    assert sections.square_torsion_constant(1.0) == pytest.approx(saint_venant_constant(), rel=5e-4)
    assert sections.square_torsion_modulus(1.0) == pytest.approx(saint_venant_modulus(), rel=1e-3)


def test_torsional_stress_of_a_square_bar():
    # Hand calculation after Civil Engineering Formulas, p. 47: 2,000 ft·lbf on 1.5 in: 34.2 ksi.
    torque = 2000 * units.factor("ft*lbf", "N*mm")
    stress = torque / sections.square_torsion_modulus(1.5 * INCH)
    assert stress * units.factor("MPa", "ksi") == published("34.2")


def test_torsional_stress_and_twist_of_a_tube():
    # Hand calculation after Civil Engineering Formulas, p. 47: 5,000 ft·lbf on 2.875 × 0.276 in.
    torque = 5000 * units.factor("ft*lbf", "N*mm")
    stress = torque / sections.tube_torsion_modulus(2.875 * INCH, 0.276 * INCH)
    assert stress * units.factor("MPa", "ksi") == published("22.4")


def test_a_tube_without_bore_is_a_round_bar():
    assert sections.tube_second_moment(50, 25) == pytest.approx(np.pi / 64 * 50**4)
    assert sections.tube_torsion_modulus(50, 25) == pytest.approx(np.pi / 16 * 50**3)
    assert sections.tube_section(50, 25) == pytest.approx(np.pi / 4 * 50**2)


def test_second_moment_of_a_square_bar():
    # Handbook row, nominal: 1.5 in square, I 0.422 in⁴; computed from s⁴/12.
    assert sections.square_second_moment(1.5) == published("0.422")


def test_corrosion_of_bare_steel_over_fifty_years():
    # Trade tables take 0.036 in off both outside and wall of a bare tube in 50 years.
    loss_um = sections.scheduled_loss(50, 40, 0.80)
    assert loss_um * units.factor("um", "inch") == published("0.036")
    loss = loss_um * units.factor("um", "mm")
    assert sections.after_loss(2.875 * INCH, loss) / INCH == published("2.839")
    assert sections.after_loss(0.257 * INCH, loss) / INCH == published("0.221")


def test_nothing_is_left_of_a_wall_thinner_than_its_loss():
    assert np.isnan(sections.after_loss(0.9, 0.9))


@settings(deadline=None)
@given(st.floats(10, 500), st.floats(0.01, 0.5), st.floats(0.1, 10))
def test_sections_scale_with_their_powers(outside, part, scale):
    wall = part * outside
    for function, power in (
        (sections.tube_section, 2),
        (sections.tube_torsion_modulus, 3),
        (sections.tube_second_moment, 4),
    ):
        grown = function(scale * outside, scale * wall)
        assert grown == pytest.approx(scale**power * function(outside, wall), rel=1e-9)


@settings(deadline=None)
@given(st.floats(5, 100), st.floats(5, 100))
def test_corrosion_from_a_table_stays_between_its_rows_and_grows(one, other):
    years, loss = np.array([5.0, 25, 50, 75, 100]), np.array([0.0, 0.3, 0.6, 0.9, 1.2])
    early, late = sorted((one, other))
    low, high = (sections.loss_from_table(at, years, loss) for at in (early, late))
    assert 0 <= low <= high <= 1.2
