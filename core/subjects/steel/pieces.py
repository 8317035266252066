"""Pieces of steel placed: how far each is traced, and what the contract asks beyond that.

What each grade of traceability asks: *piece*, a heat of every piece; *heat or lot per pile*, a heat
or a lot of every component; *lot per period*, a lot or a delivery; *declaration of conformity*, a
certificate of any kind; *none*, nothing. A heat that is asked for and known is on a certificate;
where a type of certificate is asked, there is a certificate, heat or none.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from string import Formatter

import numpy as np
import pandas as pd

from core.records import ELEMENTS
from core.records.current_rows import CurrentRows, joined_codes
from core.subjects.columns import Values
from core.subjects.steel.components import ComponentPlaced, at_rows, is_at
from core.subjects.steel.selection import Mills, Records, Shared, Traced, in_quarantine
from core.subjects.tables import Table, Texts, column

_NO_DAY = np.datetime64("NaT", "us")


@dataclass(frozen=True)
class Qualities:
    """What is judged of each piece beside its trace.

    ``marks``: masks of pieces by name; ``words``: what is wrong with some that have one.
    """

    marks: Callable[[PiecePlaced], Mapping[str, Values]]
    words: Callable[[PiecePlaced, str, Values], Sequence[str]]


class PiecePlaced(Table):
    """One piece of steel placed; a component of which no piece is recorded has one row."""

    subject, record, title = "steel", "piece", "of piece {piece} of {stamp}"
    trace: Traced
    mills: Mills
    shared: Shared
    places: ComponentPlaced
    records: Records
    qualities: Qualities

    @cached_property
    def component(self) -> Values:
        """Row of the component delivered, -1 for none."""
        found: Values = self.places.placed.component[self.trace.place]
        return found

    @cached_property
    def kind(self) -> Values:
        """Row of the component kinds, -1 for none."""
        return self.places.kind[self.trace.place]

    @column("number", "deliveries that brought the stamp")
    def deliveries(self) -> Values:
        """By stamp alone."""
        return self.places.placed.deliveries[self.trace.place]

    @column("flag", "the string names the delivery")
    def delivery_named(self) -> Values:
        """As recorded with the string."""
        found: Values = self.places.placed.named[self.trace.place]
        return found

    @column("flag", "the delivery that brought it is known")
    def on_register(self) -> Values:
        """Whether one component delivered is meant."""
        return self.component >= 0

    @column("flag", "it is in the last string of its pile")
    def latest(self) -> Values:
        """Of the last run that has a string."""
        return self.places.placed.latest[self.trace.place]

    @column("number", "heats of which it may be one")
    def possible_heats(self) -> Values:
        """More than one for a lot of several heats."""
        return np.append(self.shared.number, 1)[self.trace.piece]

    @column("flag", "it counts as a piece")
    def counts(self) -> Values:
        """Of the rows for the heats of which one piece may be, the first alone."""
        return np.append(self.shared.first, True)[self.trace.piece]

    @column("number", "mills that are known of its heat")
    def mill_count(self) -> Values:
        """From pieces and certificates."""
        found: Values = self.mills.number[self.trace.heat]
        return found

    @column("flag", "its certificate is on the register")
    def on_file(self) -> Values:
        """Named or found."""
        return self.trace.on_file

    @column("flag", "its certificate lists its heat")
    def listed(self) -> Values:
        """Of its mill."""
        return self.trace.listed

    @column("flag", "the project sets its grade")
    def grade_set(self) -> Values:
        """Of the standard and grade on the certificate."""
        return self.trace.grade >= 0

    @cached_property
    def of_no_mill(self) -> Values:
        """Whether its heat is of several mills and it names none."""
        nameless = (self.trace.mill < 0) | (self.trace.mill == self.mills.empty)
        found: Values = nameless & (self.mill_count > 1)
        return found

    @cached_property
    def has_lot(self) -> Values:
        """Whether its component is of a lot."""
        codes = self.places.components.delivered.lot_text.codes
        return at_rows(codes, self.component) >= 0

    @cached_property
    def has_delivery(self) -> Values:
        """Whether its component came with a delivery that has a number."""
        ids, own = self.places.placed.delivery_ids, self.places.placed.delivery
        empty = ids.index("") if "" in ids else -1
        found: Values = ((own >= 0) & (own != empty))[self.trace.place]
        return found

    @cached_property
    def out_of_use(self) -> Values:
        """Whether its run is outside the days between which the lot of its component is used."""
        lots, row = self.records.lot, at_rows(self.places.components.delivered.lot, self.component)
        day = self.records.component_placed.values("run_on")[self.trace.place]
        first, last = (_day(lots, name, row) for name in ("used_from_on", "used_to_on"))
        found: Values = (day < first) | (day > last)
        return found

    @cached_property
    def _types(self) -> tuple[Values, Values]:
        """Ranks of the certificate's type and of the type that its kind asks, -1 for none."""
        certificate, kinds = self.records.certificate, self.records.component_kinds
        order = sorted({*certificate.texts("certificate_type"), *kinds.texts("certificate_type")})
        own, asked = (
            np.array([*map(order.index, rows.texts("certificate_type")), -1])[
                rows.codes("certificate_type")
            ]
            for rows in (certificate, kinds)
        )
        return at_rows(own, self.trace.certificate), at_rows(asked, self.kind)

    @property
    def type_asked(self) -> Values:
        """Rank of the type of certificate that its kind asks, -1 for none."""
        return self._types[1]

    @cached_property
    def type_too_low(self) -> Values:
        """Whether its certificate is of a lower type than its kind asks."""
        own, asked = self._types
        found: Values = (own >= 0) & (own < asked)
        return found

    def is_traced_by(self, *grades: str) -> Values:
        """Whether its kind asks one of these grades of traceability."""
        kinds = self.records.component_kinds
        every = [kinds.is_text("traceability", grade) for grade in grades]
        return is_at(np.logical_or.reduce(every), self.kind)

    @cached_property
    def stop(self) -> Values:
        """Place in ``_STOPS`` of the first way in which its trace stops, -1 where it does not."""
        found = np.full(len(self), -1)
        for place, (stops, _) in enumerate(_STOPS):
            found[(found < 0) & stops(self)] = place
        return found

    @column("text", "where its trace stops")
    def gap_text(self) -> Texts:
        """In words."""
        return words_of_stops(self, np.arange(len(self)))

    @cached_property
    def quarantines(self) -> tuple[Values, Values]:
        """Rows here beside those of every quarantine that holds them."""
        trace = self.trace
        return in_quarantine(self.records.quarantine, self.mills, trace.heat, trace.mill)

    @column("flag", "its heat is in quarantine")
    def quarantined(self) -> Values:
        """Of its mill, or where either names none."""
        found = np.zeros(len(self), dtype=bool)
        found[self.quarantines[0]] = True
        return found

    @column("flag", "it is the first piece of its component")
    def first_of_place(self) -> Values:
        """Of each place in a string."""
        found = np.zeros(len(self), dtype=bool)
        found[np.unique(self.trace.place, return_index=True)[1]] = True
        return found

    @cached_property
    def marks(self) -> Mapping[str, Values]:
        """Faults and what was looked at, by name."""
        return {**self.faults, **self.judged, "quarantined": self.quarantined}

    @cached_property
    def judged(self) -> Mapping[str, Values]:
        """What is judged of its steel beside its trace, by name."""
        return self.qualities.marks(self)

    @cached_property
    def faults(self) -> Mapping[str, Values]:
        """Where each piece falls short of what its kind asks, and in which that was looked for.

        By name; one cause is one fault.
        """
        register = self.on_register
        off = ~register & ((self.deliveries == 0) | self.delivery_named)
        heat = (self.trace.heat >= 0) & ~self.of_no_mill & register
        period = (self.has_lot | self.has_delivery) & ~self.out_of_use
        enough = np.select(
            [self.is_traced_by(grade) for grade in (*_BY_HEAT, "lot per period")],
            [heat & (self.possible_heats == 1), heat | self.has_lot, heat | period],
            self.kind >= 0,
        )
        untraced = ~off & ~enough
        by_heat = self.is_traced_by(*_BY_HEAT) & heat
        type_asked = (self.type_asked >= 0) & ~self.is_traced_by("none")
        asked = register & ~untraced
        asked &= by_heat | self.is_traced_by("declaration of conformity") | type_asked
        there = self.trace.on_file & (self.trace.listed | ~by_heat)
        named = asked & by_heat & self.trace.named & self.trace.on_file
        unlisted = named & ~self.trace.listed
        typed = asked & type_asked & there
        return {
            "off_register": off,
            "untraced": untraced,
            "uncertified": asked & ~there & ~unlisted,
            "unlisted": unlisted,
            "low_type": typed & self.type_too_low,
            "with_certificate_asked": asked,
            "with_certificate_named": named,
            "with_type_asked": typed,
            "with_results_asked": by_heat & self.trace.listed & register,
        }

    def words(self, name: str, rows: Values) -> Texts:
        """What is wrong with each piece of ``rows`` that has the fault ``name``."""
        if name in self.faults:
            return words_of_fault(self, name, rows)
        own = Texts.of(len(rows), (self.trace.piece[rows] >= 0, " "))
        _, first, at = np.unique(self._judged_alike[rows], return_index=True, return_inverse=True)
        return Texts.filled(
            "{stamp}{blank}{piece}: {fault}",
            stamp=self.text("stamp").take(rows),
            blank=own,
            piece=self.text("piece").take(rows),
            fault=Texts(at, self.qualities.words(self, name, rows[first])),
        )

    @cached_property
    def _judged_alike(self) -> Values:
        """A code per piece; those of one code differ in stamp and piece alone, as judging sees it.

        What is wrong with them is then said in the same words, which are made once.
        """
        trace, component = self.trace, self.records.component
        delivered = self.places.components.delivered.delivered_on
        bought = [delivered, component.values("zinc_um"), component.codes("zinc_lot")]
        run_on = self.records.component_placed.values("run_on")
        held = np.full(len(self), -1)
        held[self.quarantines[0]] = self.quarantines[1]
        rows = [
            *(trace.heat, trace.number, trace.line, trace.grade, self.kind, held),
            *(at_rows(pd.factorize(one)[0], self.component) for one in bought),
            pd.factorize(run_on)[0][trace.place],
        ]
        return joined_codes([one + 1 for one in rows])

    def text(self, name: str) -> Texts:
        """A text by the name of its column. Raises KeyError for another name."""
        if name in _TEXTS:
            return _TEXTS[name](self)
        rows, own, at = self._source(name)
        return Texts(at_rows(rows.codes(own), at), rows.texts(own))

    def number(self, name: str) -> Values:
        """A number by the name of its column. Raises KeyError for another name."""
        rows, own, at = self._source(name)
        found: Values = np.append(rows.values(own).astype(float), np.nan)[at]
        return found

    def day(self, name: str) -> Values:
        """A day by the name of its column. Raises KeyError for another name."""
        if name == "delivered_on":
            days = self.places.components.delivered.delivered_on
            found: Values = np.append(days, _NO_DAY)[self.component]
            return found
        rows, own, at = self._source(name)
        return _day(rows, own, at)

    def flag(self, name: str) -> Values:
        """A yes or no by the name of its column. Raises KeyError for another name."""
        if name in self.faults:
            return self.faults[name]
        if name in self.declared:
            own: Values = getattr(self, name)
            return own
        rows, given, at = self._source(name)
        return is_at(rows.is_true(given), at)

    def _source(self, name: str) -> tuple[CurrentRows, str, Values]:
        """Records, their column and the row of each piece."""
        kind, own = _SOURCES[name]
        rows: CurrentRows = getattr(self.records, kind)
        trace = self.trace
        at = {
            "component_placed": trace.place,
            "component": self.component,
            "component_kinds": self.kind,
            "piece": trace.piece,
            "certificate": trace.certificate,
            "heat_on_certificate": trace.line,
            "steel_grades": trace.grade,
        }[kind]
        if own in ("standard", "grade"):  # those of a certificate that lists the heat
            at = np.where(trace.listed, at, -1)
        return rows, own, at


def _day(rows: CurrentRows, name: str, at: Values) -> Values:
    found: Values = np.append(rows.values(name), _NO_DAY)[at]
    return found


def _quarantine_notes(piece: PiecePlaced) -> Texts:
    """Who put the heat of each piece in quarantine and why; of several the last."""
    rows = piece.records.quarantine
    person, reason = (
        Texts(rows.codes(name), rows.texts(name)).array() for name in ("person", "reason")
    )
    days = np.datetime_as_string(rows.values("decided_on"), unit="D").tolist()
    words = [f"in quarantine since {day}, {who}: {why}" for day, who, why in
             zip(days, person.tolist(), reason.tolist(), strict=True)]  # fmt: skip
    codes = np.full(len(piece), -1)
    row, at = piece.quarantines
    codes[row] = at
    return Texts(codes, words)


RESULTS = ("yield_mpa", "tensile_mpa", "elongation_percent",
           *(f"{name}_percent" for name in ELEMENTS.values()))  # fmt: skip
LIMITS = (*(f"min_{name}" for name in RESULTS[:3]), *(f"max_{name}" for name in RESULTS[3:]))
# Where a column comes from: records, and its name there.
_SOURCES: dict[str, tuple[str, str]] = {
    **{name: ("component_placed", name) for name in ("stamp", "run_on")},
    **{name: ("component", name) for name in ("component_kind", "zinc_lot", "zinc_um")},
    "piece": ("piece", "piece"),
    **{name: ("certificate", name) for name in ("certificate_type", "standard", "grade")},
    **{name: ("heat_on_certificate", name) for name in (*RESULTS, "page", "melted_in")},
    **{name: ("steel_grades", name) for name in LIMITS},
    **{name: ("component_kinds", name) for name in
       ("traceability", "zinc_lot_asked", "zinc_um_asked", "origin_asked")},
    "certificate_type_asked": ("component_kinds", "certificate_type"),
}  # fmt: skip


_TEXTS: dict[str, Callable[[PiecePlaced], Texts]] = {
    "delivery_id": lambda piece: piece.places.delivery_id.take(piece.trace.place),
    "all_deliveries": lambda piece: piece.places.placed.all_deliveries().take(piece.trace.place),
    "lot": lambda piece: piece.places.components.delivered.lot_text.take(piece.component),
    "lot_or_stamp": lambda piece: piece.text("lot").first_known(piece.text("stamp")),
    "heat": lambda piece: Texts(piece.trace.heat, piece.mills.heats),
    "mill": lambda piece: Texts(piece.trace.mill, piece.mills.mills),
    "of_mill": lambda piece: Texts(
        piece.trace.mill, [f" of {mill}" if mill else "" for mill in piece.mills.mills]
    ),
    "all_heats": lambda piece: piece.shared.heats.take(piece.trace.piece),
    "mills": lambda piece: piece.mills.all_mills(piece.trace.heat),
    "quarantine_note": _quarantine_notes,
    "certificate": lambda piece: Texts(piece.trace.number, piece.trace.certificates),
}


_BY_HEAT = ("piece", "heat or lot per pile")
# Every way to stop with its words, from the pile towards the certificate.
_STOPS: tuple[tuple[Callable[[PiecePlaced], Values], str], ...] = (
    (lambda piece: piece.deliveries == 0, "stamp {stamp} is on no delivery"),
    (lambda piece: ~piece.on_register & piece.delivery_named,
     "stamp {stamp} is not on delivery {delivery_id}"),
    (lambda piece: ~piece.on_register,
     "stamp {stamp} is on several deliveries: {all_deliveries}"),
    (lambda piece: piece.trace.piece < 0, "no piece of steel is recorded for stamp {stamp}"),
    (lambda piece: piece.trace.heat < 0, "no heat is recorded for this piece"),
    (lambda piece: piece.possible_heats > 1,
     "lot {lot_or_stamp} is of the heats {all_heats}; which of them this one is of is not "
     "recorded"),
    (lambda piece: piece.of_no_mill, "heat {heat}{of_mill} is known of several mills: {mills}"),
    (lambda piece: piece.trace.named & ~piece.trace.on_file,
     "certificate {certificate} is not on the register"),
    (lambda piece: piece.trace.named & ~piece.trace.listed,
     "certificate {certificate} does not list heat {heat}{of_mill}"),
    (lambda piece: ~piece.trace.listed, "no certificate lists heat {heat}{of_mill}"),
    (lambda piece: piece.out_of_use, "lot {lot} is not in use on the day of the run"),
    (lambda piece: piece.type_too_low,
     "certificate type {certificate_type} where {certificate_type_asked} is required"),
    (lambda piece: piece.kind < 0, "no component kind {component_kind} is in project.toml"),
)  # fmt: skip


def words_of_stops(piece: PiecePlaced, rows: Values) -> Texts:
    """Where the trace of each piece of ``rows`` stops, in words; none where it does not."""
    stop, codes = piece.stop[rows], np.full(len(rows), -1)
    words: list[str] = []
    for place in np.unique(stop[stop >= 0]).tolist():
        at = np.flatnonzero(stop == place)
        texts = filled(piece, _STOPS[place][1], rows[at])
        codes[at] = texts.codes + len(words)
        words += texts.words
    return Texts(codes, words)


def filled(piece: PiecePlaced, template: str, rows: Values) -> Texts:
    """``template`` with the texts that it names in braces, of each piece of ``rows``."""
    names = [name for _, name, _, _ in Formatter().parse(template) if name]
    if not names:
        return Texts(np.zeros(len(rows), dtype=np.int64), [template])
    return Texts.filled(template, **{name: piece.text(name).take(rows) for name in names})


def words_of_fault(piece: PiecePlaced, name: str, rows: Values) -> Texts:
    """What is wrong with each piece of ``rows`` that has the fault ``name``."""
    stopped = words_of_stops(piece, rows)
    if name == "uncertified":
        named, heat = piece.trace.named[rows], piece.trace.heat[rows]
        lost = filled(piece, "certificate {certificate} is not on the register", rows)
        lost = lost.where(named & ~piece.trace.on_file[rows])
        nameless = Texts.of(len(rows), ((heat < 0) & ~named, "no certificate is named"))
        stopped = lost.first_known(nameless).first_known(stopped)
    before = filled(piece, "{stamp} {piece}: ", rows).where(piece.trace.piece[rows] >= 0)
    return Texts.filled("{before}{stopped}", before=before, stopped=stopped)


def first_words(owner: Values, texts: Texts, number: int, most: int) -> Texts:
    """Per owner, of which there are ``number``, the first ``most`` different texts and the rest.

    Rows of one owner stand together.
    """
    pair = owner * len(texts.words) + texts.codes
    first = np.sort(np.unique(pair, return_index=True)[1])
    own, named = owner[first], texts.take(first).array().tolist()
    begins = np.flatnonzero(np.diff(own, prepend=-1))
    ends = np.append(begins, len(own))[1:]
    codes = np.full(number, -1)
    codes[own[begins]] = np.arange(len(begins))
    joined = []
    for begin, end in zip(begins.tolist(), ends.tolist(), strict=True):
        more = end - begin - most
        shown = "; ".join(named[begin : min(end, begin + most)])
        joined.append(shown + (f"; and {more} more" if more > 0 else ""))
    return Texts(codes, joined)
