"""The drawing of a string: true along the axis and in its lean, labels that never overlap."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as some

from dashboard.charts.steel import LABEL, Axis, spread, string_drawing

HELICES = pd.DataFrame({"helix_mm": [350.0, 300.0], "depth_mm": [8300.0, 9200.0]})
COLUMN = pd.DataFrame({"from_mm": [0.0], "to_mm": [8000.0], "bore_mm": [200.0]})
GROUTED = Axis(first_disc_mm=8000.0, disc_mm=200.0, cut_off_level_mm=-300.0, cut_mm=-500.0)


def parts(count=3, length=3200.0, toe=9300.0) -> pd.DataFrame:
    place = np.arange(count)
    bottom = toe - length * place
    return pd.DataFrame(
        {
            "place": place + 1,
            "component": "extension",
            "stamp": [f"L-{n}" for n in place],
            "length_mm": length,
            "top_mm": bottom - length,
            "bottom_mm": bottom,
        }
    )


def drawn(rows=None, axis=GROUTED, system="SI", helices=HELICES, column=COLUMN):
    return string_drawing(parts() if rows is None else rows, helices, column, axis, system)


def trace(figure, meta):
    return next((one for one in figure.data if one.meta == meta), None)


def numbers(values) -> np.ndarray:
    return np.array([value for value in values if value is not None], dtype=float)


def scale(figure) -> tuple[float, float]:
    """Pixels of one unit across and down."""
    layout = figure.layout
    wide = layout.width - layout.margin.l - layout.margin.r
    high = layout.height - layout.margin.t - layout.margin.b
    return wide / np.ptp(layout.xaxis.range), high / np.ptp(layout.yaxis.range)


def stamps(figure) -> dict[str, float]:
    found = [one for one in figure.layout.annotations if one.text.startswith("<b>")]
    return {one.text[3:].split("<")[0]: one.y for one in found}


def test_the_string_reaches_from_its_head_to_the_toe_and_what_is_cut_off_is_not_filled():
    figure = drawn()
    steel, cut = trace(figure, "steel"), trace(figure, "cut off")
    # Three times 3.20 m up from a toe at 9.30 m is a head 0.30 m above ground, all of it to stay.
    assert (min(numbers(steel.y)), max(numbers(steel.y))) == (-9.3, pytest.approx(0.3))
    assert cut is None
    figure = drawn(parts(length=3300.0))
    # Three times 3.30 m ends 0.60 m above ground; 0.10 m of it is cut.
    assert max(numbers(trace(figure, "steel").y)) == pytest.approx(0.5)
    assert max(numbers(trace(figure, "cut off").y)) == pytest.approx(0.6)
    assert trace(figure, "cut off").fill is None


def test_one_unit_is_as_many_pixels_down_as_across_at_every_size():
    for count in (1, 3, 20):
        for batter in (0.0, 5.0, 45.0):
            across, down = scale(drawn(parts(count, 500.0), Axis(batter_deg=batter)))
            assert across == pytest.approx(down)


def test_a_battered_pile_leans_by_its_batter_and_says_so():
    figure = drawn(axis=Axis(batter_deg=30.0, azimuth_deg=180.0), column=COLUMN.iloc[:0])
    x, y = numbers(trace(figure, "steel").x), numbers(trace(figure, "steel").y)
    lean = np.rad2deg(np.arctan2(np.ptp(x), np.ptp(y)))
    assert lean == pytest.approx(30.0, abs=1.5)  # the shaft's width turns the box a little
    assert any(
        "batter 30.0°" in one.text and "180°" in one.text for one in figure.layout.annotations
    )


def test_helices_stand_square_to_the_axis_with_their_diameters():
    figure = drawn(axis=Axis(batter_deg=30.0))
    helix = trace(figure, "helix")
    first = np.array(helix.x[:2]), np.array(helix.y[:2])
    rise = np.diff(first[1]) / np.diff(first[0])
    assert rise == pytest.approx(np.tan(np.deg2rad(30.0)))
    assert {text for text in helix.customdata if text} == {"helix 0.35 m", "helix 0.30 m"}


def test_the_first_disc_and_the_column_are_drawn_where_they_are_known_alone():
    figure = drawn()
    assert set(trace(figure, "first disc").y[:2]) == {-8.0}
    assert (
        min(numbers(trace(figure, "grout column").y)),
        max(numbers(trace(figure, "grout column").y)),
    ) == (
        -8.0,
        0.0,
    )
    bare = drawn(axis=Axis(), column=COLUMN.iloc[:0])
    assert trace(bare, "first disc") is None
    assert trace(bare, "grout column") is None
    assert trace(bare, "cut-off level") is None


def test_the_upper_of_ground_and_cut_off_is_named_above_its_line():
    sides = {
        below: {
            one.text: one.yanchor
            for one in drawn(axis=Axis(cut_off_level_mm=below)).layout.annotations
        }
        for below in (-250.0, 250.0)
    }
    assert (sides[-250.0]["cut-off level"], sides[-250.0]["ground"]) == ("bottom", "top")
    assert (sides[250.0]["cut-off level"], sides[250.0]["ground"]) == ("top", "bottom")


def test_twenty_short_components_have_labels_apart_and_on_the_sheet():
    figure = drawn(parts(20, 400.0))
    places = sorted(stamps(figure).values())
    _, down = scale(figure)
    assert len(places) == 20
    assert min(np.diff(places)) * down >= LABEL - 0.01
    low, high = figure.layout.yaxis.range
    assert low < places[0]
    assert places[-1] < high


def test_a_component_of_unknown_length_is_named_and_not_drawn():
    rows = parts()
    rows.loc[1:, ["top_mm"]] = np.nan
    rows.loc[2, "bottom_mm"] = np.nan
    rows.loc[1, "length_mm"] = np.nan
    figure = drawn(rows)
    assert set(stamps(figure)) == {"L-0", "L-1", "L-2"}
    assert max(numbers(trace(figure, "steel").y)) == pytest.approx(-6.1)
    assert any("length not recorded" in one.text for one in figure.layout.annotations)


def test_us_units_turn_the_drawing_into_feet():
    figure = drawn(system="US")
    # 1 ft = 0.3048 m exactly
    assert min(numbers(trace(figure, "steel").y)) == pytest.approx(-9.3 / 0.3048)
    assert "10.5 ft" in next(
        iter(one.text for one in figure.layout.annotations if "L-0" in one.text)
    )


@given(some.lists(some.floats(0, 10), max_size=12), some.floats(0.1, 0.8))
def test_spread_labels_keep_their_order_and_their_gap(wanted, gap):
    wanted.sort(reverse=True)
    places = spread(wanted, gap, 0.0, 10.0)
    assert all(upper - lower >= gap - 1e-9 for upper, lower in pairwise(places))
    assert all(0.0 <= place <= 10.0 + 1e-9 for place in places)


def test_labels_with_room_stand_where_they_want_to():
    assert spread([9.0, 5.0, 1.0], 1.0, 0.0, 10.0) == [9.0, 5.0, 1.0]
