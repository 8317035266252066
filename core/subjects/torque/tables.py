"""The tables of torque, tied together from the rows of the ledger and the columns of the piles."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import pyarrow as pa

from core.records.current_rows import Array, CurrentRows
from core.subjects.columns import Column
from core.subjects.tables import Members
from core.subjects.torque import events, standing
from core.subjects.torque.curves import curves_of
from core.subjects.torque.instruments import ReadInstrument, named_by
from core.subjects.torque.measures import Pile, Stretch
from core.subjects.torque.readings import Point, Reading, Run
from core.subjects.torque.rows import Inputs, owners, readings_until, runs_until
from core.subjects.torque.standing import Logged
from core.subjects.torque.uncertainty import Instrument, Known, PileUncertainty

# What measures of torque take from the piles.
PILE_COLUMNS = (
    "pile_id", "helix_set", "window_mm", "interval_tolerance_mm", "window_rule", "toe_reading_mm",
    "interval_mm", "gap_tolerance_mm", "pitch_mm", "stop_h", "stop_multiple", "disturbed_multiple",
    "event_multiple", "largest_helix_mm",
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class Torque:
    """``pile``, one row per row of the piles given, and the tables about it.

    ``runs`` up to the day of assessment; ``known``: how well each reading is known.
    """

    pile: Pile
    runs: CurrentRows
    logged: Logged
    points: Point
    instruments: Instrument

    @property
    def log(self) -> Reading:
        """The readings."""
        return self.pile.log

    @cached_property
    def known(self) -> Known:
        """How well the torque of each reading is known."""
        log, instruments = self.log, self.instruments
        known = Known(log.rows, traced=log.traced)
        known.log, known.instruments = log, instruments
        known.at = owners(log.rows, "instrument_id", instruments.rows)
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
        log, points = self.log, self.points
        found = ReadInstrument(named_by(log.rows, points.rows))
        found.readings = Members(log, found, owners(log.rows, "instrument_id", found.rows))
        found.points = Members(points, found, owners(points.rows, "instrument_id", found.rows))
        return found

    @cached_property
    def has_readings(self) -> Array:
        """Whether each run has a reading, of its log or of its header."""
        found = np.zeros(len(self.runs), dtype=bool)
        found[self.logged.run] = True
        return found

    @cached_property
    def recorded_texts(self) -> CurrentRows:
        """Events beside readings, and remarks of runs, as they were written."""
        return events.recorded_texts(self.log.rows, self.runs)

    def columns(self) -> Iterator[tuple[str, Any]]:
        """Every declared column of the piles but those that were given."""
        for table in (self.pile, self.uncertainty):
            for name, values in table.columns():
                if name not in PILE_COLUMNS:
                    yield name, values.values if isinstance(values, Column) else values


def tables(inputs: Inputs, traced: bool = False) -> Torque:
    """Torque of the piles of ``inputs``."""
    runs = runs_until(inputs.runs, inputs.on, inputs.time_zone)
    rows = readings_until(inputs.readings, runs, inputs.on, inputs.time_zone)
    pile, points = Pile(inputs.piles, traced=traced), Point(inputs.points, traced=traced)
    of_run, log = Run(runs, traced=traced), Reading(rows, traced=traced)
    log.points, log.piles = points, pile
    log.curves = curves_of(rows, inputs.certificates, inputs.points)
    log.pile = owners(rows, "pile_id", inputs.piles)
    run_pile = owners(runs, "pile_id", inputs.piles)
    pile.log, pile.runs = log, Members(of_run, pile, run_pile)
    pile.every = Members(log, pile, log.pile)
    pile.noted = pile.every.where(rows.has("event") & ~log.of_header)
    logged = Logged.of(rows, runs, run_pile, log.pile)
    reach = standing.reach(logged)
    pile.disturbed = standing.disturbed_toes(logged, reach, len(pile))
    names = ("stop_h", "stop_multiple", "largest_helix_mm")
    pile.stops = standing.long_stops(logged, reach, {name: pile.numbers(name) for name in names})
    near = pile.toe_reading_mm.values
    pile.toes = standing.toe_pairs(logged, log.torque_nm.values, log.placed.place, near)
    log.standing = standing.standing(logged, reach, pile.stops, pile.toes, _of_piles(pile))
    pile.window = pile.every.where(log.standing.in_window)
    pile.stretches = _stretches(pile, traced)
    return Torque(pile, runs, logged, points, Instrument(inputs.instruments, traced=traced))


def _of_piles(pile: Pile) -> dict[str, Array]:
    """Numbers of the piles that decide which readings count."""
    return {
        "toe_mm": pile.toe_mm.values,
        "window_mm": pile.window_mm.values,
        "interval_tolerance_mm": pile.interval_tolerance_mm.values,
        "predrilled_length_mm": pile.predrilled_length_mm.values,
        "void_to_mm": np.fmax(pile.void_to_mm, pile.event_void_to_mm),
    }


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
