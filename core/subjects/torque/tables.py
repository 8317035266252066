"""The tables of torque: readings, runs, piles, certificates and instruments."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

import numpy as np
import pyarrow as pa

from core.records.current_rows import Array, CurrentRows, joined_codes
from core.records.matching import last_of_each, row_of
from core.subjects.tables import Links, Members, Table, column, evidence
from core.subjects.torque import events, selection
from core.subjects.torque.curves import curves_of, without_kind
from core.subjects.torque.measures import Pile, Stretch
from core.subjects.torque.readings import Point, Reading, Run
from core.subjects.torque.selection import readings_until, runs_until
from core.subjects.torque.uncertainty import Instrument, PileUncertainty, ReadingUncertainty


def named_by(readings: CurrentRows, points: CurrentRows) -> CurrentRows:
    """One row per instrument that readings or points of certificates name, by number."""
    names = sorted({*readings.used("instrument_id"), *points.used("instrument_id")})
    return CurrentRows.of_table(pa.table({"instrument_id": pa.array(names, pa.string())}))


class ReadInstrument(Table):
    """One instrument; a reading for which none is recorded has an instrument without a number."""

    subject = "torque"
    readings: Members[Reading]
    points: Members[Point]

    @column("number", "readings that it gave")
    def taken(self) -> Array:
        """How many there are."""
        return self.readings.number

    @column(
        "number",
        "readings that it gave while no certificate of it was in force",
        evidence=lambda table: table.readings.where(~table.readings.below.in_force).links(),
    )
    def readings_out_of_force(self) -> Array:
        """How many there are."""
        return self.readings.count(~self.readings.below.in_force)

    @column("number", "readings by pressure whose kind is not recorded")
    def readings_without_kind(self) -> Array:
        """How many there are."""
        return self.readings.count(self.readings.below.without_kind)

    @column("number", "calibration points by pressure whose kind is not recorded")
    def points_without_kind(self) -> Array:
        """How many there are."""
        return self.points.count(without_kind(self.points.below.rows, "point_"))

    @evidence("pressures whose kind is not recorded")
    def pressure_kind(self) -> list[Links]:
        """The first row of each sheet, of logs, headers and certificates."""
        log, points = self.readings.below, self.points.below
        place = np.argsort(log.by_number)
        readings = self.readings.where(log.without_kind)
        bare = self.points.where(without_kind(points.rows, "point_"))
        return [
            *_first_of_sheets(readings, place, log.of_header),
            *_first_of_sheets(bare, np.arange(len(points)), np.zeros(len(points), dtype=bool)),
        ]


def _first_of_sheets(members: Members[Any], place: Array, of_header: Array) -> list[Links]:
    """The first row by ``place`` of each owner, entry, sheet and kind of row."""
    at, rows = members.rows, members.below.rows
    parts = rows.values("entry_no")[at], rows.codes("sheet")[at] + 1, of_header[at]
    group = joined_codes([members.owner, *(part.astype(np.int64) for part in parts)])
    first = np.zeros(len(rows), dtype=bool)
    first[at[last_of_each(group, -place[at])]] = True
    return members.where(first).links()


@dataclass(frozen=True, eq=False)
class Inputs:
    """What torque is worked out from.

    ``readings`` and ``runs`` in the order of the work, as of the selections ``readings_of_runs``
    and ``ordered_runs``; ``instruments``: one row per instrument of which it is known how well it
    measures; ``piles``: what measures take from the piles; ``on``: the day of assessment;
    ``time_zone``: of the site.
    """

    readings: CurrentRows
    runs: CurrentRows
    certificates: CurrentRows
    points: CurrentRows
    instruments: CurrentRows
    piles: CurrentRows
    on: date
    time_zone: str


@dataclass(frozen=True, eq=False)
class Torque:
    """``pile``, one row per row of the piles given, and the tables about it."""

    pile: Pile
    instruments: Instrument

    @property
    def log(self) -> Reading:
        """The readings."""
        return self.pile.log

    @property
    def runs(self) -> CurrentRows:
        """Runs up to the day of assessment."""
        return self.log.runs.rows

    @cached_property
    def known(self) -> ReadingUncertainty:
        """How well the torque of each reading is known."""
        log, instruments = self.log, self.instruments
        known = ReadingUncertainty(log.rows, traced=log.traced)
        known.log, known.instruments = log, instruments
        known.at = row_of(log.rows, instruments.rows, "instrument_id")
        return known

    @cached_property
    def uncertainty(self) -> PileUncertainty:
        """How well what the piles give is known."""
        found = PileUncertainty(self.pile.rows, traced=self.pile.traced)
        found.pile, found.known = self.pile, self.known
        return found

    @cached_property
    def read_instruments(self) -> ReadInstrument:
        """The instruments that readings and certificates name."""
        log, points = self.log, self.log.points
        found = ReadInstrument(named_by(log.rows, points.rows))
        found.readings = Members(log, found, row_of(log.rows, found.rows, "instrument_id"))
        found.points = Members(points, found, row_of(points.rows, found.rows, "instrument_id"))
        return found

    @cached_property
    def has_readings(self) -> Array:
        """Whether each run has a reading, of its log or of its header."""
        found = np.zeros(len(self.runs), dtype=bool)
        found[self.log.run] = True
        return found

    @cached_property
    def recorded_texts(self) -> CurrentRows:
        """Events beside readings, and remarks of runs, as they were written."""
        return events.recorded_texts(self.log.rows, self.runs)


def tables(inputs: Inputs, traced: bool = False) -> Torque:
    """Torque of the piles of ``inputs``."""
    run_rows = runs_until(inputs.runs, inputs.on, inputs.time_zone)
    rows = readings_until(inputs.readings, run_rows, inputs.on, inputs.time_zone)
    pile, points = Pile(inputs.piles, traced=traced), Point(inputs.points, traced=traced)
    runs, log = Run(run_rows, traced=traced), Reading(rows, traced=traced)
    runs.pile = row_of(run_rows, inputs.piles, "pile_id")
    log.piles, log.pile = pile, row_of(rows, inputs.piles, "pile_id")
    log.runs = runs
    log.run = np.searchsorted(run_rows.values("run_order"), rows.values("run_order"))
    log.points, log.curves = points, curves_of(rows, inputs.certificates, inputs.points)
    pile.log, pile.runs = log, Members(runs, pile, runs.pile)
    pile.every = Members(log, pile, log.pile)
    pile.noted = pile.every.where(rows.has("event") & ~log.of_header)
    reach = selection.reach(log)
    pile.disturbed = selection.disturbed_toes(log, reach)
    pile.stops, pile.toes = selection.long_stops(log, reach), selection.toe_pairs(log)
    log.status = selection.reading_status(log, reach, pile.stops, pile.toes)
    pile.window = pile.every.where(log.status.in_window)
    pile.stretches = _stretches(pile, traced)
    return Torque(pile, Instrument(inputs.instruments, traced=traced))


def _stretches(pile: Pile, traced: bool) -> Members[Stretch]:
    """Between the readings of each pile with a toe, from the ground down to the toe.

    A reading deeper than the toe by no more than a tolerance is one at the toe.
    """
    log, toe = pile.log, pile.toe_mm.values
    depth = log.depth_mm.values
    rows = np.flatnonzero(log.status.read & (log.pile >= 0))
    rows = rows[depth[rows] <= toe[log.pile[rows]]]
    with_toe = np.flatnonzero(~np.isnan(toe))
    of = np.concatenate([log.pile[rows], with_toe])
    to = np.concatenate([depth[rows], toe[with_toe]])
    ends = np.concatenate([rows, np.full(len(with_toe), -1)])
    order = np.lexsort((to, of))
    of, to, ends = of[order], to[order], ends[order]
    first = np.diff(of, prepend=-1) != 0
    made = CurrentRows.of_table(pa.table({"to_mm": to}))
    found = Stretch(made, traced=traced)
    found.log, found.piles, found.pile = log, pile, of
    found.begins, found.ends = np.where(first, -1, np.roll(ends, 1)), ends
    window, tolerance = pile.window_mm.values, pile.interval_tolerance_mm.values
    found.inside = to > (toe - np.nan_to_num(window) + np.nan_to_num(tolerance))[of]
    return Members(found, pile, of)
