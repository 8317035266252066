"""Runs, points of calibration curves and readings, each with its torque through its curve."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from core.formulas import torque as formulas
from core.records.current_rows import Array
from core.records.matching import plain_ranks
from core.subjects.columns import Column, assume, calculate, called, choose, take
from core.subjects.tables import Links, Table, Texts, measure, recorded
from core.subjects.torque import curves, events
from core.subjects.torque.curves import ABOVE, BELOW, IN, NONE, Curves, Placed
from core.subjects.torque.selection import ReadingStatus

if TYPE_CHECKING:
    from core.subjects.torque.measures import Pile

DIFFERENTIAL, LINE = "differential", "line"
PRESSURES = (
    "differential pressure across the motor (kind not recorded)",
    "differential pressure across the motor",
    "line pressure at the inlet of the motor",
)


class Run(Table):
    """One run of a pile."""

    subject, record, title = "lengths", "run", "of run {run_no}"
    toe_mm, predrilled_length_mm, advance_mm_per_turn = recorded(), recorded(), recorded()
    pile: Array  # the pile's row of each run, -1 for none


class Point(Table):
    """One point of a calibration certificate's curve."""

    subject, record, title = "torque", "calibration_point", "of point {point_no}"
    point_torque_nm, point_pressure_kpa = recorded(), recorded()
    point_return_pressure_kpa = recorded()

    @measure("differential pressure")
    def differential_kpa(self) -> Column:
        """Pressure across the motor; unknown for a line pressure without its return."""
        return _differential(
            self, "point_", self.point_pressure_kpa, self.point_return_pressure_kpa
        )


def _differential(table: Table, prefix: str, pressure: Column, returned: Column) -> Column:
    line = curves.is_line(table.rows, prefix)
    if not line.any():
        return pressure
    across = calculate(
        formulas.differential_pressure, table, line_kpa=pressure, return_kpa=returned
    )
    return choose(table, (line, across), otherwise=pressure)


class ReadingRows(Table):
    """One reading: a row of a log, or of a run whose header gives a final reading."""

    record, title = "torque_reading", "at {depth_mm}"

    @cached_property
    def of_header(self) -> Array:
        """Whether a header gives each reading."""
        return self.is_true("of_header")

    def record_of(self, row: int) -> str:
        return "run" if self.of_header[row] else self.record

    def links(self, owner: Array, at: Array) -> list[Links]:
        header = self.of_header[at]
        return [
            Links(self.record, owner[~header], self.rows, at[~header]),
            Links("run", owner[header], self.rows, at[header]),
        ]

    def title_of(self, row: int) -> str:
        where = ", final reading of the header" if self.of_header[row] else ""
        return self.filled(self.title, row) + where


class Reading(ReadingRows):
    """One reading of torque or pressure."""

    subject = "torque"
    depth_mm, pressure_kpa, return_pressure_kpa = recorded(), recorded(), recorded()
    advance_mm_per_turn = recorded()
    points: Point
    curves: Curves
    piles: Pile
    pile: Array  # the pile's row of each reading, -1 for none
    runs: Run
    run: Array  # the run's row of each reading
    status: ReadingStatus

    @cached_property
    def reversed(self) -> Array:
        """Whether the pile turned in reverse."""
        return self.is_text("direction", "reversed")

    @cached_property
    def missed(self) -> Array:
        """Whether the reading was missed."""
        return self.is_text("flag", "missed")

    @cached_property
    def by_line(self) -> Array:
        """Whether reading and curve are both by line pressure."""
        line = curves.is_line(self.rows)
        if not line.any():
            return line
        of_points = curves.is_line(self.points.rows, "point_")
        all_line = np.array([*(bool(of_points[at].all()) for at in self.curves.points), False])
        found: Array = line & all_line[self.curves.of_reading]
        return found

    @cached_property
    def shown_nm(self) -> Column:
        """Torque that the instrument shows itself, without one worked out beside a pressure."""
        read = self.recorded("torque_read_nm")
        both = read.known & self.pressure_kpa.known
        beside = curves.worked_out(self.curves, both, self.points.point_pressure_kpa.values)
        return read.where(~beside) if beside.any() else read

    @cached_property
    def placed(self) -> Placed:
        """Where each reading lies on its curve."""
        points = self.points
        return curves.placed(
            self.curves,
            self.by_line,
            self.pressure_kpa.known,
            self.curve_pressure_kpa.values,
            self.shown_nm.values,
            (points.differential_kpa.values, points.point_pressure_kpa.values),
            points.point_torque_nm.values,
        )

    @measure("differential pressure")
    def differential_kpa(self) -> Column:
        """Pressure across the motor; unknown for a line pressure without its return."""
        return _differential(self, "", self.pressure_kpa, self.return_pressure_kpa)

    @cached_property
    def curve_pressure_kpa(self) -> Column:
        """Pressure that goes into the curve, of the kind in which both are compared."""
        found = self.differential_kpa
        if self.by_line.any():
            found = choose(self, (self.by_line, self.pressure_kpa), otherwise=found)
        return called(found, self._pressure_words) if self.traced else found

    @property
    def _pressure_words(self) -> Texts:
        bare = curves.without_kind(self.rows)
        codes = np.where(self.by_line, 2, np.where(bare, 0, 1))
        return Texts(codes, PRESSURES)

    def _point_nm(self, at: Array) -> Column:
        """Torque of the curve's points ``at``."""
        return take(self, self.points.point_torque_nm, at)

    def _point_kpa(self, at: Array) -> Column:
        """Pressure of the curve's points ``at``, of the kind in which both are compared."""
        across = take(self, self.points.differential_kpa, at)
        if not self.by_line.any():
            return across
        line = take(self, self.points.point_pressure_kpa, at)
        return choose(self, (self.by_line, line), otherwise=across)

    @measure("torque", note=lambda log, row: log.by_certificate(row))
    def torque_nm(self) -> Column:
        """Torque as the instrument shows it or through its curve; none outside its points."""
        placed = self.placed
        inside = placed.place == IN
        shown, pressed = inside & ~placed.by_pressure, inside & placed.by_pressure
        if not pressed.any():
            return self.shown_nm.where(shown)
        lower = self._point_nm(placed.lower)
        through = calculate(
            formulas.torque_between_points,
            self,
            pressure_kpa=self.curve_pressure_kpa,
            lower_kpa=self._point_kpa(placed.lower),
            lower_nm=lower,
            upper_kpa=self._point_kpa(placed.upper),
            upper_nm=self._point_nm(placed.upper),
        )
        single = pressed & (placed.lower == placed.upper)  # a curve of one point
        return choose(self, (shown, self.shown_nm), (single, lower), (pressed, through))

    def by_certificate(self, row: int) -> str:
        """The certificate that gives the curve of a reading, in words."""
        words, line = self.curves.texts["certificate"], self.curves.line[row]
        return f"by certificate {words[self.curves.certificate[line]]}"

    @measure("lower bound of the torque")
    def torque_lower_bound_nm(self) -> Column:
        """Torque, and above the curve the torque of its last point."""
        above = self.placed.place == ABOVE
        if not above.any():
            return self.torque_nm
        return choose(self, (above, self._point_nm(self.placed.last)),
                      otherwise=self.torque_nm)  # fmt: skip

    @measure("torque, at most")
    def ceiling_torque_nm(self) -> Column:
        """Below the curve the torque of its first point."""
        below = self.placed.place == BELOW
        return self._point_nm(np.where(below, self.placed.first, -1))

    @cached_property
    def counted_nm(self) -> Column:
        """Torque of the readings that count."""
        return self.torque_nm.where(self.status.counts)

    @cached_property
    def counted_floor_nm(self) -> Column:
        """Torque at least of the readings that count."""
        return self.torque_lower_bound_nm.where(self.status.counts)

    @measure("length that the reading represents")
    def stretch_mm(self) -> Column:
        """From the reading above it, or the top of the final window, to its own depth."""
        rows = np.flatnonzero(self.status.current & (self.pile >= 0))
        same = self.pile[rows[1:]] == self.pile[rows[:-1]]
        before = np.full(len(self), -1)
        before[rows[1:][same]] = rows[:-1][same]
        ground = assume(self, 0.0, "the ground", "mm")
        above = choose(self, (before >= 0, take(self, self.depth_mm, before)), otherwise=ground)
        top = take(self, self.piles.window_top_mm, self.pile)
        begins = choose(self, (above >= top, above), otherwise=top)
        return calculate(formulas.gap_between, self, above_mm=begins, below_mm=self.depth_mm)

    @cached_property
    def slope(self) -> Column:
        """Torque per pressure of the curve at each reading; unknown without one by pressure."""
        begins, ends = self.placed.piece_begins, self.placed.piece_ends
        return calculate(
            formulas.slope_between_points,
            self,
            title="Torque per pressure of the curve at {depth_mm}",
            lower_kpa=self._point_kpa(begins),
            lower_nm=self._point_nm(begins),
            upper_kpa=self._point_kpa(ends),
            upper_nm=self._point_nm(ends),
        )

    @cached_property
    def in_force(self) -> Array:
        """Whether a certificate of the instrument was in force on the day of each reading."""
        found: Array = self.curves.in_force[self.curves.line]
        return found

    @cached_property
    def bare(self) -> Array:
        """Readings without a place on a curve, those that were missed left out."""
        found: Array = (self.placed.place == NONE) & ~self.missed
        return found

    @cached_property
    def without_kind(self) -> Array:
        """Readings by pressure whose kind is not recorded."""
        found: Array = curves.without_kind(self.rows) & ~self.shown_nm.known
        return found

    @cached_property
    def by_number(self) -> Array:
        """Rows by the number of their pile, letter by letter; within a pile as they are."""
        found: Array = np.argsort(plain_ranks(self.rows, "pile_id"), kind="stable")
        return found

    @cached_property
    def no_torque_because(self) -> Texts:
        """Why a reading has no place on a curve."""
        empty = ~self.pressure_kpa.known & ~self.shown_nm.known
        bare = self.placed.place == NONE
        codes, words = curves.no_place_because(self.curves, bare, empty, self.placed.kinds_differ)
        return Texts(codes, words)

    @cached_property
    def events(self) -> Texts:
        """The events that each text beside a reading names."""
        return events.words(self.rows, "event")
