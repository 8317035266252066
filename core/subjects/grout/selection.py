"""Which rows of grout belong together and in which order: places in arrays, no measures.

Moments are float64 microseconds, NaN where none is recorded.
"""

from __future__ import annotations

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from core import units
from core.formulas import geometry
from core.records.current_rows import Array, CurrentRows, common_codes, joined_codes

MM_OF_A_M = units.factor("m", "mm")
S_OF_A_US = 1e6
HOURS_OF_A_S = units.factor("second", "hour")


def microseconds(moments: Array) -> Array:
    """Days or moments as microseconds."""
    found: Array = moments.astype("datetime64[us]").astype(np.int64).astype(float)
    return np.where(np.isnat(moments), np.nan, found)


def hours(span_us: Array) -> Array:
    """Each span of time in hours."""
    found: Array = span_us / S_OF_A_US * HOURS_OF_A_S
    return found


def until(rows: CurrentRows, day: str, on: np.datetime64) -> CurrentRows:
    """The rows whose ``day`` is not after ``on``."""
    kept = rows.values(day) <= on
    return rows if kept.all() else rows.where(kept)


def placed_on(placements: CurrentRows) -> Array:
    """The day of each placement, that of its run where it has none of its own."""
    own, of_run = placements.values("placed_on"), placements.values("run_on")
    return np.where(np.isnat(own), of_run, own)


def placements_until(placements: CurrentRows, on: np.datetime64) -> CurrentRows:
    """Placements of a run on record that are not after ``on``."""
    return placements.where(placements.has("run_order") & (placed_on(placements) <= on))


def lifts_of(placements: CurrentRows, owner: Array) -> tuple[Array, Array]:
    """The lift of each placement, and of each lift its first placement, in the order of these.

    ``owner``: row of each placement's pile; a placement of no pile is of no lift.
    """
    key = joined_codes([owner, placements.codes("run_no"), placements.codes("lift_no")])
    known = np.flatnonzero(key >= 0)
    lift, first = np.full(len(key), -1), np.array([], dtype=np.int64)
    if len(known):
        codes, texts = pd.factorize(key[known])
        lift[known] = codes
        first = np.empty(len(texts), dtype=np.int64)
        first[codes[::-1]] = known[::-1]
    return lift, first


def work_order(run: Array, begun: Array, from_mm: Array, to_mm: Array) -> Array:
    """The order of lifts: by run, by start where every lift of the run has one, then by depths."""
    untimed = np.isin(run, run[np.isnan(begun)])
    found: Array = np.lexsort((to_mm, from_mm, np.where(untimed, 0.0, begun), run))
    return found


def rank_of(order: Array) -> Array:
    """The new place of each row that ``order`` puts in order."""
    found = np.empty(len(order), dtype=np.int64)
    found[order] = np.arange(len(order))
    return found


def pairs(own: Array, held: Array) -> tuple[Array, Array]:
    """Every row of ``own`` with each row of ``held`` of the same code, in the order of ``own``.

    Rows of ``held`` keep their order; a code below 0 has no partner.
    """
    order = np.argsort(held, kind="stable")
    begin, end = (np.searchsorted(held[order], own, side) for side in ("left", "right"))
    number = np.where(own >= 0, end - begin, 0)
    rows = np.repeat(np.arange(len(own)), number)
    within = np.arange(len(rows)) - np.repeat(np.cumsum(number) - number, number)
    return rows, order[begin[rows] + within]


def same_text(rows: CurrentRows, others: CurrentRows, name: str) -> tuple[Array, Array]:
    """The codes of a text column of two sets of rows, the same text under the same code."""
    (own, held), _ = common_codes((rows, name), (others, name))
    return own, held


def gaps(owner: Array, from_mm: Array, to_mm: Array, begins: Array, toe: Array) -> dict[str, Array]:
    """Stretches of toe depths without grout: ``owner``, ``above`` and ``below``, from the top down.

    One row of ``owner``, ``from_mm`` and ``to_mm`` is one placement that covers its depths; per
    owner grout has to go from ``begins`` to ``toe`` (NaN: unknown, so that it has no gap).
    ``above`` and ``below``: the placements next to the gap, -1 for none.
    """
    ends = np.flatnonzero(~np.isnan(toe))
    rows = np.concatenate([np.arange(len(owner)), np.full(len(ends), -1)])
    pile = np.concatenate([owner, ends])
    start, end = np.concatenate([from_mm, toe[ends]]), np.concatenate([to_mm, toe[ends]])
    order = np.lexsort((end, start, rows < 0, pile))  # the toe closes the list of its pile
    rows, pile, start, end = rows[order], pile[order], start[order], end[order]
    deepest = _deepest_before(pile, end)
    reach = np.append(end, np.nan)[deepest]
    top = np.fmax(reach, begins[pile])
    gap = np.minimum(start, toe[pile]) > top
    return {
        "owner": pile[gap],
        "above": np.append(rows, -1)[deepest][gap],
        "below": rows[gap],
    }


def _deepest_before(pile: Array, end: Array) -> Array:
    """Per row the place of the deepest earlier row of its pile, the last of equal ones; else -1."""
    rank = np.unique(end, return_inverse=True)[1]
    key = pile * (len(rank) + 1) + rank
    top = np.maximum.accumulate(key)
    deepest = np.maximum.accumulate(np.where(key == top, np.arange(len(key)), 0))
    found = np.full(len(pile), -1)
    found[1:] = np.where(pile[1:] == pile[:-1], deepest[:-1], -1)
    return found


def moments(microseconds: Array) -> Array:
    """Microseconds as moments, NaT where there is none."""
    known = ~np.isnan(microseconds)
    whole = np.where(known, microseconds, 0.0).astype(np.int64).astype("datetime64[us]")
    return np.where(known, whole, np.datetime64("NaT", "us"))


def rows_by_text(rows: CurrentRows, others: CurrentRows, name: str) -> Array:
    """Per row the place in ``others`` of the row with the same text, -1 for none.

    No two of ``others`` have the same.
    """
    places = np.full(len(others.distinct(name)) + 1, -1)
    codes = others.codes(name)
    places[codes[codes >= 0]] = np.flatnonzero(codes >= 0)
    number, used, texts = rows.dictionary(name)
    code = pc.index_in(pa.array(texts, pa.string()), value_set=others.distinct(name))
    own = np.full(number + 1, -1)
    own[used] = places[code.fill_null(-1).to_numpy()]
    found: Array = own[rows.codes(name)]
    return found


def hours_until_read(
    placed: tuple[Array, Array], readings: tuple[Array, Array], number: int
) -> Array:
    """Per owner the longest time from the latest end before a reading to that reading [h].

    ``placed``: owner and end of placements; ``readings``: owner and moment of readings.
    """
    (owner, end), (reader, read) = placed, readings
    first = np.full(number, np.inf)
    np.minimum.at(first, owner, end)
    later = read >= first[reader]
    reader, read = reader[later], read[later]
    pile, time = np.concatenate([owner, reader]), np.concatenate([end, read])
    is_end = np.arange(len(pile)) < len(owner)
    order = np.lexsort((~is_end, time, pile))
    last = np.maximum.accumulate(np.where(is_end[order], np.arange(len(order)), 0))
    found = np.full(number, np.nan)
    since = hours(time[order] - time[order][last])[~is_end[order]]
    np.fmax.at(found, pile[order][~is_end[order]], since)
    return found


def neighbours(easting_m: Array, northing_m: Array, reach_mm: Array) -> tuple[Array, Array]:
    """Every pile with each other pile within its ``reach_mm`` in plan, as places of both.

    Found on a grid whose cell is the maximum reach, so that only the piles of nine cells are
    compared with each other.
    """
    known = np.flatnonzero(~np.isnan(easting_m) & ~np.isnan(northing_m))
    cell_m = np.fmax.reduce(reach_mm[known], initial=0.0) / MM_OF_A_M
    if not cell_m > 0:
        return np.array([], dtype=np.int64), np.array([], dtype=np.int64)
    east = np.floor(easting_m[known] / cell_m).astype(np.int64)
    north = np.floor(northing_m[known] / cell_m).astype(np.int64)
    width = int(np.ptp(north)) + 3
    cell = (east - east.min() + 1) * width + north - north.min() + 1
    asking = np.flatnonzero(~np.isnan(reach_mm[known]))
    around = np.array([a * width + b for a in (-1, 0, 1) for b in (-1, 0, 1)])
    row, at = pairs((cell[asking][:, None] + around).ravel(), cell)
    one, other = known[asking[row // len(around)]], known[at]
    apart = geometry.plan_offset(
        (easting_m[one] - easting_m[other]) * MM_OF_A_M,
        (northing_m[one] - northing_m[other]) * MM_OF_A_M,
    )
    close = (apart <= reach_mm[one]) & (one != other)
    return one[close], other[close]


def row_of_first_minimum(owner: Array, values: Array, number: int) -> Array:
    """Per owner the place of the minimum of ``values``, the first of equal ones; -1 for none."""
    order = np.lexsort((values, owner))
    begins = np.flatnonzero(np.diff(owner[order], prepend=-1))
    found = np.full(number, -1)
    found[owner[order][begins]] = order[begins]
    return found
