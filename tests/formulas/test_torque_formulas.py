"""Torque formulas against printed numbers, and against their own one-pile form."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core import units
from core.formulas import torque
from tests.published import published

FT_LBF = units.factor("ft*lbf", "N*m")
PSI = units.factor("psi", "kPa")
# Source: engineer's table of pressure and torque for a 2.875 in round shaft in a City of Everett
# permit file (lfportal.everettwa.gov, document 1404196, page 15): 19 points from 500 psi and
# 1,740 ft·lbf to 2,300 psi and 8,000 ft·lbf; the last does not lie on the line of the others.
TABLE_PSI = np.arange(500, 2301, 100)
TABLE_FT_LBF = np.append(3.48 * TABLE_PSI[:-1], 8000)


def in_table(pressure_psi):
    torque_nm = torque.calibrated_torque(pressure_psi * PSI, TABLE_PSI * PSI, TABLE_FT_LBF * FT_LBF)
    return torque_nm / FT_LBF


def test_torque_between_points_is_interpolated():
    # Arithmetic on the table above: halfway from 5,220 (1,500 psi) to 5,568 (1,600 psi).
    assert in_table(1550.0) == published("5394.0")


def test_the_last_segment_follows_the_table_and_not_the_slope_of_the_others():
    assert in_table(2250.0) == published("7828.0")


@pytest.mark.parametrize(
    ("pressure_psi", "place", "printed"), [(1550.0, 10, "5394.0"), (2250.0, 17, "7828.0")]
)
def test_torque_between_two_points_of_the_table(pressure_psi, place, printed):
    (lower, upper), (low, high) = TABLE_PSI[place:][:2] * PSI, TABLE_FT_LBF[place:][:2] * FT_LBF
    found = torque.torque_between_points(pressure_psi * PSI, lower, low, upper, high)
    assert found / FT_LBF == published(printed)


def test_the_slope_of_the_table_is_its_torque_per_pressure():
    # The table's own points: 1,740 ft·lbf at 500 psi and 3.48 ft·lbf more with every psi.
    low, high = 1740 * FT_LBF, 5220 * FT_LBF
    slope = torque.slope_between_points(500 * PSI, low, 1500 * PSI, high)
    assert slope * PSI / FT_LBF == published("3.48")


def test_distances_along_the_axis_and_the_fall_at_the_end():
    # Arithmetic: from 8,700 to 9,000 mm; 120 mm above the toe, none below it; 6.0 to 4.5 of 6.0.
    assert torque.gap_between(8700.0, 9000.0) == 300
    assert torque.distance_above_toe(np.array([9000.0, 9000.0]), np.array([8880.0, 9010.0])) == (
        pytest.approx([120.0, 0.0])
    )
    assert torque.drop_from_peak(6000.0, 4500.0) == published("0.25")


@pytest.mark.parametrize(
    ("printed", "computed", "governs"),
    [(10_500.0, 10_000.0, 10_500.0), (9_500.0, 10_000.0, 9_500.0), (9_400.0, 10_000.0, 10_000.0),
     (10_600.0, 10_000.0, 10_600.0)],
)  # fmt: skip
def test_a_printed_torque_governs_within_the_share_and_the_greater_one_beyond(
    printed, computed, governs
):
    # Arithmetic: 5 % apart agree at a share of 0.051, 6 % do not.
    assert torque.governing_torque(printed, computed, 0.051) == governs


@pytest.mark.parametrize("pressure_psi", [2350.0, 400.0])
def test_pressure_outside_the_table_has_no_torque(pressure_psi):
    assert np.isnan(in_table(pressure_psi))


@pytest.mark.parametrize("place", [0, 7, 18])
def test_torque_at_a_point_is_the_point(place):
    assert in_table(float(TABLE_PSI[place])) == pytest.approx(TABLE_FT_LBF[place], rel=1e-12)


def test_final_torque_over_three_helix_diameters():
    # Arithmetic: 3 × 305 mm = 915 mm window, toe 9.0 m; mean of 5.8, 6.2, 6.4, 6.6 kN·m; the
    # reading at 7.8 m lies above the window.
    depth = np.array([7800, 8100, 8400, 8700, 9000])
    values = np.array([3000.0, 5800.0, 6200.0, 6400.0, 6600.0])
    assert torque.final_torque(depth, values, 9000, 915, 10) == published("6250")


def test_a_one_foot_log_in_whole_millimetres_has_three_readings_in_900_mm_at_every_toe():
    foot = units.factor("ft", "mm")
    for feet in range(6, 98):
        depth = np.rint(np.arange(1, feet + 1) * foot)
        inside = torque.in_final_window(depth, depth[-1], 900, 10)
        assert inside.sum() == 3, feet


def test_without_the_tolerance_the_one_foot_log_would_take_three_and_four():
    foot = units.factor("ft", "mm")
    numbers = set()
    for feet in range(6, 98):
        depth = np.rint(np.arange(1, feet + 1) * foot)
        numbers.add(int(torque.in_final_window(depth, depth[-1], 914.4, 0).sum()))
    assert numbers == {3, 4}


def test_the_window_ends_at_the_recorded_toe_and_not_at_the_last_reading():
    depth = np.array([8100, 8400, 8700])
    values = np.array([4000.0, 5000.0, 6000.0])
    assert torque.final_torque(depth, values, 9000, 700, 10) == pytest.approx(5500.0)


def test_a_window_without_readings_has_no_final_torque():
    assert np.isnan(torque.final_torque(np.array([300]), np.array([1000.0]), 9000, 900, 10))


def test_a_reading_without_torque_leaves_the_window_without_final_torque():
    depth = np.array([8400, 8700, 9000])
    values = np.array([4000.0, np.nan, 6000.0])
    assert np.isnan(torque.final_torque(depth, values, 9000, 900, 10))


def test_a_reading_deeper_than_the_toe_is_outside_the_window():
    depth = np.array([8700, 9000, 9300])
    values = np.array([4000.0, 6000.0, 90000.0])
    assert torque.final_torque(depth, values, 9000, 600, 10) == pytest.approx(5000.0)


profiles = st.lists(
    st.tuples(
        st.lists(st.integers(1, 60), min_size=1, max_size=12, unique=True).map(sorted),
        st.integers(0, 900),
    ),
    min_size=1,
    max_size=6,
)


@settings(deadline=None)
@given(profiles, st.integers(0, 2**32 - 1))
def test_many_piles_at_once_equal_each_pile_by_itself(shapes, seed):
    rng = np.random.default_rng(seed)
    depths = [np.array(steps) * 150.0 for steps, _ in shapes]
    values = [rng.uniform(500, 9000, len(depth)) for depth in depths]
    for value in values:
        value[rng.random(len(value)) < 0.2] = np.nan  # readings without torque
    toes = np.array([depth[-1] + extra for depth, (_, extra) in zip(depths, shapes, strict=True)])
    starts = np.cumsum([0] + [len(depth) for depth in depths[:-1]])
    together = torque.final_torques(
        np.concatenate(depths), np.concatenate(values), starts, toes, 900, 10
    )
    alone = [
        torque.final_torque(depth, value, toe, 900, 10)
        for depth, value, toe in zip(depths, values, toes, strict=True)
    ]
    np.testing.assert_allclose(together, alone, rtol=1e-12)


@pytest.mark.parametrize("mean", [torque.final_torques, torque.final_torques_by_length])
def test_a_first_reading_without_torque_above_the_window_harms_no_pile(mean):
    depth = np.array([300.0, 8400.0, 8700.0, 9000.0, 8700.0, 9000.0])
    values = np.array([np.nan, 4000.0, 5000.0, 6000.0, 5000.0, 5000.0])
    found = mean(depth, values, np.array([0, 4]), np.array([9000.0, 9000.0]), 600.0, 10.0)
    assert found == pytest.approx([5500.0, 5000.0])


def test_equal_stretches_give_the_plain_mean_by_length_too():
    depth = np.array([8400.0, 8700.0, 9000.0])
    values = np.array([4000.0, 5000.0, 6000.0])
    weighted = torque.final_torques_by_length(depth, values, np.array([0]), 9000.0, 600.0, 10.0)
    assert weighted == pytest.approx([5500.0])


def test_a_reading_weighs_by_the_length_it_stands_for():
    # Arithmetic: window 900 above 9,000; stretches 8,100–8,700 (600 mm) and 8,700–9,000 (300 mm).
    depth = np.array([7800.0, 8700.0, 9000.0])
    values = np.array([1000.0, 4000.0, 7000.0])
    weighted = torque.final_torques_by_length(depth, values, np.array([0]), 9000.0, 900.0, 10.0)
    assert weighted == pytest.approx([(600 * 4000 + 300 * 7000) / 900])


def test_drop_at_the_end_is_a_share_of_the_greatest():
    # Arithmetic: (9.8 − 7.0) / 9.8 = 28.5714 %.
    assert 100 * torque.drop_at_end(np.array([8.0, 9.8, 7.0])) == published("28.5714")


def test_advance_as_a_share_of_pitch():
    # Arithmetic: 5 turns in 300 mm at a pitch of 75 mm advance 60 mm a turn, 0.80 of the pitch.
    assert torque.advance_ratio(300, 5, 75) == published("0.80")


def test_resistance_in_foot_pounds_and_pounds():
    # Arithmetic: 9 1/ft × 5,220 ft·lbf = 46,980 lbf.
    factor = 9 * units.factor("1/ft", "1/m")
    newtons = torque.resistance(5220 * FT_LBF, factor)
    assert newtons * units.factor("N", "lbf") == published("46980")


def test_resistance_in_kilonewtons():
    # Arithmetic: 10 1/ft × 5,500 ft·lbf = 55,000 lbf = 244.65 kN.
    factor = 10 * units.factor("1/ft", "1/m")
    assert torque.resistance(5500 * FT_LBF, factor) / 1000 == published("244.65")


def test_torque_factor_of_ten_per_foot_in_per_metre():
    # NIST SP 811 (2008), App. B.8: 1 ft = 3.048 E-01 m exactly; quoted from memory.
    assert 10 * units.factor("1/ft", "1/m") == published("32.8084")


def test_required_torque_for_a_service_load():
    # Arithmetic: 2 × 120 kN / (23 1/m) = 10.4348 kN·m.
    assert torque.required_torque(120_000, 2, 23) / 1000 == published("10.4348")


@given(st.floats(1, 1e6), st.floats(1, 5), st.floats(1, 60))
def test_required_torque_gives_the_load_back(load_n, safety_factor, factor):
    needed = torque.required_torque(load_n, safety_factor, factor)
    assert torque.resistance(needed, factor) == pytest.approx(safety_factor * load_n)


def test_a_line_pressure_less_its_return_is_the_differential_pressure():
    # 118 bar with 10 bar of return: taken as differential it overstates by 10/108, about 9 %.
    across = torque.differential_pressure(11_800.0, 1000.0)
    assert across == 10_800.0
    assert 11_800.0 / across - 1 == pytest.approx(0.0926, abs=5e-5)
