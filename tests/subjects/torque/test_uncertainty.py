"""Uncertainty of readings and of a window: by curve and dial, and by nothing but the dial."""

import numpy as np
import pandas as pd
import pytest

from core.subjects.columns import Book
from tests.formulas.frames import (
    WIDE,
    certificate_frame,
    pile_frame,
    point_frame,
    reading_frame,
    run_frame,
    torque_of,
)

CURVE = [(2000.0, 1000.0), (8000.0, 4000.0), (14_000.0, 8000.0)]
GAUGE = {
    "instrument_id": "G1", "class_share": 0.01, "full_scale_kpa": 25_000.0,
    "resolution_kpa": 100.0, "calibration_nm": 45.0, "coverage": 2.0,
    "source": "torque_uncertainty, G1",
}  # fmt: skip
DIAL = {
    "instrument_id": "T1", "class_share": 0.005, "full_scale_nm": 16_300.0, "resolution_nm": 68.0,
    "calibration_nm": 35.0, "coverage": 2.0, "source": "torque_uncertainty, T1",
}  # fmt: skip
CERTIFICATES = certificate_frame({"instrument_id": "G1"}, {"instrument_id": "T1"},
                                 {"instrument_id": "G2"})  # fmt: skip
POINTS = pd.concat([point_frame(CURVE, instrument_id="G1"), WIDE.assign(instrument_id="T1"),
                    point_frame(CURVE, instrument_id="G2")])  # fmt: skip


def reading(depth, kpa=np.nan, read=np.nan, instrument="G1"):
    return reading_frame([depth], [read], instrument_id=instrument, pressure_kpa=kpa)


def known(*readings, piles=None, instruments=(GAUGE, DIAL), **also):
    """The tables of one run of these readings."""
    runs = run_frame({"toe_mm": 1000})
    return torque_of(pd.concat(readings), runs, piles, CERTIFICATES, POINTS, instruments, **also)


def expanded(found):
    return found.known.torque_uncertainty_nm.values.tolist()


def test_slopes_of_a_curve():
    # At a point that of the piece that ends there, outside the points that of the end piece.
    pressures = (500.0, 2000.0, 5000.0, 8000.0, 8001.0, 20_000.0)
    found = known(*(reading(100 * (at + 1), kpa) for at, kpa in enumerate(pressures)))
    assert found.log.slope.values == pytest.approx([0.5, 0.5, 0.5, 0.5, 2 / 3, 2 / 3])


def test_a_reading_by_its_curve_and_one_by_its_dial():
    # Hand calculation: u of the gauge √((250/√3)² + (100/√12)²) = 147.20 kPa; at 0.5 N·m/kPa
    # 2·√(73.60² + 45²) = 172.53; at 2/3 N·m/kPa 2·√(98.13² + 45²) = 215.92; the dial's 123.7
    # stands in test_measurement_formulas.
    found = known(reading(300, 5000.0), reading(600, 11_000.0), reading(900, read=5000.0,
                  instrument="T1"))  # fmt: skip
    assert expanded(found) == pytest.approx([172.53, 215.92, 123.69], abs=0.02)


def test_nothing_is_known_of_another_instrument_a_reading_without_torque_or_without_a_curve():
    found = known(reading(300, 5000.0, instrument="G2"), reading(600, 900.0), reading(900))
    assert np.isnan(expanded(found)).all()


THREE = (reading(200, 5000.0), reading(600, 11_000.0), reading(1000, read=5000.0, instrument="T1"))


def asked(rule="plain mean"):
    return pile_frame(window_mm=1000.0, window_rule=rule)


def test_a_window_takes_the_mean_of_its_readings_with_the_same_weights():
    found = known(*THREE, piles=asked()).uncertainty
    mean = (172.53 + 215.92 + 123.69) / 3
    assert found.final_uncertainty_nm.values == pytest.approx([mean], abs=0.02)
    assert found.last_uncertainty_nm.values == pytest.approx([123.69], abs=0.02)
    rest = found.without_peak_uncertainty_nm.values
    assert rest == pytest.approx([(172.53 + 123.69) / 2], abs=0.02)
    assert found.max_uncertainty_nm.values == pytest.approx([215.92], abs=0.02)
    weighted = known(*THREE, piles=asked("length-weighted mean")).uncertainty
    by_length = 0.2 * 172.53 + 0.4 * 215.92 + 0.4 * 123.69
    assert weighted.final_uncertainty_nm.values == pytest.approx([by_length], abs=0.02)


@pytest.mark.parametrize("rule", ["plain mean", "length-weighted mean"])
def test_the_steps_give_the_number_again(rule):
    found = known(*THREE, piles=asked(rule), traced=True).uncertainty
    book = Book(str)
    book.value(found.final_uncertainty_nm, 0)
    last = book.steps[-1]
    by = [one.value for one in last.inputs if one.symbol.startswith("U")]
    weights = [one.value for one in last.inputs if one.symbol.startswith("l")] or [1, 1, 1]
    assert last.value == pytest.approx(np.average(by, weights=weights))
    assert "of the final torque" in last.note
    sources = {one.source for step in book.steps for one in step.inputs}
    assert "project.toml: torque_uncertainty, G1" in sources


def test_one_unknown_reading_leaves_the_means_unknown():
    rows = (reading(200, 5000.0, instrument="G2"), *THREE[1:])
    found = known(*rows, piles=asked()).uncertainty
    assert np.isnan(found.final_uncertainty_nm.values).all()
    assert np.isnan(found.without_peak_uncertainty_nm.values).all()
    assert found.last_uncertainty_nm.values == pytest.approx([123.69], abs=0.02)


def test_a_pile_without_readings_and_a_project_that_knows_nothing_have_none():
    two = pd.concat([asked(), asked().assign(pile_id="P2")])
    assert np.isnan(known(*THREE, piles=two).uncertainty.final_uncertainty_nm.values[1])
    nothing = known(*THREE, piles=asked(), instruments=())
    for _, values in nothing.uncertainty.columns():
        assert np.isnan(values).all()
