"""The tables of torque, tied together from the rows of the ledger and the columns of the piles."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cached_property

import numpy as np
import pyarrow as pa

from core.records.current_rows import Array, CurrentRows
from core.selection.matching import row_of
from core.subjects.tables import Members
from core.subjects.torque import events, standing
from core.subjects.torque.curves import curves_of
from core.subjects.torque.instruments import ReadInstrument, named_by
from core.subjects.torque.measures import Pile, Stretch
from core.subjects.torque.readings import Point, Reading, Run
from core.subjects.torque.selection import readings_until, runs_until
from core.subjects.torque.uncertainty import Instrument, Known, PileUncertainty


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
    def known(self) -> Known:
        """How well the torque of each reading is known."""
        log, instruments = self.log, self.instruments
        known = Known(log.rows, traced=log.traced)
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
    reach = standing.reach(log)
    pile.disturbed = standing.disturbed_toes(log, reach)
    pile.stops, pile.toes = standing.long_stops(log, reach), standing.toe_pairs(log)
    log.standing = standing.standing(log, reach, pile.stops, pile.toes)
    pile.window = pile.every.where(log.standing.in_window)
    pile.stretches = _stretches(pile, traced)
    return Torque(pile, Instrument(inputs.instruments, traced=traced))


def _stretches(pile: Pile, traced: bool) -> Members[Stretch]:
    """Between the readings of each pile with a toe, from the ground down to the toe.

    A reading deeper than the toe by no more than a tolerance is one at the toe.
    """
    log, toe = pile.log, pile.toe_mm.values
    depth = log.depth_mm.values
    rows = np.flatnonzero(log.standing.read & (log.pile >= 0))
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
