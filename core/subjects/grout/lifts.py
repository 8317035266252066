"""Runs, batches, placements and lifts: what stayed in the ground and the void that it fills.

A lift's volume is fed at the top and drawn down, so it is not the take at the lift's depth. A lift
that goes over depths again adds its volume and opens no void. Depths of a lift are written either
of the toe or of the grout column (``depths_of``)::

    ground   C = 0       toe D = F      the first disc enters: the column begins
      |       |             |
    disc     C = L       toe D = T      the column is L long, its foot L below the ground
      .
    toe at T

What opens the column stays F = T − L above the toe, so a length C of the column is opened when the
toe is at D = C + F; F is ``Pile.column_begins_mm``.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from core.formulas import grout as formulas
from core.subjects.columns import Column, Values, added, assume, calculate, choose, take
from core.subjects.grout import selection
from core.subjects.tables import Members, Table, Texts, column, measure, recorded

if TYPE_CHECKING:
    from core.subjects.grout.measures import Pile

NO_WASTE = "what was left, spilled or returned is not recorded"
VOLUMES = ("batched_l", "left_l", "spilled_l", "returned_l")


class Run(Table):
    """One run of a pile, in the order of the work."""

    subject, record, title = "grout", "run", "of run {run_no}"
    placed: Members[Placement]
    begins_us: Values
    ends_us: Values
    toe_mm, first_disc_depth_mm, predrilled_length_mm = recorded(), recorded(), recorded()

    @cached_property
    def started(self) -> tuple[Values, Values]:
        """The earliest and the latest moment at which the run may have begun."""
        return self._moment("started_at", self.begins_us, self.ends_us)

    @cached_property
    def ended(self) -> tuple[Values, Values]:
        """The earliest and the latest moment at which the run may have ended."""
        return self._moment("ended_at", self.started[0], self.ends_us)

    @cached_property
    def last_grout(self) -> tuple[Values, Values]:
        """The earliest and the latest moment of the end of the run's last placement."""
        low, high = self.placed.below.ended
        return self.placed.reduce(np.fmax, low, np.nan), self.placed.reduce(np.fmax, high, np.nan)

    @cached_property
    def first_grout(self) -> tuple[Values, Values]:
        """The earliest and the latest moment of the end of the run's first placement."""
        low, high = self.placed.below.ended
        return self.placed.reduce(np.fmin, low, np.nan), self.placed.reduce(np.fmin, high, np.nan)

    def _moment(self, name: str, low: Values, high: Values) -> tuple[Values, Values]:
        found = selection.microseconds(self.rows.values(name))
        return np.where(np.isnan(found), low, found), np.where(np.isnan(found), high, found)


class Batch(Table):
    """One batch of grout."""

    subject, record, title = "grout", "grout_batch", "of batch {batch_id}"
    density_kg_m3, flow_s = recorded(), recorded()


class Placement(Table):
    """What one batch gave to one lift of one run, up to the day of assessment."""

    subject, record = "grout", "grout_placement"
    title = "of batch {batch_id} in lift {lift_no} of run {run_no}"
    pile: Pile
    owner: Values
    batch: Batch
    batch_at: Values
    lift_at: Values
    begins_us: Values
    ends_us: Values
    batched_l, left_l, spilled_l, returned_l = recorded(), recorded(), recorded(), recorded()

    @column("number", "depth from which the lift goes, as written")
    def written_from_mm(self) -> Values:
        return self.numbers("from_mm")

    @column("number", "depth to which the lift goes, as written")
    def written_to_mm(self) -> Values:
        return self.numbers("to_mm")

    @measure("toe depth at the beginning")
    def from_mm(self) -> Column:
        return self._toe_depth("from_mm")

    @measure("toe depth at the end")
    def to_mm(self) -> Column:
        return self._toe_depth("to_mm")

    def _toe_depth(self, name: str) -> Column:
        written, of_column = self.recorded(name), self.is_text("depths_of", "column")
        if not of_column.any():
            return written
        begins = take(self, self.pile.column_begins_mm, self.owner)
        toe = calculate(formulas.toe_of_column, self, column_mm=written, column_top_mm=begins)
        return choose(self, (of_column, toe), otherwise=written)

    @column("day", "day of the placement, or of its run")
    def day(self) -> Values:
        return selection.placed_on(self.rows)

    @cached_property
    def ended(self) -> tuple[Values, Values]:
        """The earliest and the latest moment at which the placement may have ended."""
        found = self.ended_us
        return (
            np.where(np.isnan(found), self.begins_us, found),
            np.where(np.isnan(found), self.ends_us, found),
        )

    @cached_property
    def ended_us(self) -> Values:
        """The moment at which the placement ended."""
        return selection.microseconds(self.rows.values("ended_at"))

    @column("number", "age of the batch when the placement ended")
    def batch_age_h(self) -> Values:
        mixed = selection.microseconds(self.batch.rows.values("mixed_at"))
        return selection.hours(self.ended_us - np.append(mixed, np.nan)[self.batch_at])

    @column("number", "density of the batch")
    def density_kg_m3(self) -> Values:
        return np.append(self.batch.density_kg_m3.values, np.nan)[self.batch_at]

    @column("number", "time of efflux of the batch")
    def flow_s(self) -> Values:
        return np.append(self.batch.flow_s.values, np.nan)[self.batch_at]

    @column("day", "when mixing of the batch ended")
    def mixed_at(self) -> Values:
        mixed = self.batch.rows.values("mixed_at")
        return np.append(mixed, np.datetime64("NaT", "us"))[self.batch_at]

    @column("flag", "whether the batch is on record")
    def batch_known(self) -> Values:
        return self.batch_at >= 0

    @cached_property
    def net_l(self) -> Values:
        """What the batch left in the ground."""
        found: Values = formulas.net_volume(*(self.numbers(name) for name in VOLUMES))
        return found

    @cached_property
    def covers(self) -> Values:
        """Whether grout was placed while the toe went down; unknown waste does not deny it."""
        some = (self.batched_l.values > 0) & ~(self.net_l <= 0)
        return some & (self.to_mm.values > self.from_mm.values)


class Hole:
    """What the void of a pile depends on, for every row of ``rows``."""

    def __init__(self, rows: Table, pile: Pile, at: Values | None = None) -> None:
        def down(of_pile: Column) -> Column:
            return of_pile if at is None else take(rows, of_pile, at)

        self.rows = rows
        self.disc, self.drill = down(pile.disc_mm), down(pile.predrilled_diameter_mm)
        self.bore = down(pile.bore_mm)
        self.shaft, self.begins = down(pile.shaft_area_mm2), down(pile.column_begins_mm)
        self.drilled = down(pile.drilled_mm)
        every = np.arange(len(pile)) if at is None else at
        self.filled: Values = pile.is_true("grouted_bore")[every]
        self.wider: Values = pile.is_drilled_wider[every]

    def void(self, depth: Column, above: Column | None = None) -> Column:
        """The void that is open with the toe at ``depth``, less that with it at ``above``.

        Between hole and shaft, and in the bore where that is grouted. Where a type has no disc, its
        column is the pre-drilled hole alone. The bore is filled as far down as the column.
        """
        below = self._lengths(depth, "at the end")
        over = self._lengths(above, "at the beginning") if above is not None else None
        parts = []
        for place, (mask, word, diameter, length) in enumerate(below):
            own = length if over is None else self._between(over[place][3], length)
            parts.append((mask, word, self._part(diameter, own, word)))
        return added(self.rows, "sum of the parts of the hole.", *parts)

    def _between(self, upper: Column, lower: Column) -> Column:
        part = calculate(formulas.column_part, self.rows, lower_mm=lower, upper_mm=upper)
        return choose(self.rows, (upper > 0, part), otherwise=lower)

    def _part(self, diameter: Column, length: Column, word: str) -> Column:
        title = f"Void of {word} {self.rows.title}".strip()
        if diameter is self.bore:
            return calculate(
                formulas.bore_volume, self.rows, title, bore_mm=diameter, length_mm=length
            )
        return calculate(
            formulas.void_volume, self.rows, title,
            disc_mm=diameter, shaft_area_mm2=self.shaft, length_mm=length,
        )  # fmt: skip

    def _lengths(self, depth: Column, when: str) -> list[tuple[Values, str, Column, Column]]:
        """The parts of the hole: rows that have it, what it is, its diameter and its length."""
        rows, every = self.rows, np.ones(len(self.rows), dtype=bool)
        title = f"Length of the grout column {when} {rows.title}".strip()
        whole = calculate(
            formulas.column_length, rows, title, depth_mm=depth, first_disc_depth_mm=self.begins
        )
        parts = [(every, "the hole", self.disc, whole)]
        if self.wider.any():
            drilled = choose(rows, (whole < self.drilled, whole), otherwise=self.drilled)
            rest = calculate(formulas.column_part, rows, lower_mm=whole, upper_mm=drilled)
            below = choose(rows, (self.wider, rest), otherwise=whole)
            parts = [
                (~self.wider | self.disc.known, "the hole", self.disc, below),
                (self.wider, "the pre-drilled hole", self.drill, drilled),
            ]
        if self.filled.any():
            parts.append((self.filled, "the bore", self.bore, whole))
        return parts


class Lift(Table):
    """The volume added while the toe went from one depth to another, in the order of the work."""

    subject, title = "grout", "of lift {lift_no} of run {run_no}"
    placed: Members[Placement]
    of_pile: Members[Lift]
    pile: Pile
    owner: Values
    hole: Hole

    from_mm = measure("toe depth at the beginning")(
        lambda lift: lift.placed.pick(lift.placed.below.from_mm, "minimum")
    )
    to_mm = measure("toe depth at the end")(
        lambda lift: lift.placed.pick(lift.placed.below.to_mm, "maximum")
    )
    batched_l = measure("batched")(lambda lift: lift.placed.total(lift.placed.below.batched_l))
    left_l = measure("left")(lambda lift: lift.placed.total(lift.placed.below.left_l))
    spilled_l = measure("spilled")(lambda lift: lift.placed.total(lift.placed.below.spilled_l))
    returned_l = measure("returned")(lambda lift: lift.placed.total(lift.placed.below.returned_l))
    net_l = measure("net grout")(lambda lift: calculate(formulas.net_volume, lift))

    @measure("deepest toe so far")
    def reach_mm(self) -> Column:
        return self.of_pile.running_maximum(self.to_mm)

    @measure("toe depth from which new void opens")
    def begun_mm(self) -> Column:
        first, begin = self.of_pile.place() == 0, self.from_mm
        before = choose(
            self,
            (first, assume(self, 0.0, "the ground; nothing was grouted before", "mm")),
            otherwise=self.of_pile.previous(self.reach_mm),
        )
        later = choose(self, (begin >= before, begin), otherwise=before)
        return choose(self, (later > self.reach_mm, self.reach_mm), otherwise=later)

    @measure("void")
    def void_l(self) -> Column:
        return self.hole.void(self.reach_mm, self.begun_mm)

    @measure("take ratio")
    def take_ratio(self) -> Column:
        return choose(self, (self.void_l > 0, calculate(formulas.take_ratio, self)))

    @measure("cumulative void at the end")
    def cumulative_void_l(self) -> Column:
        return self.hole.void(self.reach_mm)

    @measure("cumulative net grout at the end")
    def cumulative_net_l(self) -> Column:
        return self.of_pile.running(self.net_l)

    @measure("cumulative take ratio at the end")
    def cumulative_ratio(self) -> Column:
        net, void = self.cumulative_net_l, self.cumulative_void_l
        ratio = calculate(formulas.take_ratio, self, net_l=net, void_l=void)
        return choose(self, (void > 0, ratio))

    @cached_property
    def opens(self) -> Values:
        """Whether the lift opened a void, or may have."""
        return ~(self.void_l.values <= 0)

    @cached_property
    def name(self) -> Texts:
        """Each lift in words, by which measures and notes name it."""
        return lift_names(self)

    @column("text", "why a number is unknown")
    def missing(self) -> Texts:
        no_void, every = ~self.cumulative_void_l.known, np.ones(len(self), dtype=bool)
        reasons = self.pile.no_void
        return Texts.of(
            len(self),
            (~self.net_l.known, NO_WASTE),
            *((mask[self.owner] & no_void, text) for mask, text in reasons),
            (every, ""),
        )

    placements = column("number", "how many placements it has")(lambda lift: lift.placed.number)
    batches = column("text", "batches that went into it")(
        lambda lift: lift.placed.joined(lift.placed.below.text("batch_id"))
    )
    depths_of = column("text", "whether its depths are written of the toe or of the column")(
        lambda lift: lift.first_text("depths_of")
    )
    how_measured = column("text", "how its volumes were measured")(
        lambda lift: lift.first_text("how_measured")
    )
    written_from_mm = column("number", "minimum depth from which it goes, as written")(
        lambda lift: lift.placed.reduce(np.fmin, lift.placed.below.written_from_mm, np.nan)
    )
    written_to_mm = column("number", "maximum depth to which it goes, as written")(
        lambda lift: lift.placed.reduce(np.fmax, lift.placed.below.written_to_mm, np.nan)
    )
    resolution_l = column("number", "coarsest resolution of the volume measurement")(
        lambda lift: lift.maximum("resolution_l")
    )
    pressure_kpa = column("number", "maximum pressure of the grout")(
        lambda lift: lift.maximum("pressure_kpa")
    )
    level_drop_mm = column("number", "maximum fall of the grout in the head")(
        lambda lift: lift.maximum("level_drop_mm")
    )

    @column("number", "volume topped up after a fall, of the placements that record one")
    def topped_up_l(self) -> Values:
        own = self.placed.below.numbers("topped_up_l")
        known = self.placed.any(~np.isnan(own))
        return np.where(known, self.placed.reduce(np.add, np.nan_to_num(own), 0.0), np.nan)

    @column("day", "last day of its placements")
    def placed_on(self) -> Values:
        days = selection.microseconds(self.placed.below.day)
        return selection.moments(self.placed.reduce(np.maximum, days, np.nan))

    @column("day", "when it began, where each placement has a start")
    def started_at(self) -> Values:
        return selection.moments(self.started_us)

    @column("day", "when it ended, where each placement has an end")
    def ended_at(self) -> Values:
        return selection.moments(self.placed.reduce(np.maximum, self.placed.below.ended_us, np.nan))

    @cached_property
    def started_us(self) -> Values:
        """When it began, unknown while one of its placements has no start."""
        started = selection.microseconds(self.placed.below.rows.values("started_at"))
        return self.placed.reduce(np.minimum, started, np.nan)

    def first_text(self, name: str) -> Texts:
        """The first recorded text of its placements."""
        texts = self.placed.below.text(name)
        return texts.take(self.placed.at(np.where(texts.codes < 0, np.nan, 1.0), "first"))

    def maximum(self, name: str) -> Values:
        """The maximum recorded number of its placements."""
        return self.placed.reduce(np.fmax, self.placed.below.numbers(name), np.nan)


class Gap(Table):
    """A stretch of toe depths in which no placement put grout, from the top of a pile down."""

    subject, title = "grout", "of a gap"
    pile: Pile
    placement: Placement
    owner: Values
    above: Values
    below: Values

    @measure("toe depth at which the gap begins")
    def from_mm(self) -> Column:
        end = take(self, self.placement.to_mm, self.above)
        begins = take(self, self.pile.lifts_begin_mm, self.owner)
        deeper = (self.above >= 0) & (end >= begins).true
        return choose(self, (deeper, end), otherwise=begins)

    @measure("toe depth at which the gap ends")
    def to_mm(self) -> Column:
        start = take(self, self.placement.from_mm, self.below)
        toe = take(self, self.pile.toe_mm, self.owner)
        higher = (self.below >= 0) & (start <= toe).true
        return choose(self, (higher, start), otherwise=toe)

    length_mm = measure("length")(lambda gap: calculate(formulas.gap_length, gap))


def lift_names(rows: Table) -> Texts:
    """The lift of each row in words, by which measures and notes name it."""
    lift, run = rows.text("lift_no"), rows.text("run_no")
    return Texts.filled("lift {lift} of run {run}", lift=lift, run=run)
