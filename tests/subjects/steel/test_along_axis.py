"""Where components, helices and the grout column lie along the axis of one pile."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from core.subjects.steel.frames import (
    grout_column,
    helices_along_axis,
    level_depth,
    parts_along_axis,
)

PILE = {
    "toe_mm": 9300.0,
    "grout_from": "first disc",
    "column_begins_mm": 1300.0,
    "disc_mm": 200.0,
    "predrilled_diameter_mm": np.nan,
    "predrilled_length_mm": np.nan,
}


def parts(*lengths) -> pd.DataFrame:
    place = range(1, len(lengths) + 1)
    return pd.DataFrame({"place": place, "length_mm": pd.array(lengths, dtype="Int64")})


def column(**values) -> list[tuple[float, ...]]:
    frame = grout_column(pd.Series({**PILE, **values}))
    return list(frame.itertuples(index=False, name=None))


def test_components_follow_each_other_from_the_toe_up():
    frame = parts_along_axis(parts(2100, 1500, 3000).iloc[::-1], 6000.0)
    assert frame["place"].tolist() == [1, 2, 3]
    assert frame["bottom_mm"].tolist() == [6000, 3900, 2400]
    assert frame["top_mm"].tolist() == [3900, 2400, -600]


def test_above_a_component_without_length_nothing_has_a_depth():
    frame = parts_along_axis(parts(2100, None, 3000), 6000.0)
    assert frame["bottom_mm"].tolist()[:2] == [6000, 3900]
    assert frame["bottom_mm"].isna().tolist() == [False, False, True]
    assert frame["top_mm"].isna().tolist() == [False, True, True]


def test_without_a_toe_no_component_has_a_depth():
    assert parts_along_axis(parts(2100), np.nan)[["top_mm", "bottom_mm"]].isna().all(axis=None)


def test_helices_stand_below_the_top_one_three_diameters_of_the_lower_one_apart():
    frame = helices_along_axis((300, 350), 1000.0, 9300.0)
    # The top helix 1000 mm over the toe at 9300; the lower one 3 x 300 mm under it.
    assert frame["helix_mm"].tolist() == [350, 300]
    assert frame["depth_mm"].tolist() == [8300, 9200]


def test_no_helix_lies_below_the_toe():
    assert helices_along_axis((300, 350), 0.0, 9300.0)["depth_mm"].tolist() == [
        9300,
        9300,
    ]


def test_the_column_ends_as_far_above_the_toe_as_the_first_disc_stands():
    assert column() == [(0, 8000, 200)]


def test_a_column_from_the_ground_reaches_the_toe():
    assert column(grout_from="ground", column_begins_mm=0.0) == [(0, 9300, 200)]


def test_a_wider_predrilled_hole_is_filled_as_far_as_it_was_drilled():
    assert column(predrilled_diameter_mm=450.0, predrilled_length_mm=1500.0) == [
        (0, 1500, 450),
        (1500, 8000, 200),
    ]


@pytest.mark.parametrize("missing", ["column_begins_mm", "disc_mm", "toe_mm", "grout_from"])
def test_a_column_of_which_something_is_not_known_is_not_drawn(missing):
    assert column(**{missing: np.nan}) == []


def test_a_cut_off_level_above_the_ground_has_a_depth_above_it():
    # 0.30 m up along an axis of 60 degrees from vertical is 0.60 m of the axis.
    assert level_depth(2.0, 2.3, 60.0) == pytest.approx(-600.0)
    assert np.isnan(level_depth(2.0, np.nan, 0.0))
