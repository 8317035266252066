"""The sketch of a survey: north up, one scale both ways, the limit around the design point."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from dashboard.charts.survey import Limit, survey_sketch

UPRIGHT = float("nan")


def surveys(**columns) -> pd.DataFrame:
    frame = pd.DataFrame(
        {
            "survey_stage": ["after installation", "after cut-off"],
            "offset_east_mm": [30.0, 60.0],
            "offset_north_mm": [-10.0, -80.0],
            "plan_offset_mm": [31.6, 100.0],
            "is_assessed": [False, True],
        }
    )
    return frame.assign(**columns)


def sketch(rows=None, limit=Limit(75.0), azimuth=UPRIGHT, system="SI"):  # noqa: B008
    return survey_sketch(surveys() if rows is None else rows, limit, azimuth, system)


def trace(figure, meta):
    return next((one for one in figure.data if one.meta == meta), None)


def words(figure) -> list[str]:
    return [one.text for one in figure.layout.annotations if one.text]


def vectors(figure) -> list[tuple[float, float]]:
    """Heads of the arrows that start at the design point."""
    arrows = [one for one in figure.layout.annotations if one.showarrow]
    return [(one.x, one.y) for one in arrows if (one.ax, one.ay) == (0, 0)]


def test_the_vector_runs_from_the_design_to_where_the_judging_survey_found_the_pile():
    figure = sketch()
    assert vectors(figure) == [(60.0, -80.0)]
    assert (list(trace(figure, "design").x), list(trace(figure, "design").y)) == ([0], [0])
    assert list(trace(figure, "as built, assessed").x) == [60.0]
    assert list(trace(figure, "as built, other surveys").y) == [-10.0]
    assert trace(figure, "as built, other surveys").marker.symbol == "circle-open"


def test_a_millimetre_is_as_long_eastward_as_northward():
    layout = sketch().layout
    wide = layout.width - layout.margin.l - layout.margin.r
    high = layout.height - layout.margin.t - layout.margin.b
    assert wide == high
    assert layout.xaxis.range == layout.yaxis.range


def test_a_radial_limit_is_a_circle_and_one_per_axis_a_square():
    for per_axis, shape in ((False, "circle"), (True, "rect")):
        (limit,) = sketch(limit=Limit(75.0, per_axis)).layout.shapes
        assert (limit.type, limit.x0, limit.x1, limit.y0, limit.y1) == (shape, -75, 75, -75, 75)


def test_without_a_limit_none_is_drawn():
    figure = sketch(limit=Limit())
    assert not figure.layout.shapes
    assert trace(figure, "limit") is None


@pytest.mark.parametrize("offset", [3.0, 75.0, 900.0])
def test_pile_and_limit_are_on_the_sketch_however_far_the_pile_is_off(offset):
    figure = sketch(surveys(offset_east_mm=[0.0, offset]))
    assert figure.layout.xaxis.range[1] > max(offset, 75.0)


def test_the_scale_bar_is_as_long_as_it_says():
    figure = sketch()
    bar = trace(figure, "scale bar")
    assert f"{np.ptp(bar.x):.0f} mm" in words(figure)


def test_an_inch_is_shown_where_feet_are_asked_for():
    figure = sketch(system="US")
    # 1 in = 25.4 mm exactly
    assert vectors(figure) == [(pytest.approx(60 / 25.4), pytest.approx(-80 / 25.4))]
    assert any(word.endswith(" in") for word in words(figure))


def test_a_battered_pile_says_where_its_toe_points_and_an_upright_one_does_not():
    assert "toe towards" in words(sketch(azimuth=180.0))
    assert "toe towards" not in words(sketch())
    assert "N" in words(sketch())


def test_a_survey_without_offsets_leaves_the_design_point_alone():
    figure = sketch(surveys(offset_east_mm=np.nan, offset_north_mm=np.nan))
    assert vectors(figure) == []
    assert trace(figure, "as built, assessed") is None
