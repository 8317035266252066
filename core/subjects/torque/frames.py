"""Frames of readings: the profile of a pile beside those of its group."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from core import units
from core.formulas import piles as lengths
from core.records.current_rows import PLACE
from core.selection import OF_READING, OF_RUN
from core.subjects.columns import take
from core.subjects.frames import MIN_GROUP_PILES, frame_of
from core.subjects.tables import Texts
from core.subjects.torque.curves import PLACES
from core.subjects.torque.readings import DIFFERENTIAL, LINE
from core.subjects.torque.selection import NOT_COUNTED
from core.subjects.torque.tables import Torque

OF_PILE = ("toe_mm", "predrilled_length_mm")  # a reading's run has its own; the pile's holds


def profile(torque: Torque) -> pd.DataFrame:
    """One row per reading with all that is worked out of it, by number of the pile and depth."""
    log, rows = torque.log, torque.log.rows
    names = [name for name in (*OF_READING, *OF_RUN) if name not in OF_PILE]
    columns = {**_curve(torque), **_standing(torque)}
    order = log.by_number
    read = rows.only([*names, *PLACE, "read_on", "of_header"]).take(order).frame()
    read["torque_read_nm"] = log.shown_nm.values[order]
    made = frame_of({name: one.take(order) for name, one in columns.items()})
    return pd.concat([read, made], axis=1)


def _curve(torque: Torque) -> dict[str, Any]:
    """Certificate, curve and what they give."""
    log = torque.log
    curves, placed = log.curves, log.placed
    with_curve = curves.of_reading >= 0
    kinds = Texts(np.where(with_curve, np.where(log.by_line, 2, 1), 0), ("", DIFFERENTIAL, LINE))
    words = Texts(np.where(log.events.codes < 0, len(log.events.words), log.events.codes),
                  [*log.events.words, ""])  # fmt: skip
    return {
        "event_words": words,
        "certificate": Texts(curves.certificate[curves.line], curves.texts["certificate"]),
        "in_force": log.in_force,
        "torque_nm": log.torque_nm.values,
        "torque_lower_bound_nm": log.torque_lower_bound_nm.values,
        "ceiling_torque_nm": log.ceiling_torque_nm.values,
        "range": Texts(placed.place, PLACES),
        "curve_pressure_kpa": np.where(with_curve, log.curve_pressure_kpa.values, np.nan),
        "curve_pressure_kind": kinds,
        "kinds_differ": placed.kinds_differ,
        "no_torque_because": log.no_torque_because,
        "torque_uncertainty_nm": torque.known.torque_uncertainty_nm.values,
    }


def _standing(torque: Torque) -> dict[str, Any]:
    """What the pile gives, and whether each reading stands and counts."""
    log, pile = torque.log, torque.pile
    found = log.status
    return {
        **{name: take(log, getattr(pile, name), log.pile).values for name in OF_PILE},
        "superseded": found.superseded,
        "current": found.current,
        "counts": found.counts,
        "not_counted_because": Texts(found.why_not, NOT_COUNTED),
        "inside": found.inside,
        "in_window": found.in_window,
    }


EDGES = {"low_torque_nm": 0.1, "median_torque_nm": 0.5, "high_torque_nm": 0.9}
STRETCH = {"depth_mm": 500.0, "level_m": 0.5}  # long enough for a reading of a 1 ft log in each


def level_at(depth_mm: pd.Series, piles: pd.DataFrame) -> pd.Series:
    """Level of a depth along each pile's axis; NaN without the ground's level or the batter.

    ``piles`` stand row by row beside ``depth_mm``.
    """
    ground = piles["run_ground_level_m"].fillna(piles["ground_level_m"])
    upright = piles["batter_deg"].isna() & piles["element"].ne("helical anchor")
    down = lengths.vertical_length(depth_mm, piles["batter_deg"].mask(upright, 0.0))
    level: pd.Series = ground - down * units.factor("mm", "m")
    return level


def current_readings(profile: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """Standing readings with group, level_m and bound_torque_nm, in the order pile, depth.

    ``bound_torque_nm`` is the torque that a reading outside the range lies above or below.
    """
    frame = profile[profile["current"]].sort_values(["pile_id", "depth_mm"], kind="stable")
    frame = frame.reset_index(drop=True)
    names = ["group", "run_ground_level_m", "ground_level_m", "batter_deg", "element"]
    homes = piles.dropna(subset=["pile_id"]).set_index("pile_id")[names]
    place = homes.index.get_indexer(pd.Index(frame["pile_id"]))
    own = homes.iloc[place].reset_index(drop=True).where(pd.Series(place >= 0))
    ceiling = frame.get("ceiling_torque_nm", pd.Series(np.nan, index=frame.index))
    return frame.assign(
        group=own["group"],
        level_m=level_at(frame["depth_mm"].astype(float), own),
        bound_torque_nm=frame["torque_lower_bound_nm"].where(frame["range"].eq("above"), ceiling),
    )


def stretches(readings: pd.DataFrame, along: str) -> pd.DataFrame:
    """One row per pile and stretch of ``along`` (depth_mm or level_m) with readings that count.

    A stretch is as long as the readings of the group usually lie apart, and no shorter than
    STRETCH. torque_nm is the mean of the pile's readings in the stretch, so that each pile weighs
    the same however often it was read; -inf with a reading below the calibrated range, inf with
    one above.
    """
    known = readings["counts"] & readings["range"].ne("none") & readings[along].notna()
    frame = readings[known & readings["group"].notna()]
    place = frame[along].to_numpy(dtype=float)
    beyond = [frame["range"].eq("below"), frame["range"].eq("above")]
    torque = np.select(beyond, [-np.inf, np.inf], frame["torque_nm"].to_numpy(dtype=float))
    number = np.ceil(place / _stretch_of(frame, along)).astype(np.int64)
    codes, names = pd.factorize(frame["pile_id"])
    span = int(np.ptp(number)) + 1 if len(number) else 1
    rows, first = pd.factorize(codes * span + number)  # one key per pile and stretch
    count = np.bincount(rows, minlength=len(first))
    with np.errstate(invalid="ignore"):
        mean = np.bincount(rows, torque, len(first)) / count
    start = np.flatnonzero(~pd.Series(rows).duplicated())
    return pd.DataFrame(
        {
            "group": frame["group"].to_numpy()[start],
            "pile_id": names.take(codes[start]),
            "stretch": number[start],
            along: np.bincount(rows, place, len(first)) / count,
            "torque_nm": mean,
        }
    ).dropna(subset=["torque_nm"])


def _stretch_of(readings: pd.DataFrame, along: str) -> np.ndarray:
    apart = readings.groupby("pile_id", sort=False)[along].diff().abs().astype(float)
    usual = apart.groupby(readings["group"]).transform("median")
    length: np.ndarray = np.fmax(usual.to_numpy(dtype=float), STRETCH[along])
    return length


def bands(parts: pd.DataFrame, along: str) -> pd.DataFrame:
    """One row per group and stretch that enough piles reach: piles, low, median, high torque.

    Shares of ten, fifty and ninety in a hundred, linear between the ordered values of the piles;
    NaN where one lies outside the calibrated range.
    """
    frame = parts.sort_values(["group", "stretch", "torque_nm"]).reset_index(drop=True)
    by = frame.groupby(["group", "stretch"], sort=True)
    found = by.agg(piles=("pile_id", "size"), **{along: (along, "mean")}).reset_index()
    torque = frame["torque_nm"].to_numpy()
    first = found["piles"].cumsum().to_numpy() - found["piles"].to_numpy()
    for name, share in EDGES.items():
        found[name] = _at_share(torque, first, found["piles"].to_numpy(), share)
    return found[found["piles"] >= MIN_GROUP_PILES].reset_index(drop=True)


def _at_share(
    ordered: np.ndarray, first: np.ndarray, number: np.ndarray, share: float
) -> np.ndarray:
    place = share * (number - 1)
    low = np.floor(place).astype(int)
    below, above = ordered[first + low], ordered[first + np.ceil(place).astype(int)]
    with np.errstate(invalid="ignore"):
        value = below + (above - below) * (place - low)
    value = np.where(below == above, below, value)
    return np.where(np.isfinite(value), value, np.nan)


def outside_share(parts: pd.DataFrame, band: pd.DataFrame) -> pd.Series:
    """Per pile: the share of its stretches, of those where the band is known, outside it."""
    edges = ["group", "stretch", "low_torque_nm", "high_torque_nm"]
    frame = parts.merge(band[edges].dropna(), on=["group", "stretch"])
    torque = frame["torque_nm"]
    outside = (torque < frame["low_torque_nm"]) | (torque > frame["high_torque_nm"])
    share: pd.Series = outside.groupby(frame["pile_id"]).mean()
    return share


def compared_with_group(
    piles: pd.DataFrame, readings: pd.DataFrame, share: pd.Series
) -> pd.DataFrame:
    """``piles`` with what sets each beside its requirement, its rating and its group.

    torque_ratio and torque_margin_nm: final torque over and less required torque, readings above
    the range as its last point; rated_share: maximum torque over rated; max_depth_mm: where
    it was read; rated_by: the part with the minimum rating; from_median_nm: final torque less the
    group's median; outside_share; first_disc_level_m.
    """
    final, required = piles["final_torque_lower_bound_nm"], piles["required_torque_nm"]
    by_group = final.groupby(piles["group"])
    middle = by_group.transform("median").where(by_group.transform("count") >= MIN_GROUP_PILES)
    known = readings.dropna(subset=["torque_nm"])
    top = known.loc[known.groupby("pile_id")["torque_nm"].idxmax()].set_index("pile_id")
    section, schedule = piles["section_rated_torque_nm"], piles["schedule_rated_torque_nm"]
    weakest = ("shaft " + piles["section"].astype("str")).where(section.notna(), "")
    weakest = weakest.mask(schedule.notna() & ~(section <= schedule), "the schedule's rating")
    component = piles["component_rated_torque_nm"]
    minimum = piles[["section_rated_torque_nm", "schedule_rated_torque_nm"]].min(axis=1)
    lowest = component.notna() & ~(minimum <= component)
    weakest = weakest.mask(lowest, "component " + piles["component_rated_stamp"].astype("str"))
    return piles.assign(
        torque_ratio=final / required,
        torque_margin_nm=final - required,
        rated_share=piles["max_torque_nm"] / piles["rated_torque_nm"],
        max_depth_mm=piles["pile_id"].map(top["depth_mm"].astype(float)).astype(float),
        rated_by=weakest,
        from_median_nm=final - middle,
        outside_share=piles["pile_id"].map(share).astype(float),
        first_disc_level_m=level_at(piles["first_disc_depth_mm"].astype(float), piles),
    )
