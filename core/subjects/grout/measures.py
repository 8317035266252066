"""Measures of grout: lifts, piles, batches and grout close by that was still fresh."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from core.formulas import grout as formulas
from core.formulas import steel
from core.records.current_rows import CurrentRows
from core.records.matching import places_of
from core.subjects.columns import (
    Book,
    Column,
    Recorded,
    Values,
    assume,
    calculate,
    choose,
    first_known,
    minimum_of,
    withhold,
)
from core.subjects.grout import selection
from core.subjects.grout.lifts import Batch, Gap, Hole, Lift, Placement, Run, lift_names
from core.subjects.grout.samples import GroupMember, Sampled, SamplesOfPile, Specimen
from core.subjects.steps import Step
from core.subjects.tables import (
    Links,
    Members,
    Table,
    Texts,
    column,
    evidence,
    measure,
    recorded,
    setting,
)


class WorkOfPile(Table):
    """When one pile was worked, beside the grout in it and around it."""

    subject = "grout"
    runs: Members[Run]
    placed: Members[Placement]
    readings: CurrentRows

    def placements(self) -> list[Links]:
        """The placements of the pile."""
        return self.placed.links()

    def grouted_runs(self) -> list[Links]:
        """The runs of a pile with placements."""
        placed = self.placed.number > 0
        return [links.where(placed[links.owner]) for links in self.runs.links()]

    def work(self) -> list[Links]:
        """The placements of the pile and its runs."""
        return [*self.placements(), *self.grouted_runs()]

    @cached_property
    def _turned(self) -> tuple[Values, Values]:
        """Hours from an earlier run's grout until the pile turned: certain, and possible."""
        run, (low, high) = self.runs.below, self.runs.below.started
        found = []
        for begun, last in ((low, run.last_grout[1]), (high, run.last_grout[0])):
            before = np.append(last, np.nan)[self._run_before(last)]
            since = selection.hours(begun - before)
            found.append(self.runs.reduce(np.fmax, since, np.nan))
        return found[0], found[1]

    def _run_before(self, values: Values) -> Values:
        """Per run the earlier run of its pile with the maximum value; -1 for none."""
        maximum, before = self.runs.row_of_running_maximum(values), np.full(len(values), -1)
        rows = self.runs.rows
        before[rows[1:]] = maximum[rows[:-1]]
        before[rows[self.runs.starts]] = -1
        return before

    @cached_property
    def _read_after(self) -> Values:
        """Hours from a placement to a later reading, of piles whose placements all have an end."""
        placed = self.placed.below
        whole = self.placed.every(~np.isnan(placed.ended_us))
        own = np.flatnonzero(np.append(whole, False)[placed.owner])
        reader = selection.rows_by_text(self.readings, self.rows, "pile_id")
        read = np.flatnonzero(
            np.append(whole, False)[reader]
            & self.readings.has("read_at")
            & ~self.readings.is_text("flag", "missed")
        )
        moment = selection.microseconds(self.readings.values("read_at")[read])
        return selection.hours_until_read(
            (placed.owner[own], placed.ended_us[own]), (reader[read], moment), len(self)
        )

    def _turns(self, hours: Values) -> Values:
        return np.where(self.placed.number > 0, np.fmax(hours, self._read_after), np.nan)

    @column("number", "longest time from a placement until the pile turned again, that is certain",
            evidence=work)  # fmt: skip
    def turned_h(self) -> Values:
        """The pile turns when a later run begins, or a reading is taken."""
        return self._turns(self._turned[0])

    @column("number", "longest time from a placement until the pile turned, that is possible")
    def turned_possible_h(self) -> Values:
        return self._turns(self._turned[1])

    @column("number", "placements without an end")
    def untimed_placements(self) -> Values:
        return self.placed.count(np.isnan(self.placed.below.ended_us))

    @cached_property
    def _near(self) -> Fresh:
        return Fresh(self)

    def _fresh_work(self) -> list[Links]:
        """Runs of a pile that was worked beside grout, and placements of that neighbour."""
        near = self._near.neighbour
        runs = [links.where(near[links.owner] >= 0) for links in self.runs.links()]
        with_one = np.flatnonzero(near >= 0)
        row, at = selection.pairs(near[with_one], self.placed.below.owner)
        return [*runs, *self.placed.below.links(with_one[row], at)]

    @column("number", "age of the youngest grout close by while the pile was worked, as proven",
            evidence=_fresh_work)  # fmt: skip
    def fresh_h(self) -> Values:
        return self._near.proven_h

    @column("number", "minimum age of grout close by while the pile was worked, that is possible")
    def fresh_possible_h(self) -> Values:
        return self._near.possible_h

    @column("text", "pile close by with the youngest grout")
    def fresh_neighbour(self) -> Texts:
        return self.text("pile_id").take(self._near.neighbour)


class Fresh:
    """Grout within ``neighbour_mm`` of each pile while that was worked.

    ``proven_h``: age of the youngest that the record proves; ``possible_h``: the minimum that it
    allows; ``neighbour``: row of the pile that has it, -1 for none.
    """

    def __init__(self, pile: WorkOfPile) -> None:
        run, number = pile.runs.below, len(pile)
        self.proven_h, self.possible_h = np.full(number, np.nan), np.full(number, np.nan)
        self.neighbour = np.full(number, -1)
        one, other, worked, grouted = self._pairs(pile)
        low, high = run.first_grout
        may = run.ended[1][worked] > low[grouted]
        one, other, worked, grouted = (part[may] for part in (one, other, worked, grouted))
        sure = run.ended[0][worked] > high[grouted]
        proven = selection.hours(run.started[1][worked] - run.last_grout[0][grouted]).clip(min=0)
        possible = selection.hours(run.started[0][worked] - run.last_grout[1][grouted]).clip(min=0)
        self._put(self.possible_h, one, other, possible)
        self._put(self.proven_h, one[sure], other[sure], proven[sure])  # its neighbour goes first

    def _put(self, found: Values, one: Values, other: Values, hours: Values) -> None:
        at = selection.row_of_first_minimum(one, hours, len(found))
        has = np.flatnonzero(at >= 0)
        found[has], self.neighbour[has] = hours[at[has]], other[at[has]]

    @staticmethod
    def _pairs(pile: WorkOfPile) -> tuple[Values, Values, Values, Values]:
        """Pile, neighbour, run of the pile and run of the neighbour that placed grout."""
        place = (pile.numbers(name) for name in ("easting_m", "northing_m", "neighbour_mm"))
        one, other = selection.neighbours(*place)
        own = np.full(len(pile.runs.below), -1)
        own[pile.runs.rows] = pile.runs.owner
        row, worked = selection.pairs(one, own)
        with_grout = np.where(pile.runs.below.placed.number > 0, own, -1)
        at, grouted = selection.pairs(other[row], with_grout)
        return one[row][at], other[row][at], worked[at], grouted


NO_DISC = "neither the toe depth at which the first disc entered nor a grouted length is recorded"
NO_DRILLED = "the pre-drilled length is not recorded"
NO_HOLE = "the type has no diameter of the hole or no place where its column begins"
NO_TOE = "the depth of the toe is not recorded"
NO_COLUMN = "the first disc is recorded at the toe or below it, so nothing is left to grout"
KNOWN = "the minimum of the lifts whose grout and void are known"
OF_RUN = ("pile_id", "run_no")


def _extreme(name: str, which: str, meaning: str) -> tuple[column, column]:
    """The minimum or maximum number of a pile's batches, and the batch that has it."""

    def values(pile: Pile) -> Values:
        return np.append(getattr(pile.placed.below, name), np.nan)[pile.placed_with(name, which)]

    def batch(pile: Pile) -> Texts:
        return pile.placed.below.text("batch_id").take(pile.placed_with(name, which))

    return column("number", meaning)(values), column("text", f"batch with the {meaning}")(batch)


def _unknown(name: str, meaning: str) -> column:
    """How many placements are of a batch without a number."""
    return column("number", f"placements of a batch without {meaning}")(
        lambda pile: pile.placed.count(np.isnan(getattr(pile.placed.below, name)))
    )


class Pile(SamplesOfPile, WorkOfPile):
    """Grout of one pile, or of one position that no pile serves yet."""

    subject, record = "grout", "schedule"
    lift: Members[Lift]
    gap: Members[Gap]
    batches_used: Links

    schedule_grouted_length_mm = recorded()
    type_grouted_length_mm = setting("types.{pile_type}.grouted_length_mm")
    disc_mm = setting("types.{pile_type}.disc_mm")
    predrilled_diameter_mm = setting("types.{pile_type}.predrilled_diameter_mm")
    outside_diameter_mm = setting("sections.{section}.outside_diameter_mm")
    wall_mm = setting("sections.{section}.wall_mm")

    def steps(self, book: Book, row: int = 0) -> list[Step]:
        """The steps of every lift in the order of the work, then those of the pile's measures."""
        lift = self.lift.below
        for at in self.lift.of(row).tolist():
            book.value(lift.net_l, at)
            for found in (lift.void_l, lift.take_ratio, lift.cumulative_ratio):
                if found.known[at]:
                    book.value(found, at)
        return super().steps(book, row)

    # --- the hole

    @measure("outside cross-section of the shaft")
    def shaft_area_mm2(self) -> Column:
        square = calculate(steel.square_area, self, side_mm=self.outside_diameter_mm)
        tube = calculate(steel.tube_area, self)
        return choose(self, (self.is_text("shape", "square"), square), otherwise=tube)

    bore_mm = measure("inside diameter of the shaft")(
        lambda pile: calculate(formulas.bore_diameter, pile)
    )

    @cached_property
    def drilled_mm(self) -> Column:
        """The pre-drilled length."""
        return self.runs.pick(self.runs.below.predrilled_length_mm, "maximum")

    @cached_property
    def toe_mm(self) -> Column:
        """The depth of the toe by the last run that records one."""
        return self.runs.pick(self.runs.below.toe_mm, "last")

    @cached_property
    def is_drilled_wider(self) -> Values:
        """Whether the pre-drilled hole is wider than what the disc opens."""
        return self.predrilled_diameter_mm.values > np.nan_to_num(self.disc_mm.values)

    @measure(source="the schedule's, else the type's")
    def grouted_length_mm(self) -> Column:
        found = first_known(self.schedule_grouted_length_mm, self.type_grouted_length_mm)
        return found.where(found.known)

    @measure("toe depth at which the column begins")
    def column_begins_mm(self) -> Column:
        """Where the first disc entered, else by the grouted length, else at the ground."""
        of_disc, of_ground = (self.is_text("grout_from", one) for one in ("first disc", "ground"))
        entered = self.runs.pick(self.runs.below.first_disc_depth_mm, "minimum")
        planned = calculate(formulas.column_top, self)
        ground = assume(self, 0.0, "the column begins at the ground", "mm")
        known = of_disc | of_ground
        return choose(
            self,
            (of_disc & entered.known, entered),
            (known & planned.known, planned),
            (of_ground, ground),
        )

    @cached_property
    def no_void(self) -> Sequence[tuple[Values, str]]:
        """What a void may lack, with the piles that lack it."""
        no_disc = ~self.disc_mm.known & ~self.predrilled_diameter_mm.known
        return [
            (~self.has("grout_from") | no_disc, NO_HOLE),
            (~self.column_begins_mm.known, NO_DISC),
            (self.is_drilled_wider & ~self.drilled_mm.known, NO_DRILLED),
        ]

    # --- take

    @cached_property
    def grouted(self) -> Values:
        """Whether a lift is recorded."""
        return self.lift.number > 0

    net_grout_l = measure(evidence=WorkOfPile.work)(
        lambda pile: pile.lift.total(pile.lift.below.net_l)
    )

    @measure(evidence=WorkOfPile.work)
    def void_l(self) -> Column:
        """The void down to the recorded toe where that is deeper than the last lift.

        What opened below the last lift had to be filled from above, too.
        """
        last = self.lift.pick(self.lift.below.reach_mm, "last")
        deepest = choose(
            self, (~self.toe_mm.known, last), (self.toe_mm > last, self.toe_mm), otherwise=last
        )
        void = Hole(self, self).void(deepest).where(self.grouted)
        lacks = self.grouted & ~void.known
        return withhold(void, *((lacks & mask, why) for mask, why in self.no_void))

    @measure(evidence=WorkOfPile.work)
    def take_ratio(self) -> Column:
        ratio = calculate(formulas.take_ratio, self, net_l=self.net_grout_l)
        return choose(self, ((self.void_l > 0) & self.net_grout_l.known, ratio))

    @measure(evidence=WorkOfPile.work)
    def min_cumulative_ratio(self) -> Column:
        parts = {"at the ends of lifts": self.min_at_ends, "of the whole pile": self.take_ratio}
        minimum = minimum_of(self, parts, KNOWN)
        return minimum.where(minimum.known)

    @measure("minimum cumulative take ratio at the ends of lifts", evidence=WorkOfPile.work)
    def min_at_ends(self) -> Column:
        return self._least(self.lift.below.cumulative_ratio)

    def _least(self, ratio: Column) -> Column:
        """The minimum of the lifts in which it is known."""
        minimum = self.lift.minimum(ratio, KNOWN)
        return minimum.where(minimum.known)

    def _min_lift_links(self) -> list[Links]:
        """Placements of the lift with the minimum ratio; all of a pile where none is known."""
        thin = self.lift.at(self.lift.below.take_ratio.values, "minimum")
        return _placements_of(self, thin)

    min_lift_ratio = measure(evidence=_min_lift_links)(
        lambda pile: pile._least(pile.lift.below.take_ratio)
    )
    lifts = column("number", "how many lifts are recorded")(lambda pile: pile.lift.number)

    @column("number", "lifts whose grout or void is unknown")
    def lifts_unknown(self) -> Values:
        lift = self.lift.below
        return self.lift.count(lift.opens & ~lift.take_ratio.known)

    @column("text", "why a number of grout is unknown")
    def grout_missing(self) -> Texts:
        missing: Texts = self.lift.below.missing
        said = np.array([bool(text) for text in missing.words])[missing.codes]
        return missing.take(self.lift.at(np.where(said, 1.0, np.nan), "first"))

    @column("text", "lift with the minimum cumulative ratio")
    def lift_of_min_cumulative_ratio(self) -> Texts:
        lift = self.lift.below
        return lift.name.take(self.lift.at(lift.cumulative_ratio.values, "minimum"))

    @column("text", "lift with the minimum ratio")
    def lift_of_min_ratio(self) -> Texts:
        lift = self.lift.below
        return lift.name.take(self.lift.at(lift.take_ratio.values, "minimum"))

    # --- level in the head

    @column(
        "number",
        "maximum fall of the grout that was not topped up",
        evidence=WorkOfPile.placements,
    )
    def level_drop_mm(self) -> Values:
        """A top-up is written beside the fall, or is a later lift that opens no void."""
        lift, place = self.lift.below, self.lift.place()
        fills = self.lift.where(~lift.opens & (lift.batched_l.values > 0))
        last = self._of_lift(fills.reduce(np.maximum, place, -1))
        topped = (lift.topped_up_l > 0) | (last > place)
        fall = lift.level_drop_mm
        return self.lift.reduce(np.fmax, np.where(topped & ~np.isnan(fall), 0.0, fall), np.nan)

    @column("flag", "whether the level after the last lift that opened a void is recorded")
    def level_recorded(self) -> Values:
        lift, place = self.lift.below, self.lift.place()
        last = self._of_lift(self.lift.where(lift.opens).reduce(np.maximum, place, 0))
        return self.lift.any(~np.isnan(lift.level_drop_mm) & (place >= last))

    def _of_lift(self, values: Values) -> Values:
        return values[self.lift.below.owner]

    # --- gaps between lifts

    @cached_property
    def lifts_begin_mm(self) -> Column:
        """The depth of the toe from which lifts have to be recorded."""
        why = "the ground; no record gives where the column begins"
        return first_known(self.column_begins_mm, assume(self, 0.0, why, "mm"))

    def _beside_gap(self) -> list[Links]:
        """Placements of the lifts beside the widest gap, runs, and the row that plans a length."""
        planned = np.flatnonzero(self.schedule_grouted_length_mm.known & self.has("pile_id"))
        widest, gap, lift = self._widest, self.gap.below, self.gap.below.placement.lift_at
        beside = [np.append(lift, -1)[np.append(one, -1)[widest]] for one in (gap.above, gap.below)]
        return [*_placements_of(self, *beside), *self.grouted_runs(), *self.links(planned, planned)]

    @cached_property
    def _widest(self) -> Values:
        return self.gap.at(self.gap.below.length_mm.values, "maximum")

    @measure(evidence=_beside_gap)
    def lift_gap_mm(self) -> Column:
        """0 where lifts follow each other to the toe, unknown where the toe is."""
        placed = self.placed.number > 0
        none = assume(self, 0.0, "no depth down to the toe is without a lift", "mm")
        widest = self.gap.pick(self.gap.below.length_mm, "maximum")
        found = choose(self, (self._widest >= 0, widest), (placed, none))
        return withhold(found, *((placed & mask, why) for mask, why in self._no_gap))

    @cached_property
    def _no_gap(self) -> Sequence[tuple[Values, str]]:
        at_toe = (self.lifts_begin_mm >= self.toe_mm).true
        return [(~self.toe_mm.known, NO_TOE), (at_toe, NO_COLUMN)]

    @column("text", "what is not recorded of the ends of the column")
    def lift_gap_missing(self) -> Texts:
        placed = self.placed.number > 0
        reasons = [*self._no_gap, (~self.column_begins_mm.known, NO_DISC)]
        return Texts.of(len(self), *((placed & mask, why) for mask, why in reasons), (placed, ""))

    @column("text", "lift above the widest gap")
    def lift_above_gap(self) -> Texts:
        return self._beside(self.gap.below.above)

    @column("text", "lift below the widest gap")
    def lift_below_gap(self) -> Texts:
        return self._beside(self.gap.below.below)

    def _beside(self, placement: Values) -> Texts:
        names = lift_names(self.placed.below)
        return names.take(np.append(placement, -1)[self._widest])

    # --- batches

    def placed_with(self, name: str, which: str) -> Values:
        """The placement with the minimum or maximum number of its batch."""
        return self.placed.at(getattr(self.placed.below, name), which)

    min_density_kg_m3, min_density_batch = _extreme(
        "density_kg_m3", "minimum", "minimum density of the batches placed"
    )
    max_density_kg_m3, max_density_batch = _extreme(
        "density_kg_m3", "maximum", "maximum density of the batches placed"
    )
    density_unknown = _unknown("density_kg_m3", "density")
    min_flow_s, min_flow_batch = _extreme(
        "flow_s", "minimum", "minimum time of efflux of the batches placed"
    )
    max_flow_s, max_flow_batch = _extreme(
        "flow_s", "maximum", "maximum time of efflux of the batches placed"
    )
    flow_unknown = _unknown("flow_s", "time of efflux")
    age_unknown = _unknown("batch_age_h", "age at placement")

    @evidence("the batches of a pile")
    def batches(self) -> list[Links]:
        return [self.batches_used]

    def _oldest(self) -> list[Links]:
        """The placements and the sheet of the oldest batch; of all where no age is known."""
        placed, rows, owner = self.placed.below, self.placed.rows, self.placed.owner
        oldest = np.append(placed.batch_at, -1)[self.placed_with("batch_age_h", "maximum")]
        of_it = (oldest[owner] < 0) | (oldest[owner] == placed.batch_at[rows])
        used = self.batches_used
        of_used = (oldest[used.owner] < 0) | (oldest[used.owner] == used.at)
        return [*placed.links(owner[of_it], rows[of_it]), used.where(of_used)]

    @measure(
        evidence=_oldest,
        source="from the end of mixing to the end of the placement",
        note=lambda pile, row: f"batch {pile.oldest_batch.array()[row]}",
    )
    def batch_age_h(self) -> Column:
        placed = self.placed.below
        derivation = Recorded("batch_age_h") if self.traced else None
        age = Column(placed, placed.batch_age_h, "hour", derivation)
        return self.placed.pick(age, "maximum")

    @column("text", "batch that was oldest when it was placed")
    def oldest_batch(self) -> Texts:
        return self.placed.below.text("batch_id").take(self.placed_with("batch_age_h", "maximum"))

    @column("number", "placements of a batch that is not on record")
    def batches_unknown(self) -> Values:
        return self.placed.count(~self.placed.below.batch_known)

    @column("text", "first batch that is not on record")
    def unknown_batch(self) -> Texts:
        lost = np.where(self.placed.below.batch_known, np.nan, 1.0)
        return self.placed.below.text("batch_id").take(self.placed.at(lost, "first"))


def _placements_of(pile: Pile, *lifts: Values) -> list[Links]:
    """Placements of the named lift of each pile; all of a pile where none is named (-1)."""
    placed, own = pile.placed.below, pile.placed.owner
    at = placed.lift_at[pile.placed.rows]
    none = np.logical_and.reduce([lift < 0 for lift in lifts])[own]
    named = np.logical_or.reduce([lift[own] == at for lift in lifts])
    kept = none | named
    return placed.links(own[kept], pile.placed.rows[kept])


@dataclass(frozen=True)
class Inputs:
    """Rows up to the day of assessment ``on``, those of all piles or of one.

    ``runs`` and ``placements`` in the order of the work, the latter with the day and order of their
    run; ``run_days`` and ``placement_days``: when the day of each begins and ends on the site, in
    microseconds. Batches, specimens' groups and readings as they are recorded.
    """

    piles: CurrentRows
    runs: CurrentRows
    placements: CurrentRows
    batches: CurrentRows
    specimens: CurrentRows
    members: CurrentRows
    readings: CurrentRows
    run_days: tuple[Values, Values]
    placement_days: tuple[Values, Values]
    on: np.datetime64


def tables(inputs: Inputs, traced: bool = False) -> Pile:
    """The piles with everything below them; ``traced`` for the steps of one of them."""
    pile = Pile(inputs.piles, traced=traced)
    pile.on, pile.readings = inputs.on, inputs.readings
    run = Run(inputs.runs, traced=traced)
    run.begins_us, run.ends_us = inputs.run_days
    pile.runs = Members(run, pile, selection.rows_by_text(run.rows, pile.rows, "pile_id"))
    placed = _with_placements(pile, run, inputs, traced)
    _with_lifts(pile, placed)
    _with_gaps(pile, placed)
    _with_samples(pile, inputs, traced)
    return pile


def _with_placements(pile: Pile, run: Run, inputs: Inputs, traced: bool) -> Placement:
    placed, batch = (
        Placement(inputs.placements, traced=traced),
        Batch(inputs.batches, traced=traced),
    )
    placed.begins_us, placed.ends_us = inputs.placement_days
    placed.pile, placed.owner = pile, selection.rows_by_text(placed.rows, pile.rows, "pile_id")
    placed.batch = batch
    placed.batch_at = selection.rows_by_text(placed.rows, batch.rows, "batch_id")
    pile.placed = Members(placed, pile, placed.owner)
    run.placed = Members(placed, run, places_of(placed.rows, OF_RUN, run.rows, OF_RUN))
    used = np.flatnonzero((placed.owner >= 0) & (placed.batch_at >= 0))
    both = np.unique(np.stack([placed.owner[used], placed.batch_at[used]]), axis=1)
    pile.batches_used = Links(batch.record, both[0], batch.rows, both[1])
    return placed


def _with_lifts(pile: Pile, placed: Placement) -> None:
    code, first = selection.lifts_of(placed.rows, placed.owner)
    order = selection.work_order(*_starts(placed, code, first))
    lift = Lift(placed.rows.take(first[order]), traced=pile.traced)
    placed.lift_at = np.append(selection.rank_of(order), -1)[code]
    lift.pile, lift.owner = pile, placed.owner[first[order]]
    lift.placed = Members(placed, lift, placed.lift_at)
    pile.lift = lift.of_pile = Members(lift, pile, lift.owner)
    lift.hole = Hole(lift, pile, lift.owner)


def _starts(placed: Placement, code: Values, first: Values) -> tuple[Values, ...]:
    """Per lift its run, its start (unknown while one of its placements has none) and depths."""
    rows = placed.rows.take(first)
    lift = Members(placed, Table(rows), code)
    started = selection.microseconds(placed.rows.values("started_at"))
    return (
        rows.values("run_order"),
        lift.reduce(np.minimum, started, np.nan),
        lift.reduce(np.fmin, placed.from_mm.values, np.nan),
        lift.reduce(np.fmax, placed.to_mm.values, np.nan),
    )


def _with_gaps(pile: Pile, placed: Placement) -> None:
    covering = np.flatnonzero(placed.covers & (placed.owner >= 0))
    toe = np.where(pile.placed.number > 0, pile.toe_mm.values, np.nan)
    found = selection.gaps(
        placed.owner[covering], placed.from_mm.values[covering], placed.to_mm.values[covering],
        pile.lifts_begin_mm.values, toe,
    )  # fmt: skip
    gap = Gap(pile.rows.take(found["owner"]).only(["pile_id"]), traced=pile.traced)
    gap.pile, gap.placement, gap.owner = pile, placed, found["owner"]
    gap.above, gap.below = (np.append(covering, -1)[found[one]] for one in ("above", "below"))
    pile.gap = Members(gap, pile, gap.owner)


def _with_samples(pile: Pile, inputs: Inputs, traced: bool) -> None:
    member, specimen = GroupMember(inputs.members), Specimen(inputs.specimens, traced=traced)
    of_member, of_specimen = selection.same_text(member.rows, specimen.rows, "sample_group_id")
    owner = selection.rows_by_text(member.rows, pile.rows, "pile_id")
    number = max(of_member.max(initial=-1), of_specimen.max(initial=-1)) + 1
    member.group_piles = np.bincount(of_member, minlength=number)[of_member].astype(float)
    member.group_specimens = np.bincount(of_specimen, minlength=number)[of_member].astype(float)
    row, at = selection.pairs(of_member, of_specimen)
    sampled = Sampled(specimen.rows.take(at), traced=traced)
    sampled.specimen, sampled.at = specimen, at
    sampled.age_asked = np.append(pile.numbers("strength_age_days"), np.nan)[owner][row]
    specimen.on = inputs.on
    back, own = selection.pairs(of_specimen, of_member)
    specimen.members = Members(GroupMember(member.rows.take(own)), specimen, back)
    member.sampled = Members(sampled, member, row)
    pile.members = Members(member, pile, owner)
    pile.sampled = Members(sampled, pile, owner[row])
