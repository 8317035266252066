"""Bands of groups and piles set beside them, on small frames with hand-made torques."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from core.subjects.frames import with_group
from core.subjects.torque.frames import (
    EDGES,
    bands,
    compared_with_group,
    current_readings,
    outside_share,
    stretches,
)


def piles(count=5, **changed):
    base = {
        "pile_id": [f"P{n}" for n in range(count)],
        "area": "A",
        "pile_type": "T",
        "ground_level_m": 10.0,
        "run_ground_level_m": np.nan,
        "batter_deg": 0.0,
        "element": "helical pile",
        "section": "round 89",
        "final_torque_lower_bound_nm": [1000.0 * n + 1000.0 for n in range(count)],
        "required_torque_nm": 2000.0,
        "max_torque_nm": 6000.0,
        "rated_torque_nm": 8000.0,
        "schedule_rated_torque_nm": np.nan,
        "section_rated_torque_nm": 8000.0,
        "component_rated_torque_nm": np.nan,
        "component_rated_stamp": None,
        "first_disc_depth_mm": np.nan,
    }
    return with_group(pd.DataFrame(base | changed))


def profile(count=5, depths=(300, 600, 900), **changed):
    """Pile n reads (n + 1) kN·m at every depth."""
    frame = pd.DataFrame([(f"P{n}", d, 1000.0 * (n + 1)) for n in range(count) for d in depths])
    frame.columns = ["pile_id", "depth_mm", "torque_nm"]
    frame = frame.assign(torque_lower_bound_nm=frame["torque_nm"], ceiling_torque_nm=np.nan)
    return frame.assign(**({"range": "in", "counts": True, "current": True} | changed))


def band_of(given, homes, along="depth_mm"):
    readings = current_readings(given, homes)
    parts = stretches(readings, along)
    return parts, bands(parts, along)


def test_the_band_is_ten_fifty_and_ninety_in_a_hundred_of_the_piles():
    _, band = band_of(profile(), piles())
    # Ordered values 1 to 5 kN·m: 0.1 × 4 places past the first is 1.4, 0.9 × 4 is 4.6.
    assert band["low_torque_nm"].tolist() == pytest.approx([1400.0, 1400.0])
    assert band["median_torque_nm"].tolist() == [3000.0, 3000.0]
    assert band["high_torque_nm"].tolist() == pytest.approx([4600.0, 4600.0])
    assert band["piles"].tolist() == [5, 5]


def test_a_stretch_stands_at_the_mean_depth_of_its_readings_and_holds_its_lower_end():
    parts, band = band_of(profile(depths=(300, 500, 501)), piles())
    assert band["depth_mm"].tolist() == [400.0, 501.0]
    assert parts.groupby("pile_id").size().unique().tolist() == [2]


def test_a_pile_weighs_the_same_however_often_it_was_read():
    often = profile(count=1, depths=range(10, 501, 10))
    given = pd.concat([often, profile(depths=(300,)).query("pile_id != 'P0'")])
    _, band = band_of(given, piles())
    assert band["median_torque_nm"].tolist() == [3000.0]


@pytest.mark.parametrize(("along", "at"), [("depth_mm", 1000.0), ("level_m", 9.0)])
def test_readings_far_apart_make_longer_stretches_without_empty_ones_between(along, at):
    _, band = band_of(profile(depths=(1000, 2000, 3000, 4000)), piles(), along)
    assert band["stretch"].diff().dropna().eq(1).all()
    assert at in band[along].tolist()
    assert len(band) == 4


def test_each_group_has_the_stretch_of_its_own_readings():
    far = profile(depths=(1000, 2000, 3000)).replace({f"P{n}": f"P{n + 5}" for n in range(5)})
    homes = piles(10, area=["A"] * 5 + ["B"] * 5)
    _, band = band_of(pd.concat([profile(depths=(300, 600, 900)), far]), homes)
    assert band.groupby("group")["stretch"].agg(list).to_dict() == {
        "A · T": [1, 2],
        "B · T": [1, 2, 3],
    }


@pytest.mark.parametrize(("count", "rows"), [(4, 0), (5, 1), (6, 1)])
def test_fewer_than_five_piles_at_a_depth_give_no_band(count, rows):
    _, band = band_of(profile(count, depths=(300,)), piles(count))
    assert len(band) == rows


def test_readings_that_do_not_count_or_stand_are_not_in_the_band():
    for column in ("counts", "current"):
        given = profile()
        given[column] = given["depth_mm"].ne(900)
        _, band = band_of(given, piles())
        assert band["depth_mm"].tolist() == [300.0, 600.0]


def test_groups_do_not_mix():
    homes = piles(10, area=["A"] * 5 + ["B"] * 5)
    _, band = band_of(profile(10, depths=(300,)), homes)
    assert dict(zip(band["group"], band["median_torque_nm"], strict=True)) == {
        "A · T": 3000.0,
        "B · T": 8000.0,
    }


@pytest.mark.parametrize(
    ("range_of_first", "known"),
    [("below", [False, True, True]), ("in", [True, True, True])],
)
def test_a_torque_below_the_range_counts_as_lower_than_all_and_hides_the_edge_it_makes(
    range_of_first, known
):
    given = profile(depths=(300,))
    outside = given["pile_id"].eq("P0") & (range_of_first != "in")
    given = given.assign(
        range=np.where(outside, range_of_first, "in"),
        torque_nm=given["torque_nm"].mask(outside),
        ceiling_torque_nm=np.where(outside, 1500.0, np.nan),
    )
    parts, band = band_of(given, piles())
    assert band[list(EDGES)].notna().iloc[0].tolist() == known
    assert band["median_torque_nm"].tolist() == [3000.0]
    readings = current_readings(given, piles())
    assert readings["bound_torque_nm"].notna().sum() == outside.sum()
    assert len(parts) == 5


def test_a_torque_above_the_range_hides_the_upper_edge_alone():
    given = profile(depths=(300,))
    over = given["pile_id"].eq("P4")
    given = given.assign(range=np.where(over, "above", "in"), torque_nm=given.torque_nm.mask(over))
    _, band = band_of(given, piles())
    assert band[list(EDGES)].notna().iloc[0].tolist() == [True, True, False]


def test_a_reading_without_a_curve_is_in_no_band():
    parts, band = band_of(profile(range="none", torque_nm=np.nan), piles())
    assert parts.empty
    assert band.empty


def test_level_counts_down_the_axis_from_the_ground_at_the_run():
    homes = piles(2, batter_deg=[0.0, 60.0], run_ground_level_m=[np.nan, 12.0])
    readings = current_readings(profile(2, depths=(1000,)), homes)
    assert readings["level_m"].tolist() == pytest.approx([9.0, 11.5])  # cos 60° = 1/2


@pytest.mark.parametrize("missing", ["ground_level_m", "batter_deg"])
def test_an_anchor_without_batter_and_a_pile_without_ground_have_no_level(missing):
    homes = piles(1, element="helical anchor", **{missing: np.nan})
    readings = current_readings(profile(1), homes)
    assert readings["level_m"].isna().all()
    assert stretches(readings, "level_m").empty


def test_a_pile_is_as_far_outside_as_its_length_lies_outside_and_the_edge_is_inside():
    given = profile(depths=(300, 900, 1500, 2100))
    odd = given["pile_id"].eq("P2") & given["depth_mm"].eq(900)
    given["torque_nm"] = given["torque_nm"].mask(odd, 99000.0)
    parts, band = band_of(given, piles())
    share = outside_share(parts, band)
    assert share["P2"] == 0.25
    assert share["P0"] == 1.0  # the minimum of five lies under ten in a hundred
    level = parts.assign(torque_nm=4600.0)
    assert outside_share(level, band.assign(high_torque_nm=4600.0)).eq(0).all()


def beside(**changed):
    homes = piles(**changed)
    given = profile(len(homes))
    parts, band = band_of(given, homes)
    return compared_with_group(homes, given, outside_share(parts, band)).iloc[0]


def test_a_pile_is_set_beside_its_requirement_rating_and_group():
    row = beside()
    assert row["torque_ratio"] == 0.5
    assert row["torque_margin_nm"] == -1000.0
    assert row["rated_share"] == 0.75
    assert row["max_depth_mm"] == 300.0
    assert row["from_median_nm"] == -2000.0


def test_of_four_piles_no_median_is_taken():
    assert np.isnan(beside(count=4)["from_median_nm"])


@pytest.mark.parametrize(
    ("schedule", "section", "part"),
    [
        (np.nan, 8000.0, "shaft round 89"),
        (9000.0, 8000.0, "shaft round 89"),
        (8000.0, 8000.0, "shaft round 89"),
        (7000.0, 8000.0, "the schedule's rating"),
        (7000.0, np.nan, "the schedule's rating"),
        (np.nan, np.nan, ""),
    ],
)
def test_the_weakest_part_is_the_one_with_the_least_rating(schedule, section, part):
    row = beside(schedule_rated_torque_nm=schedule, section_rated_torque_nm=section)
    assert row["rated_by"] == part


def test_nothing_read_gives_no_band_and_no_fault():
    homes, nothing = piles(), profile().iloc[:0]
    parts, band = band_of(nothing, homes)
    assert parts.empty
    assert band.empty
    rows = compared_with_group(homes, nothing, outside_share(parts, band))
    assert rows["outside_share"].isna().all()
