"""Profiles of groups as a figure: one quiet trace, the chosen bold and named, median and band."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from dashboard import theme
from dashboard.charts.torque import MOST_HANDLES, Panel, torque_by_group

BAND = pd.DataFrame(
    {
        "stretch": [1, 2, 4],
        "depth_mm": [300.0, 600.0, 1600.0],
        "level_m": [1.7, 1.4, 0.4],
        "piles": 5,
        "low_torque_nm": [1000.0, 2000.0, 6000.0],
        "median_torque_nm": [2000.0, 3000.0, 8000.0],
        "high_torque_nm": [3000.0, 5000.0, 9000.0],
    }
)


def readings(*piles, depths=(300, 600, 900), **changed):
    frame = pd.DataFrame([(pile, depth) for pile in piles for depth in depths])
    frame = frame.reindex(columns=[0, 1]).set_axis(["pile_id", "depth_mm"], axis=1)
    base = {"torque_nm": frame["depth_mm"] * 10.0, "bound_torque_nm": np.nan, "range": "in"}
    base |= {"counts": True, "level_m": 2.0 - frame["depth_mm"] / 1000}
    return frame.assign(**(base | changed))


def marks(*piles, **changed):
    base = {"subject": list(piles), "required_torque_nm": 8000.0, "rated_torque_nm": 15000.0}
    base |= {"first_disc_depth_mm": np.nan, "first_disc_level_m": np.nan}
    return pd.DataFrame(base | changed)


def figure_of(quiet=(), chosen=(), along="depth_mm", system="SI", **changed):
    """One panel; ``quiet`` and ``chosen`` are pile numbers, or their readings."""
    quiet, chosen = (
        part if isinstance(part, pd.DataFrame) else readings(*part) for part in (quiet, chosen)
    )
    parts = {"quiet": quiet, "chosen": chosen, "marks": marks(*chosen["pile_id"].unique())}
    panel = Panel(**({"name": "A · T", "band": BAND} | parts | changed))
    return torque_by_group([panel], along, system)


def traces(figure, meta):
    return [one for one in figure.data if one.meta == meta]


def test_all_quiet_piles_are_one_trace_with_a_gap_between_two():
    (quiet,) = traces(figure_of(quiet=[f"P-{n}" for n in range(50)]), "quiet")
    assert len(quiet.x) == 50 * 3 + 49
    assert np.isnan(quiet.x).sum() == 49


def test_no_line_is_drawn_with_webgl_and_no_axis_is_reversed():
    figure = figure_of(quiet=["P-1"], chosen=["P-2"])
    assert {one.type for one in figure.data} == {"scatter"}
    low, high = figure.layout.yaxis.range
    assert low < high
    ticks = dict(zip(figure.layout.yaxis.tickvals, figure.layout.yaxis.ticktext, strict=True))
    assert ticks[-0.5] == "0.5"
    assert ticks[0] == "0"


def test_over_level_readings_stand_at_their_level():
    figure = figure_of(chosen=["P-1"], along="level_m")
    (line,) = traces(figure, "chosen")
    assert list(line.y) == pytest.approx([1.7, 1.4, 1.1])
    assert "level [m]" in figure.layout.yaxis.title.text


def test_a_chosen_pile_is_bold_and_named_at_its_last_reading():
    figure = figure_of(quiet=["P-1"], chosen=["P-2", "P-3"])
    last, first = traces(figure, "chosen")
    name = traces(figure, "name")[0]
    assert (list(name.text), list(name.x), list(name.y)) == (["<b>P-3</b>"], [9.0], [-0.9])
    assert last.line.width > first.line.width > traces(figure, "quiet")[0].line.width
    assert last.line.dash != first.line.dash


def test_limits_are_drawn_for_chosen_piles_alone_and_once_for_equal_ones():
    assert not traces(figure_of(quiet=["P-1"]), "required")
    figure = figure_of(chosen=["P-2", "P-3"])
    (required,), (rated,) = traces(figure, "required"), traces(figure, "rated")
    assert list(required.x) == [8.0, 8.0]
    assert list(rated.x) == [15.0, 15.0]
    assert figure.layout.xaxis.range[1] > 15.0


def test_different_limits_name_the_piles_they_hold_for():
    asked = marks("P-2", "P-3", required_torque_nm=[8000.0, 9000.0])
    figure = figure_of(chosen=["P-2", "P-3"], marks=asked)
    assert [one.name for one in traces(figure, "required")] == [
        "required torque 8.00 kN·m of P-2",
        "required torque 9.00 kN·m of P-3",
    ]
    assert traces(figure, "rated")[0].name == "rated torque 15.00 kN·m"


@pytest.mark.parametrize(("along", "at"), [("depth_mm", -0.6), ("level_m", 1.4)])
def test_the_first_disc_is_marked_where_it_enters(along, at):
    entered = marks("P-1", first_disc_depth_mm=600.0, first_disc_level_m=1.4)
    (disc,) = traces(figure_of(chosen=["P-1"], marks=entered, along=along), "disc")
    assert list(disc.y) == pytest.approx([at, at])
    assert disc.text[1] == "first disc of P-1 enters"


def test_the_band_breaks_where_a_stretch_is_missing_or_an_edge_is_not_known():
    (band,) = traces(figure_of(), "band")
    assert np.isnan(band.x).sum() == 2  # stretches 1 and 2, then 4
    unknown = BAND.assign(low_torque_nm=[np.nan, 2000.0, 6000.0])
    (band,) = traces(figure_of(band=unknown), "band")
    assert -0.3 not in list(band.y)


def test_the_median_says_of_how_many_piles_and_breaks_where_a_stretch_is_missing():
    (median,) = traces(figure_of(), "median")
    assert list(median.x) == pytest.approx([2.0, 3.0, np.nan, 8.0], nan_ok=True)
    assert list(median.customdata) == pytest.approx([5, 5, np.nan, 5], nan_ok=True)


def test_readings_that_do_not_count_are_dotted_when_quiet_and_hollow_when_chosen():
    idle = readings("P-1", counts=[True, False, True])
    solid, dotted = traces(figure_of(quiet=idle), "quiet")
    assert np.isnan(solid.x).tolist() == [False, True, False]
    assert dotted.line.dash == "dot"
    assert np.isnan(dotted.x).tolist() == [False, False, False]
    (hollow,) = traces(figure_of(chosen=idle), "hollow")
    assert list(hollow.y) == [-0.6]
    assert hollow.marker.symbol == "circle-open"


@pytest.mark.parametrize(
    ("word", "bound", "label"), [("below", 1500.0, "< 1.50 kN·m"), ("above", 9000.0, "≥ 9.00 kN·m")]
)
def test_readings_of_a_chosen_pile_outside_the_range_are_arrows_with_their_bound(
    word, bound, label
):
    outside = readings("P-1", range=["in", "in", word], torque_nm=[3e3, 6e3, np.nan],
                       bound_torque_nm=[np.nan, np.nan, bound])  # fmt: skip
    (arrow,) = traces(figure_of(chosen=outside), f"{word} range")
    assert list(arrow.customdata) == [label]


def test_a_hovered_point_names_its_pile_and_there_are_never_too_many():
    (handles,) = traces(figure_of(quiet=["P-1", "P-2"]), "handles")
    assert [list(one) for one in handles.customdata[:2]] == [
        ["P-1", "P-1", "0.30 m"],
        ["P-1", "P-1", "0.60 m"],
    ]
    assert handles.marker.opacity == 0
    many = readings(*[f"P-{n}" for n in range(300)], depths=range(300, 18301, 300))
    (handles,) = traces(figure_of(quiet=many), "handles")
    assert MOST_HANDLES / 2 < len(handles.x) <= MOST_HANDLES


def test_us_units_convert_both_axes():
    figure = figure_of(chosen=["P-1"], system="US")
    # 1 ft = 0.3048 m exactly; 1 ft·lbf = 1.3558 N·m (NIST SP 811, App. B.8, quoted from memory)
    assert traces(figure, "chosen")[0].y[0] == pytest.approx(-0.3 / 0.3048)
    assert traces(figure, "required")[0].x[0] == pytest.approx(8000 / 1.355818, rel=1e-6)


def test_each_group_has_its_panel_and_the_legend_names_each_thing_once():
    panel = Panel("A", readings("P-1"), readings("P-2"), marks("P-2"), BAND)
    other = Panel("B", readings("P-3"), readings(), marks(), BAND)
    figure = torque_by_group([panel, other], "depth_mm", "SI")
    assert [note.text for note in figure.layout.annotations] == ["A", "B"]
    named = [one.name for one in figure.data if one.showlegend]
    assert len(named) == len(set(named))
    assert {one.xaxis for one in traces(figure, "quiet")} == {"x", "x2"}


def test_a_group_with_nothing_to_draw_still_gives_a_figure():
    figure = figure_of(band=BAND.iloc[:0])
    assert len(figure.data) == 0
    assert traces(figure_of(quiet=["P-1"]), "quiet")[0].line.color == theme.QUIET_LINE
