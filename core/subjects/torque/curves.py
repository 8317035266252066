"""Which certificate, curve and points of it a reading has: places in tables, no numbers made.

A record without a kind of pressure was stored before anybody asked; it counts as differential.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
import pandas as pd

from core.records.current_rows import Array, CurrentRows, common_codes, joined_codes
from core.records.matching import last_of_each, plain_ranks, row_by_code, rows_by_code

CURVE = ("instrument_id", "certificate", "gear")
NONE, IN, ABOVE, BELOW = range(4)  # place of a reading on its curve
PLACES = ("none", "in", "above", "below")
KINDS_DIFFER = "reading and calibration curve are of different pressure kind"
OTHER_KIND = "a reading and the calibration points of {instrument} are of different kinds"
NO_POINTS = "no calibration points are recorded for {gear}{instrument}, certificate {certificate}"
NO_CERTIFICATE = "no calibration certificate is recorded for {instrument}"
NO_INSTRUMENT = "no instrument is recorded for a reading"
EMPTY = "a reading gives neither pressure nor torque"


def without_kind(rows: CurrentRows, prefix: str = "") -> Array:
    """Where a pressure is recorded whose kind is not recorded."""
    kind = f"{prefix}pressure_kind"
    found: Array = rows.has(f"{prefix}pressure_kpa") & ~(rows.has(kind) & ~rows.is_text(kind, ""))
    return found


def is_line(rows: CurrentRows, prefix: str = "") -> Array:
    """Where a pressure is recorded as that of one line."""
    return rows.is_text(f"{prefix}pressure_kind", "line")


@dataclass(frozen=True, eq=False)
class Curves:
    """The curve of each reading.

    Readings of one instrument, gear and day share a *line*: ``line`` gives that of each reading;
    ``instrument``, ``gear``, ``certificate`` are codes by line, -1 without one, and ``in_force``
    says whether the certificate is. ``curve`` is the place in ``points`` by line, -1 without
    points; ``points`` has per curve its rows of calibration points by torque.
    """

    line: Array
    instrument: Array
    gear: Array
    certificate: Array
    in_force: Array
    curve: Array
    points: list[Array]
    texts: dict[str, list[str]]

    @cached_property
    def of_reading(self) -> Array:
        """The curve of each reading, -1 without one."""
        found: Array = self.curve[self.line] if len(self.curve) else self.line
        return found

    def each(self) -> Iterator[tuple[Array | slice, Array]]:
        """The readings of every curve that has some, with the curve's points."""
        of_reading = self.of_reading
        used = np.unique(self.curve[self.curve >= 0])
        if len(used) == 1 and (of_reading == used[0]).all():
            yield slice(None), self.points[used[0]]
            return
        order = np.argsort(of_reading, kind="stable")
        begins, ends = (np.searchsorted(of_reading[order], used, side) for side in _SIDES)
        for curve, begin, end in zip(used, begins, ends, strict=True):
            if end > begin:
                yield order[begin:end], self.points[curve]


_SIDES: tuple[Literal["left"], Literal["right"]] = ("left", "right")


def curves_of(readings: CurrentRows, certificates: CurrentRows, points: CurrentRows) -> Curves:
    """The certificate of the day and the curve of every reading."""
    codes, texts = {}, {}
    for name, rows in (
        ("instrument_id", (readings, certificates, points)),
        ("certificate", (certificates, points)),
        ("gear", (readings, points)),
    ):
        codes[name], texts[name] = common_codes(*((one, name) for one in rows))
    instrument, gear = codes["instrument_id"][0], codes["gear"][0]
    day, _ = pd.factorize(readings.values("read_on").astype(np.int64))
    key = joined_codes([instrument + 1, gear + 1, day])
    line, _ = pd.factorize(key)
    first = row_by_code(np.arange(line.max(initial=-1) + 1), line)
    instrument, gear = instrument[first], gear[first]
    read_on = readings.values("read_on")[first]
    chosen, in_force = certificate_of_day(instrument, read_on, certificates,
                                          codes["instrument_id"][1])  # fmt: skip
    certificate = np.append(codes["certificate"][0], -1)[chosen]
    curve, groups = _curves((instrument, certificate, gear), points, codes)
    return Curves(line, instrument, gear, certificate, in_force, curve, groups, texts)


def certificate_of_day(
    instrument: Array, day: Array, certificates: CurrentRows, theirs: Array
) -> tuple[Array, Array]:
    """Per instrument and day the certificate used, -1 for none, and whether it is in force then.

    In force: the latest issued of those whose days hold the day. Otherwise the latest issued
    before the day, else the earliest of all, so that torque can still be shown. ``theirs``: code
    of the instrument of each certificate.
    """
    at, of = rows_by_code(instrument, theirs)
    known = (of >= 0) & ~np.isnat(day[at])
    at, of = at[known], of[known]
    on = day[at]
    issued, begins, ends = (
        certificates.values(name)[of] for name in ("issued_on", "valid_from_on", "valid_to_on")
    )
    in_force, before = (begins <= on) & (on <= ends), issued <= on
    age = np.abs(on - issued).astype(np.int64)
    rank = plain_ranks(certificates, "certificate")[of]
    best = last_of_each(at, in_force, before, -age, -rank)
    chosen, covered = np.full(len(day), -1), np.zeros(len(day), dtype=bool)
    chosen[at[best]], covered[at[best]] = of[best], in_force[best]
    return chosen, covered


def _curves(
    lines: tuple[Array, ...], points: CurrentRows, codes: dict[str, list[Array]]
) -> tuple[Array, list[Array]]:
    """Per line the place of its curve, -1 for none; and per curve its points by torque."""
    own = [codes[name][-1] for name in CURVE]
    both = joined_codes([np.concatenate(pair) for pair in zip(lines, own, strict=True)])
    line, point = both[: len(lines[0])], both[len(lines[0]) :]
    order = np.lexsort((points.values("point_torque_nm"), point))
    order = order[point[order] >= 0]
    keys, starts = np.unique(point[order], return_index=True)
    groups = np.split(order, starts[1:]) if len(keys) else []
    place = np.searchsorted(keys, line)
    known = place < len(keys)
    known[known] = keys[place[known]] == line[known]
    return np.where(known, place, -1), groups


@dataclass(frozen=True, eq=False)
class Placed:
    """Where readings lie on their curves.

    ``place``: NONE, IN, ABOVE or BELOW its points; ``by_pressure``: whether pressure is what goes
    into the curve, and not torque as the instrument shows it. ``lower`` and ``upper``: points
    about a reading, at the last point it and the one before; ``first`` and ``last``: those that
    end the curve; ``piece_begins`` and ``piece_ends``: those of the piece that ends at the reading
    or holds it; -1 for none.
    """

    place: Array
    by_pressure: Array
    kinds_differ: Array
    lower: Array
    upper: Array
    first: Array
    last: Array
    piece_begins: Array
    piece_ends: Array

    @classmethod
    def nowhere(cls, length: int) -> Placed:
        """No reading has a curve."""
        flags = [np.zeros(length, dtype=bool) for _ in range(2)]
        points = [np.full(length, -1, dtype=np.int32) for _ in range(6)]
        return cls(np.full(length, NONE, dtype=np.int8), *flags, *points)


def placed(
    curves: Curves,
    by_line: Array,
    pressed: Array,
    pressure: Array,
    shown: Array,
    points_kpa: tuple[Array, Array],
    points_nm: Array,
) -> Placed:
    """The place of every reading on its curve.

    ``pressure`` as it goes into the curve, ``shown``: torque as the instrument shows it, both NaN
    where there is none; ``pressed``: whether a pressure is recorded. ``points_kpa``: pressure of
    every point as differential and as recorded, the latter for readings ``by_line``.
    """
    found = Placed.nowhere(len(pressure))
    for rows, at in curves.each():
        for kind, kpa in enumerate(points_kpa):
            mine = by_line[rows] == bool(kind)
            if not mine.any():
                continue
            own: Array | slice = rows
            if not mine.all():
                own = np.flatnonzero(mine) if isinstance(rows, slice) else rows[mine]
            recorded = ~np.isnan(points_kpa[1][at]).any()
            _place(found, own, at, kpa[at], points_nm[at], pressure[own], shown[own])
            bare = np.isnan(pressure[own]) | np.isnan(kpa[at]).any()
            found.kinds_differ[own] = np.isnan(shown[own]) & pressed[own] & bare & recorded
    return found


def _place(
    found: Placed,
    rows: Array | slice,
    at: Array,
    kpa: Array,
    nm: Array,
    pressure: Array,
    shown: Array,
) -> None:
    """Fills ``found`` for ``rows``, which go through the curve of the points ``at``."""
    whole = not np.isnan(kpa).any()
    by_pressure = np.isnan(shown) & whole
    measured = np.where(by_pressure, pressure, shown)
    low, high = np.where(by_pressure, kpa[0], nm[0]), np.where(by_pressure, kpa[-1], nm[-1])
    inside, above, below = (measured >= low) & (measured <= high), measured > high, measured < low
    place = np.zeros(len(measured), dtype=np.int8)
    place[inside], place[above], place[below] = IN, ABOVE, BELOW
    found.place[rows], found.by_pressure[rows] = place, by_pressure
    found.first[rows], found.last[rows] = at[0], at[-1]
    if not whole or not by_pressure.any():
        return
    end = len(at) - 1
    step = np.minimum(np.searchsorted(kpa, pressure, side="right"), len(at))
    lower = np.clip(step - 1, 0, end)
    upper = np.where(lower < end, lower + 1, max(end - 1, 0))  # at the last point: the one before
    found.lower[rows], found.upper[rows] = at[lower], at[upper]
    if end:
        piece = np.clip(np.searchsorted(kpa, pressure), 1, end)
        found.piece_begins[rows], found.piece_ends[rows] = at[piece - 1], at[piece]


def worked_out(curves: Curves, both: Array, points_kpa: Array) -> Array:
    """Where a torque is recorded beside a pressure that has a curve: it was worked out from it.

    The pressure is what the instrument showed, so its curve gives the torque. ``both``: whether a
    reading has both; ``points_kpa``: recorded pressure of every point.
    """
    if not both.any():
        return both
    by_pressure = np.array([(~np.isnan(points_kpa[at])).any() for at in curves.points] + [False])
    found: Array = both & by_pressure[curves.of_reading]
    return found


def no_place_because(curves: Curves, bare: Array, empty: Array, differ: Array) -> tuple[
    Array, list[str]
]:  # fmt: skip
    """Per reading a code of why it has no place on a curve, -1 where it has one; and the words."""
    codes = np.full(len(bare), -1)
    at = np.flatnonzero(bare)
    if not len(at):
        return codes, []
    case = np.where(empty[at], 2, np.where(differ[at], 1, 0))
    kinds, own = np.unique(curves.line[at] * 3 + case, return_inverse=True)
    texts: dict[str, int] = {}
    of_kind = [
        texts.setdefault(_why(curves, kind // 3, kind % 3), len(texts)) for kind in kinds.tolist()
    ]
    codes[at] = np.array(of_kind)[own]
    return codes, list(texts)


def _why(curves: Curves, line: int, case: int) -> str:
    words = {name: curves.texts[name] for name in CURVE}
    instrument = [*words["instrument_id"], ""][curves.instrument[line]]
    gear, certificate = [*words["gear"], ""][curves.gear[line]], curves.certificate[line]
    if case == 2:
        return EMPTY
    if not instrument:
        return NO_INSTRUMENT
    if certificate < 0:
        return NO_CERTIFICATE.format(instrument=instrument)
    if curves.curve[line] < 0:
        return NO_POINTS.format(
            gear=f"gear {gear} of " if gear else "",
            instrument=instrument,
            certificate=words["certificate"][certificate],
        )
    return KINDS_DIFFER if case == 1 else OTHER_KIND.format(instrument=instrument)
