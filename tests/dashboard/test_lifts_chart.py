"""Lifts of one pile: volumes and ratios in the order of the work, and what is not known."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from dashboard.charts.grout import lifts_of_pile

LIMITS = {"min_cumulative_ratio": 1.0, "min_lift_ratio": 0.8}


def lifts(**columns) -> pd.DataFrame:
    frame = pd.DataFrame(
        {
            "run_no": "1",
            "lift_no": ["1", "2", "3"],
            "from_mm": [1300.0, 3300.0, 5300.0],
            "to_mm": [3300.0, 5300.0, 5300.0],
            "net_l": [60.0, 20.0, 30.0],
            "void_l": [50.0, 50.0, 0.0],
            "take_ratio": [1.2, 0.4, np.nan],
            "cumulative_ratio": [1.2, 0.8, 1.1],
        }
    )
    return frame.assign(**columns)


def trace(figure, meta):
    return next((one for one in figure.data if one.meta == meta), None)


def test_lifts_stand_under_each_other_in_the_order_of_the_work():
    figure = lifts_of_pile(lifts(), LIMITS, "SI")
    names = dict(zip(figure.layout.yaxis.tickvals, figure.layout.yaxis.ticktext, strict=True))
    assert names[0.0] == "<b>lift 1</b><br>toe 1.30–3.30 m"
    assert names[-2.0] == "<b>lift 3</b><br>toe stays at 5.30 m"
    assert list(trace(figure, "net grout").y) == [0, -1, -2]
    assert figure.layout.yaxis.range[0] < figure.layout.yaxis.range[1]


def test_a_gap_has_its_place_and_says_that_no_lift_is_recorded():
    unknown = {"net_l": [60.0, np.nan, 30.0], "void_l": [50.0, np.nan, 0.0]}
    figure = lifts_of_pile(lifts(lift_no=["1", "", "3"], **unknown), LIMITS, "SI")
    assert figure.layout.yaxis.ticktext[1] == "<b>gap</b><br>toe 3.30–5.30 m"
    assert [note.text for note in figure.layout.annotations] == ["no lift recorded"]


def test_net_and_void_are_bars_over_each_other():
    figure = lifts_of_pile(lifts(), LIMITS, "SI")
    assert figure.layout.barmode == "overlay"
    assert list(trace(figure, "net grout").x) == [60, 20, 30]
    assert list(trace(figure, "void").x) == [50, 50, 0]
    assert trace(figure, "net grout").width < trace(figure, "void").width


def test_the_ratio_of_the_pile_so_far_is_a_line_and_that_of_a_lift_a_ring():
    figure = lifts_of_pile(lifts(), LIMITS, "SI")
    assert list(trace(figure, "cumulative").x) == [1.2, 0.8, 1.1]
    assert "lines" in trace(figure, "cumulative").mode
    assert trace(figure, "lift").mode == "markers"
    assert list(trace(figure, "lift").x)[:2] == [1.2, 0.4]


def test_limits_that_are_set_are_drawn_with_their_value_and_others_are_not():
    figure = lifts_of_pile(lifts(), LIMITS, "SI")
    assert list(trace(figure, "min_lift_ratio").x) == [0.8, 0.8]
    assert trace(figure, "min_cumulative_ratio").name == "minimum cumulative 1.00"
    assert trace(figure, "alarm_ratio") is None


def test_the_axis_of_ratios_holds_every_ratio_and_limit():
    figure = lifts_of_pile(lifts(), {"alarm_ratio": 2.5}, "SI")
    assert figure.layout.xaxis2.range[1] > 2.5
    figure = lifts_of_pile(lifts(take_ratio=[4.0, 0.4, np.nan]), {}, "SI")
    assert figure.layout.xaxis2.range[1] > 4.0


def test_an_unknown_volume_is_said_where_its_bar_would_be():
    frame = lifts(net_l=[60.0, np.nan, 30.0], void_l=[np.nan] * 3)
    figure = lifts_of_pile(frame, LIMITS, "SI")
    told = [(one.text, one.y) for one in figure.layout.annotations]
    assert ("net not known", -1.0) in told
    assert sum(text == "void not known" for text, _ in told) == 3
    assert sum(text == "net not known" for text, _ in told) == 1


def test_a_pile_of_several_runs_names_the_run():
    figure = lifts_of_pile(lifts(run_no=["1", "1", "2"]), LIMITS, "SI")
    assert figure.layout.yaxis.ticktext[2].startswith("<b>lift 3</b>, run 2")


def test_us_units_convert_volumes_and_depths():
    figure = lifts_of_pile(lifts(), LIMITS, "US")
    # 1 US gal = 231 in³ and 1 in = 25.4 mm exactly, so 1 L = 0.264172 US gal
    assert trace(figure, "net grout").x[0] == pytest.approx(60 * 0.264172, rel=1e-5)
    assert "US gal" in figure.layout.xaxis.title.text
    assert figure.layout.yaxis.ticktext[0].endswith("ft")
