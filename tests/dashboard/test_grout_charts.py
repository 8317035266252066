"""Grout as figures: one quiet trace, the chosen bold and named, what is asked, points by name."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from dashboard import theme
from dashboard.charts.grout import (
    VIEWS,
    Panel,
    lifts_of_pile,
    min_takes,
    strength_with_age,
    take_by_group,
)
from tests.dashboard import test_lifts_chart as of_pile

LIMITS = {"min_cumulative_ratio": 1.1, "min_lift_ratio": 1.0, "alarm_ratio": 2.0}


def lifts(*piles):
    """Two lifts of a metre each: 30 and 20 litres over 25 of void."""
    return pd.DataFrame(
        {
            "pile_id": [pile for pile in piles for _ in range(2)],
            "where": ["lift 1 of run 1", "lift 2 of run 1"] * len(piles),
            "from_mm": [0.0, 1000.0] * len(piles),
            "to_mm": [1000.0, 2000.0] * len(piles),
            "reach_mm": [1000.0, 2000.0] * len(piles),
            "take_ratio": [1.2, 0.8] * len(piles),
            "cumulative_net_l": [30.0, 50.0] * len(piles),
            "cumulative_void_l": [25.0, 50.0] * len(piles),
            "cumulative_ratio": [1.2, 1.0] * len(piles),
        }
    ).astype({"pile_id": "str", "where": "str"})


def figure_of(quiet=(), chosen=(), over="cumulative_ratio", system="SI", limits=LIMITS):
    panel = Panel("A · T1", lifts(*quiet), lifts(*chosen), chosen, limits)
    return take_by_group([panel], over, system)


def traces(figure, meta):
    return [trace for trace in figure.data if trace.meta == meta]


def test_quiet_piles_are_one_trace_with_a_gap_between_two():
    (quiet,) = traces(figure_of(["P1", "P2"]), "quiet")
    assert list(quiet.x) == pytest.approx([1.2, 1.0, np.nan, 1.2, 1.0], nan_ok=True)
    assert list(quiet.y) == pytest.approx([-1.0, -2.0, np.nan, -1.0, -2.0], nan_ok=True)


def test_the_chosen_pile_is_bold_named_and_clickable():
    figure = figure_of(["P1"], ["P2", "P3"])
    last, first = traces(figure, "chosen")
    assert (last.name, first.name) == ("pile P3", "pile P2")
    assert last.line.width > first.line.width
    assert traces(figure, "name")[0].text == ("<b>P3</b>",)
    assert list(last.customdata[1]) == ["P3", "P3", "lift 2 of run 1, toe at 2.00 m"]


def test_each_lift_is_drawn_over_the_depths_between_which_the_toe_went():
    (line,) = traces(figure_of([], ["P1"], over="take_ratio"), "chosen")
    assert list(line.x) == [1.2, 1.2, 0.8, 0.8]
    assert list(line.y) == [0, -1.0, -1.0, -2.0]


@pytest.mark.parametrize(("system", "litres"), [("SI", 1.0), ("US", 3.785412)])
def test_net_against_void_begins_at_nothing_in_the_unit_shown(system, litres):
    figure = figure_of([], ["P1"], over="net", system=system)
    (line,) = traces(figure, "chosen")
    assert list(line.x) == pytest.approx([0, 25 / litres, 50 / litres], rel=1e-6)
    assert list(line.y) == pytest.approx([0, 30 / litres, 50 / litres], rel=1e-6)
    assert ("US gal" if system == "US" else "[L]") in figure.layout.xaxis.title.text


def test_what_is_asked_is_a_line_of_its_own_ratio_and_none_where_nothing_is_set():
    (minimum,) = traces(figure_of(["P1"]), "min_cumulative_ratio")
    assert list(minimum.x) == [1.1, 1.1]
    (alarm,) = traces(figure_of(["P1"]), "alarm_ratio")
    assert alarm.name == "alarm, 2.00"
    (slope,) = traces(figure_of(["P1"], over="net"), "min_cumulative_ratio")
    assert slope.y[1] / slope.x[1] == pytest.approx(1.1)
    (lift,) = traces(figure_of(["P1"], over="take_ratio"), "min_lift_ratio")
    assert list(lift.x) == [1.0, 1.0]
    assert {trace.meta for trace in figure_of(["P1"], limits={}).data} == {"quiet", "handles"}


def test_several_groups_have_a_panel_each_and_one_legend():
    panels = [Panel(name, lifts("P1"), lifts(), (), LIMITS) for name in ("A · T1", "B · T1")]
    figure = take_by_group(panels, "cumulative_ratio", "SI")
    assert [note.text for note in figure.layout.annotations] == ["A · T1", "B · T1"]
    assert [trace.showlegend for trace in traces(figure, "quiet")] == [True, False]


def takes(**changed):
    base = {"subject": ["P1", "P2", "P3", "P4"], "min_lift_ratio": [1.2, 0.8, 1.3, np.nan]}
    base |= {"take_ratio": [1.3, 1.1, 2.6, np.nan], "named": [False, True, True, False]}
    return pd.DataFrame(base | changed)


def test_piles_stand_in_order_and_only_those_that_stand_out_are_named():
    figure = min_takes(takes(), LIMITS, [])
    (minimum,) = [
        one for one in figure.data if one.meta == "min_lift_ratio" and one.mode != "lines"
    ]
    assert [row[0] for row in minimum.customdata] == ["P2", "P1", "P3"]
    (names,) = traces(figure, "name")
    assert names.text == ("<b>P2</b>", "<b>P3</b>")
    assert list(names.y) == [0.8, 2.6]  # thin by its lift, rich as a whole


def test_every_limit_of_the_take_is_a_line_over_the_points():
    lines = [one for one in min_takes(takes(), LIMITS, []).data if one.mode == "lines"]
    assert {one.meta: one.y[0] for one in lines} == LIMITS
    assert len({one.line.dash for one in lines}) == len(LIMITS)


def test_a_chosen_pile_is_named_and_larger_though_it_is_like_the_others():
    figure = min_takes(takes(named=False), {}, ["P1"])
    assert traces(figure, "name")[0].text == ("<b>P1</b>",)
    sizes = dict(zip(("P2", "P1", "P3"), figure.data[1].marker.size, strict=True))
    assert sizes["P1"] > sizes["P2"] == sizes["P3"]
    assert not traces(figure, "alarm_ratio")


def specimens():
    return pd.DataFrame(
        {
            "specimen_id": ["S1", "S2", "S3"],
            "sample_group_id": ["G1", "G1", "G2"],
            "piles": [2, 2, 5],
            "tested_age_days": [7.0, 29.0, np.nan],
            "strength_mpa": [24.5, 41.0, np.nan],
        }
    )


@pytest.mark.parametrize(("system", "required"), [("SI", 35.0), ("US", 35 * 0.1450377)])
def test_strength_is_drawn_at_the_age_when_tested_and_its_minimum_from_its_age_on(system, required):
    figure = strength_with_age(specimens(), [(28.0, 35.0)], set(), system)
    (points,) = traces(figure, "specimen")
    assert list(points.x) == [7.0, 29.0]
    (minimum,) = traces(figure, "minimum")
    assert minimum.x[0] == 28
    assert minimum.y[0] == pytest.approx(required, rel=1e-6)


def test_groups_of_the_chosen_piles_are_blue():
    figure = strength_with_age(specimens(), [], {"G1"}, "SI")
    (own,) = traces(figure, "specimen of the selected piles")
    assert own.marker.color == theme.PROFILE
    assert not traces(figure, "specimen")


def test_a_colour_means_the_same_on_every_figure_of_grout():
    colours = {"min_cumulative_ratio": theme.REQUIRED, "min_lift_ratio": theme.REQUIRED}
    colours["alarm_ratio"] = theme.RATED
    figures = [lifts_of_pile(of_pile.lifts(), LIMITS, "SI"), min_takes(takes(), LIMITS, [])]
    for figure in [*figures, *(figure_of(["P1"], over=view) for view in VIEWS)]:
        drawn = {line.meta: line.line.color for line in figure.data if line.meta in colours}
        drawn = {name: colour for name, colour in drawn.items() if colour}
        assert drawn
        assert drawn.items() <= colours.items()
