"""Steel of every pile: lengths of its string, its minimum rated torque, how far it is traced."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from core.formulas import steel as formulas
from core.records.current_rows import CurrentRows, common_codes
from core.records.matching import row_by_code
from core.subjects.columns import Column, Values, calculate, take
from core.subjects.steel.components import (
    Component,
    ComponentPlaced,
    Lot,
    Parent,
    PlaceAgain,
    at_rows,
)
from core.subjects.steel.pieces import PiecePlaced, Qualities, first_words
from core.subjects.steel.selection import (
    Delivered,
    Mills,
    Placed,
    Records,
    Shared,
    Traced,
    placed_again,
)
from core.subjects.tables import Links, Members, Table, Texts, column, evidence, measure, recorded

MOST_WORDS = 3  # pieces at fault named in one note


class Run(Table):
    """One run up to the day of assessment, in the order of the work."""

    subject, record, title = "steel", "run", "of run {run_no}"
    toe_mm = recorded()
    cut_off_mm = recorded()
    stick_up_mm = recorded()


def _count(name: str, meaning: str) -> column:
    """The number of pieces of a pile's string that have a mark."""
    return column("number", meaning)(lambda pile: pile.count(name))


def _note(name: str, counted: column) -> column:
    """The pieces of a pile's string that have a fault, in words; ``counted``: how many they are."""
    return column("text", f"the first few {counted.meaning}, in words")(
        lambda pile: pile.note(name)
    )


class Pile(Table):
    """One pile, or one position that no pile serves."""

    subject = "steel"
    job: Steel
    home: Values  # row here of each place, -1 for none
    runs: Members[Run]

    @cached_property
    def places(self) -> Members[ComponentPlaced]:
        """The string: of the last run that has one."""
        return self.every_place.where(self.job.places.placed.latest)

    @cached_property
    def every_place(self) -> Members[ComponentPlaced]:
        """The strings of every run."""
        return Members(self.job.places, self, self.home)

    @cached_property
    def pieces_placed(self) -> Members[PiecePlaced]:
        """The pieces of the string."""
        pieces = self.job.pieces
        return Members(pieces, self, self.home[pieces.trace.place], pieces.latest)

    @cached_property
    def last_run(self) -> Values:
        """Row of the last run, -1 for none."""
        return self.runs.at(np.zeros(len(self.runs.below)), "last")

    @measure(evidence=lambda pile: pile.of_string())
    def placed_length_mm(self) -> Column:
        """All working lengths of the string, unknown while one is."""
        return self.places.total(
            self.places.below.length_mm,
            "sum of the components of the string, from the toe up",
            symbol="L",
        )

    @measure(evidence=lambda pile: pile.of_last_run(), source="as the last run records it")
    def cut_off_mm(self) -> Column:
        """That of the last run, whichever run lists the string."""
        return take(self, self.runs.below.cut_off_mm, self.last_run)

    @measure(evidence=lambda pile: pile.of_last_run(), source="as the last run records it")
    def stick_up_mm(self) -> Column:
        """That of the last run."""
        return take(self, self.runs.below.stick_up_mm, self.last_run)

    @measure(evidence=lambda pile: pile.of_string())
    def string_length_mm(self) -> Column:
        """Placed less cut off and above the ground."""
        return calculate(
            formulas.length_in_ground,
            self,
            placed_mm=self.placed_length_mm,
            cut_off_mm=self.cut_off_mm,
            stick_up_mm=self.stick_up_mm,
        )

    @measure(evidence=lambda pile: pile.of_string())
    def length_difference_mm(self) -> Column:
        """String in the ground against the last toe depth recorded."""
        toe = self.runs.pick(self.runs.below.toe_mm, "last")
        return calculate(
            formulas.length_difference, self, string_mm=self.string_length_mm, toe_mm=toe
        )

    @measure("minimum rated torque of the components", evidence=lambda pile: pile.rated_links())
    def component_rated_torque_nm(self) -> Column:
        """Of every run: the torque of an earlier one went through its string, too."""
        return self.every_place.pick(self.every_place.below.rated_torque_nm, "minimum")

    @column("text", "stamp of the component of the minimum rated torque")
    def component_rated_stamp(self) -> Texts:
        """The first of equal ones."""
        return self._stamp(self._rated)

    @column("text", "stamp of a component whose rated torque no document gives")
    def component_undocumented(self) -> Texts:
        """The first one."""
        places = self.every_place.below
        rated = places.rated_torque_nm.known
        document = places.of_component("rated_torque_document").array() != ""
        return self._stamp(self.every_place.at(np.where(rated & ~document, 0.0, np.nan), "first"))

    @column("number", "components of the string; unknown without a run")
    def components(self) -> Values:
        """Places of the last string."""
        return np.where(self.last_run >= 0, self.places.number, np.nan)

    @column("number", "first place of the string that no row gives")
    def missing_place(self) -> Values:
        """From the toe up; unknown where none is missing."""
        count = self.places.place() + 1
        right = self.places.below.numbers("place") == count
        return self.places.reduce(np.fmin, np.where(right, np.nan, count), np.nan)

    @column("text", "run that lists the string")
    def string_run(self) -> Texts:
        """The last run with a string."""
        rows = self.places.below.rows
        first = self._first()
        return Texts(at_rows(rows.codes("run_no"), first), rows.texts("run_no"))

    @column("number", "first place whose bolts are not fitted")
    def loose_bolts(self) -> Values:
        """From the toe up; unknown where none is known to be loose."""
        places = self.places.below
        loose = places.is_text("bolts", "not fitted")
        place = np.where(loose, places.numbers("place"), np.nan)
        return self.places.reduce(np.fmin, place, np.nan)

    @column("text", "shaft of the lead")
    def lead_section(self) -> Texts:
        """As delivered."""
        return self.places.below.of_component("section").take(self._lead)

    @column("text", "helix set of the lead")
    def lead_helix_set(self) -> Texts:
        """As delivered."""
        return self.places.below.of_component("helix_set").take(self._lead)

    @column("text", "stamp of the lead")
    def lead_stamp(self) -> Texts:
        """The component at the toe."""
        return self._stamp(self._lead)

    @cached_property
    def _lead(self) -> Values:
        places = self.places.below
        return self.places.at(np.where(places.numbers("place") == 1, 0.0, np.nan), "first")

    @cached_property
    def _rated(self) -> Values:
        return self.every_place.at(self.every_place.below.rated_torque_nm.values, "minimum")

    def _first(self) -> Values:
        return self.places.at(np.zeros(len(self.places.below)), "first")

    def _stamp(self, at: Values) -> Texts:
        rows = self.places.below.rows
        return Texts(at_rows(rows.codes("stamp"), at), rows.texts("stamp"))

    def count(self, name: str) -> Values:
        """How many pieces of the string have a mark; unknown without a string."""
        found = self.pieces_placed.count(self.pieces_placed.below.marks[name])
        return np.where(self.places.number > 0, found, np.nan)

    def note(self, name: str) -> Texts:
        """Which pieces of the string have a fault, and what is wrong: the first few."""
        mask = self.pieces_placed.below.marks[name][self.pieces_placed.rows]
        rows, owner = self.pieces_placed.rows[mask], self.pieces_placed.owner[mask]
        words = self.pieces_placed.below.words(name, rows)
        return first_words(owner, words, len(self), MOST_WORDS)

    @column("number", "pieces of steel of the string")
    def pieces(self) -> Values:
        """Each once; unknown without a string."""
        found = self.pieces_placed.count(self.pieces_placed.below.counts)
        return np.where(self.places.number > 0, found, np.nan)

    off_register = _count("off_register", "pieces whose component is on no delivery")
    untraced = _count("untraced", "pieces that lead to no heat, lot or delivery as required")
    uncertified = _count("uncertified", "pieces of which no certificate is on the register")
    unlisted = _count("unlisted", "pieces whose heat is not on the certificate named")
    low_type = _count("low_type", "pieces with a lower type of certificate than required")
    early = _count("early", "pieces placed before their delivery")
    below_grade = _count("below_grade", "pieces with a result below their grade")
    unproven = _count("unproven", "pieces of which a result of their grade is not given")
    over_chemistry = _count("over_chemistry", "pieces with a share above the limit")
    no_chemistry = _count("no_chemistry", "pieces of which a share with a limit is not given")
    no_zinc = _count("no_zinc", "components whose zinc is not recorded")
    thin_zinc = _count("thin_zinc", "components whose zinc is thinner than required")
    foreign = _count("foreign", "pieces not shown to be melted where the contract allows")
    quarantined = _count("quarantined", "pieces of a heat in quarantine")
    with_certificate_asked = _count("with_certificate_asked", "pieces that need a certificate")
    with_certificate_named = _count("with_certificate_named", "pieces that name a certificate")
    with_type_asked = _count("with_type_asked", "pieces of which a type of certificate is required")
    with_results_asked = _count("with_results_asked", "pieces whose results are compared")
    with_day = _count("with_day", "pieces with the days of delivery and run")
    with_grade = _count("with_grade", "pieces that a grade is compared with")
    with_chemistry = _count("with_chemistry", "pieces of which shares have limits")
    with_zinc = _count("with_zinc", "components of which zinc is required")
    with_thickness = _count("with_thickness", "components whose zinc is compared")
    with_origin = _count("with_origin", "pieces of which an origin is required")
    off_register_note = _note("off_register", off_register)
    untraced_note = _note("untraced", untraced)
    uncertified_note = _note("uncertified", uncertified)
    unlisted_note = _note("unlisted", unlisted)
    low_type_note = _note("low_type", low_type)
    early_note = _note("early", early)
    below_grade_note = _note("below_grade", below_grade)
    unproven_note = _note("unproven", unproven)
    over_chemistry_note = _note("over_chemistry", over_chemistry)
    no_chemistry_note = _note("no_chemistry", no_chemistry)
    no_zinc_note = _note("no_zinc", no_zinc)
    thin_zinc_note = _note("thin_zinc", thin_zinc)
    foreign_note = _note("foreign", foreign)
    quarantined_note = _note("quarantined", quarantined)

    def of_last_run(self) -> list[Links]:
        """The last run."""
        own = np.flatnonzero(self.last_run >= 0)
        return self.runs.below.links(own, self.last_run[own])

    def _of_components(self) -> list[Links]:
        at = self.places.below.placed.component[self.places.rows]
        return self.places.below.components.links(self.places.owner[at >= 0], at[at >= 0])

    def of_string(self) -> list[Links]:
        """The string, its components as delivered, and the last run."""
        return [*self.places.links(), *self._of_components(), *self.of_last_run()]

    def rated_links(self) -> list[Links]:
        """The component of the minimum rated torque."""
        own = np.flatnonzero(self._rated >= 0)
        at = self.every_place.below.placed.component[self._rated[own]]
        return self.every_place.below.components.links(own, at)

    @evidence("every component of the string, and the run that ends it")
    def string(self) -> list[Links]:
        """As of the lengths."""
        return self.of_string()

    @evidence("the string with its deliveries, pieces, certificates and heats")
    def steel(self) -> list[Links]:
        """All rows of the trace of each piece."""
        pieces, trace = self.pieces_placed.below, self.pieces_placed.below.trace
        rows, owner = self.pieces_placed.rows, self.pieces_placed.owner
        found = [*self.places.links(), *self._of_components()]
        found.append(_links("piece", pieces.records.piece, owner, trace.piece[rows]))
        certificate = trace.certificate[rows]
        found.append(_links("certificate", pieces.records.certificate, owner, certificate))
        line = trace.line[rows]
        found.append(_links("heat_on_certificate", pieces.records.heat_on_certificate, owner, line))
        note = pieces.places.placed.note[trace.place[rows]]
        found.append(_links("delivery", pieces.records.delivery, owner, note))
        return found

    @evidence("quarantines of heats of the string, and the pieces that they hold")
    def quarantine(self) -> list[Links]:
        """Where a quarantine or a piece names no mill, it holds, too."""
        pieces = self.pieces_placed.below
        row, at = pieces.quarantines
        home = np.full(len(pieces), -1)
        home[self.pieces_placed.rows] = self.pieces_placed.owner
        kept = home[row] >= 0
        owner = home[row][kept]
        piece = pieces.trace.piece[row][kept]
        return [
            _links("quarantine", pieces.records.quarantine, owner, at[kept]),
            _links("piece", pieces.records.piece, owner, piece),
        ]


def _links(record: str, rows: CurrentRows, owner: Values, at: Values) -> Links:
    return Links(record, owner[at >= 0], rows, at[at >= 0])


@dataclass(frozen=True, eq=False)
class Steel:
    """The tables of the steel of one job."""

    records: Records
    qualities: Qualities
    traced: bool = False

    @cached_property
    def components(self) -> Component:
        """What was delivered."""
        records = self.records
        table = Component(records.component, traced=self.traced)
        table.delivered = Delivered(records)
        return table

    @cached_property
    def places(self) -> ComponentPlaced:
        """What is placed."""
        rows = self.records.component_placed
        table = ComponentPlaced(rows, traced=self.traced)
        table.placed, table.components = Placed(self.records), self.components
        if self.traced:  # for the titles of steps
            word = self.components.delivered.word.take(table.placed.component)
            table.rows = rows.with_text("component", word.codes, word.words)
        self.components.places = Members(
            table, self.components, table.placed.component, table.placed.latest
        )
        return table

    @cached_property
    def mills(self) -> Mills:
        """Mills of heats."""
        records = self.records
        return Mills(records.piece, records.heat_on_certificate, records.quarantine)

    @cached_property
    def pieces(self) -> PiecePlaced:
        """Every piece placed with its trace."""
        placed = self.places.placed
        trace = Traced(self.records, placed, self.mills)
        table = PiecePlaced(self.records.piece.take(trace.piece), traced=self.traced)
        table.trace, table.mills, table.places = trace, self.mills, self.places
        table.shared = Shared.of(self.records.piece, placed.key_of_piece)
        table.records, table.qualities = self.records, self.qualities
        return table

    def piles(self, piles: CurrentRows, run: CurrentRows) -> Pile:
        """The steel of each of ``piles``; ``run``: up to the day of assessment, in order."""
        placed = self.records.component_placed
        (own, at_place, at_run), _ = common_codes(
            *((one, "pile_id") for one in (piles, placed, run))
        )
        table = Pile(piles, traced=self.traced)
        table.job, table.home = self, row_by_code(at_place, own)
        table.runs = Members(Run(run, traced=self.traced), table, row_by_code(at_run, own))
        return table

    @cached_property
    def again(self) -> PlaceAgain:
        """Places whose stamp is in another place, too."""
        rows, other = placed_again(self.places.placed, self.places.is_single)
        table = PlaceAgain(self.records.component_placed.take(rows))
        table.places, table.at, table.other = self.records.component_placed, rows, other
        return table

    @cached_property
    def lots(self) -> Lot:
        """Every stamp of a lot, letter by letter."""
        components, placed = self.components, self.places.placed
        rows, place = _of_stamps(placed.stamp_of_component[components.is_lot], placed.stamps)
        table = Lot(rows)
        owner = place[placed.stamp_of_component]
        table.components = Members(components, table, owner, components.is_lot)
        table.places = Members(self.places, table, place[placed.stamp], placed.latest)
        return table

    def parents(self, run: CurrentRows) -> Parent:
        """Every stamp that others are cut from, letter by letter; ``run`` as for ``piles``."""
        components, placed = self.components, self.places.placed
        rows, place = _of_stamps(placed.cut_from[placed.cut_from >= 0], placed.stamps)
        table = Parent(rows)
        table.deliveries = Members(components, table, place[placed.stamp_of_component])
        table.remnants_cut = Members(components, table, place[placed.cut_from])
        table.places = Members(self.places, table, place[placed.stamp], placed.latest)
        table.cut_off = self._cut_off_top(run)
        return table

    def _cut_off_top(self, run: CurrentRows) -> Values:
        """Per place the length cut off its string, 0 but at the top one that has a length.

        A cap, a sleeve or a bolt has none and is cut from nothing.
        """
        rows = self.records.component_placed
        (pile, of_run), texts = common_codes((rows, "pile_id"), (run, "pile_id"))
        length, place = self.places.length_mm.values, self.places.numbers("place")
        shaft = self.places.placed.latest & ~(length <= 0)
        top = np.full(len(texts), -1.0)
        np.maximum.at(top, pile[shaft], place[shaft])
        last = np.full(len(texts), np.nan)
        last[of_run] = run.values("cut_off_mm")  # of several runs the last one is kept
        return np.where(place == top[pile], last[pile], 0.0)


def _of_stamps(codes: Values, stamps: Sequence[str]) -> tuple[CurrentRows, Values]:
    """One row per distinct stamp, letter by letter, and the row of each code, -1 for none."""
    own = sorted(np.unique(codes).tolist(), key=stamps.__getitem__)
    place = np.full(len(stamps) + 1, -1)
    place[own] = np.arange(len(own))
    rows = CurrentRows({}, len(own)).with_text("stamp", np.array(own, dtype=np.int64), stamps)
    return rows, place
