"""The torque of the raw logs looks like ground: smooth along depth, alike between near piles."""

from __future__ import annotations

from itertools import combinations
from math import hypot

import numpy as np
import pytest

from tests.sample import raw

NEAR_M, FAR_M = 5.0, 60.0


@pytest.fixture(scope="module")
def profiles():
    """Torque against depth of every pile's first run with at least eight readings."""
    first = raw.readings().query("Run == '1'")
    by_pile = {
        pile: rows.set_index("depth_mm")["torque_nm"] for pile, rows in first.groupby("Pile")
    }
    return {pile: rows for pile, rows in by_pile.items() if len(rows) >= 8}


def correlation(one, other):
    """Correlation of two torque profiles over the depths that both reach, every 300 mm."""
    depths = np.arange(300, min(one.index.max(), other.index.max()) + 1, 300)
    at = [np.interp(depths, profile.index, profile.to_numpy()) for profile in (one, other)]
    return np.corrcoef(*at)[0, 1]


def pairs(names, low_m, high_m):
    """Pairs of piles of one structure whose distance lies between the two."""
    where = raw.places()
    return [
        (a, b)
        for a, b in combinations([name for name in names if name in where], 2)
        if a[0] == b[0]
        and low_m < hypot(where[a][0] - where[b][0], where[a][1] - where[b][1]) < high_m
    ]


def test_torque_of_successive_readings_is_alike(profiles):
    one_apart = [np.corrcoef(p.to_numpy()[:-1], p.to_numpy()[1:])[0, 1] for p in profiles.values()]
    assert len(one_apart) > 120
    assert np.median(one_apart) > 0.8


def test_torque_of_piles_closer_than_five_metres_is_alike(profiles):
    near = [correlation(profiles[a], profiles[b]) for a, b in pairs(profiles, 0, NEAR_M)]
    assert len(near) > 100
    assert np.median(near) > 0.5


def test_what_depth_alone_does_not_explain_is_alike_near_by_and_not_far_away(profiles):
    """The same after each structure's mean torque at each depth is taken out."""
    profiles = {name: p for name, p in profiles.items() if name[0] in "BPW"}
    departures = {}
    for letter in "BPW":
        own = {name: p for name, p in profiles.items() if name[0] == letter}
        depths = np.arange(300, 6001, 300)
        grid = {n: np.interp(depths, p.index, p, right=np.nan) for n, p in own.items()}
        mean = np.nanmean(np.array(list(grid.values())), axis=0)
        departures |= {name: torque - mean for name, torque in grid.items()}

    def alike(a, b):
        both = np.isfinite(departures[a]) & np.isfinite(departures[b])
        return np.corrcoef(departures[a][both], departures[b][both])[0, 1]

    near = np.median([alike(a, b) for a, b in pairs(profiles, 0, NEAR_M)])
    far = np.median([alike(a, b) for a, b in pairs(profiles, FAR_M, 1000)])
    assert near > 0.5
    assert far < 0.3


def test_the_dense_layer_lies_at_different_depths_across_the_site(profiles):
    tops = [float(p.index[p > 6000].min()) for p in profiles.values() if (p > 6000).any()]
    assert np.percentile(tops, 90) - np.percentile(tops, 10) > 1500


def test_soft_silt_lies_between_crust_and_dense_sand(profiles):
    softest = np.array([p.iloc[2:-2].min() for p in profiles.values()])
    crust = np.array([p.iloc[:4].max() for p in profiles.values()])
    ends = np.array([p.iloc[-1] for p in profiles.values()])
    assert (softest < crust).mean() > 0.95
    assert (softest < ends).mean() > 0.95
