"""The torque profile as a figure: depth downward, lines where they belong, arrows and hollows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from dashboard import theme
from dashboard.charts.torque import Marks, torque_against_depth

MARKS = Marks(required_torque_nm=8000.0, rated_torque_nm=15000.0, toe_mm=1500.0, window_mm=900.0)


def readings(**columns) -> pd.DataFrame:
    frame = pd.DataFrame(
        {
            "run_no": "1",
            "depth_mm": pd.array([300, 600, 900, 1200, 1500], dtype="Int64"),
            "torque_nm": [1000.0, 2000.0, 5000.0, 8000.0, 9000.0],
            "bound_torque_nm": np.nan,
            "range": "in",
            "counts": True,
            "of_header": False,
            "event": None,
            "event_sort": "",
        }
    )
    return frame.assign(**columns)


def trace(figure, meta):
    return next((one for one in figure.data if one.meta == meta), None)


def test_depth_grows_downward_without_a_reversed_axis():
    figure = torque_against_depth(readings(), MARKS, "SI")
    assert list(trace(figure, "profile").y) == [-0.3, -0.6, -0.9, -1.2, -1.5]
    low, high = figure.layout.yaxis.range
    assert low < high
    assert figure.layout.yaxis.autorange is None
    ticks = dict(zip(figure.layout.yaxis.tickvals, figure.layout.yaxis.ticktext, strict=True))
    assert ticks[-0.5] == "0.5"


def test_no_line_is_drawn_with_webgl():
    figure = torque_against_depth(readings(), MARKS, "SI")
    assert {one.type for one in figure.data} == {"scatter"}


def test_required_and_rated_lines_stand_at_their_torque():
    figure = torque_against_depth(readings(), MARKS, "SI")
    assert list(trace(figure, "required").x) == [8.0, 8.0]
    assert list(trace(figure, "rated").x) == [15.0, 15.0]
    assert figure.layout.xaxis.range[1] > 15.0


def test_a_line_that_is_not_known_is_not_drawn():
    figure = torque_against_depth(readings(), Marks(), "SI")
    assert trace(figure, "required") is None
    assert trace(figure, "rated") is None
    assert not figure.layout.shapes


def test_the_final_window_ends_at_the_recorded_toe():
    figure = torque_against_depth(readings(), MARKS, "SI")
    (band,) = [shape for shape in figure.layout.shapes if shape.name == "final window"]
    assert (band.y0, band.y1) == (-1.5, pytest.approx(-0.6))


def test_the_first_disc_is_marked_where_it_enters():
    figure = torque_against_depth(readings(), Marks(first_disc_depth_mm=600.0), "SI")
    (line,) = [shape for shape in figure.layout.shapes if shape.name == "first disc"]
    assert line.y0 == line.y1 == pytest.approx(-0.6)


def test_readings_that_do_not_count_are_hollow():
    idle = [True, False, True, True, True]
    hollow = trace(torque_against_depth(readings(counts=idle), MARKS, "SI"), "hollow")
    assert list(hollow.y) == [-0.6]
    assert hollow.marker.symbol == "circle-open"


def test_readings_outside_the_calibrated_range_are_arrows_with_their_bound():
    frame = readings(
        torque_nm=[np.nan, 2000.0, 5000.0, 8000.0, np.nan],
        bound_torque_nm=[1500.0, np.nan, np.nan, np.nan, 10600.0],
        range=["below", "in", "in", "in", "above"],
    )
    figure = torque_against_depth(frame, MARKS, "SI")
    assert list(trace(figure, "below range").customdata) == ["< 1.50"]
    assert list(trace(figure, "above range").customdata) == ["≥ 10.60"]
    assert list(trace(figure, "above range").x) == [pytest.approx(10.6)]


def test_a_reading_below_a_range_whose_bound_is_not_known_stands_on_the_axis():
    frame = readings(torque_nm=[np.nan, 2e3, 5e3, 8e3, 9e3], range=["below", *4 * ["in"]])
    below = trace(torque_against_depth(frame, MARKS, "SI"), "below range")
    assert list(below.x) == [0]
    assert list(below.customdata) == ["below range"]


def test_what_is_written_beside_a_reading_stands_beside_its_mark_as_plain_text():
    written = ["coupling", "<a href=x>roots</a>", None, "spun out " * 6, None]
    sorts = ["neutral", "other", "", "critical", ""]
    figure = torque_against_depth(readings(event=written, event_sort=sorts), MARKS, "SI")
    assert list(trace(figure, "event neutral").y) == [-0.3]
    assert list(trace(figure, "event neutral").text) == ["coupling"]
    assert list(trace(figure, "event other").text) == ["&lt;a href=x&gt;roots&lt;/a&gt;"]
    (short,) = trace(figure, "event critical").text
    assert len(short) == 30
    assert short.endswith("…")
    assert list(trace(figure, "event critical").customdata) == ["spun out " * 6]
    symbols = {trace(figure, f"event {sort}").marker.symbol for sort in sorts if sort}
    assert len(symbols) == 3
    assert trace(torque_against_depth(readings(), MARKS, "SI"), "event critical") is None


def test_runs_are_told_apart_by_dash_and_marker():
    figure = torque_against_depth(readings(run_no=["1", "1", "1", "2", "2"]), MARKS, "SI")
    first, second = (one for one in figure.data if one.meta == "profile")
    assert first.line.dash != second.line.dash
    assert first.marker.symbol != second.marker.symbol
    assert first.line.color == second.line.color == theme.PROFILE


def test_us_units_convert_both_axes():
    figure = torque_against_depth(readings(), MARKS, "US")
    # 1 ft = 0.3048 m exactly; 1 ft·lbf = 1.3558 N·m (NIST SP 811, App. B.8, quoted from memory)
    assert trace(figure, "profile").y[0] == pytest.approx(-0.3 / 0.3048)
    assert trace(figure, "required").x[0] == pytest.approx(8000 / 1.355818, rel=1e-6)
    assert "ft" in figure.layout.yaxis.title.text


def test_a_pile_without_readings_still_gives_a_figure():
    figure = torque_against_depth(readings().iloc[:0], MARKS, "SI")
    assert trace(figure, "required") is not None


def test_the_required_line_says_which_value_governs():
    plain = trace(torque_against_depth(readings(), MARKS, "SI"), "required")
    assert plain.name == "required torque 8.00 kN·m"
    apart = replace(MARKS, required_by="computed, the greater")
    named = trace(torque_against_depth(readings(), apart, "SI"), "required")
    assert named.name == "required torque 8.00 kN·m (computed, the greater)"
