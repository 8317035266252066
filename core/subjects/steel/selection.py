"""Which delivery, piece, mill, heat and certificate belong to each component: row numbers by codes.

Nothing is measured here. A row number of -1 is none.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from core.records.current_rows import Array, CurrentRows, common_codes
from core.records.matching import key_codes, row_by_code, row_of, rows_by_code
from core.subjects.tables import Texts

_NO_DAY = np.datetime64("NaT", "us")
_BLANKS = re.compile(r"[^\S\n]+")


@dataclass(frozen=True, eq=False)
class Records:
    """Current rows of the ledger and of project.toml on which the steel of a job rests.

    ``component_placed``: up to the day of assessment, in the order of the work and from the toe up,
    with the day and the order of their run; ``quarantine``: heats that are in quarantine.
    """

    component_placed: CurrentRows
    component: CurrentRows
    delivery: CurrentRows
    lot: CurrentRows
    piece: CurrentRows
    certificate: CurrentRows
    heat_on_certificate: CurrentRows
    quarantine: CurrentRows
    component_kinds: CurrentRows
    steel_grades: CurrentRows


class Noted:
    """What the delivery note adds to each component delivered."""

    def __init__(self, component: CurrentRows, delivery: CurrentRows) -> None:
        self.component, self.delivery = component, delivery

    @cached_property
    def note(self) -> Array:
        """Row of the delivery note."""
        return row_of(self.component, self.delivery, "delivery_id")

    @cached_property
    def supplier(self) -> Texts:
        """The supplier that the component names, else that of its delivery note."""
        own, of_note = (
            Texts(rows.codes("supplier"), rows.texts("supplier"))
            for rows in (self.component, self.delivery)
        )
        return own.first_known(of_note.take(self.note))

    @cached_property
    def delivered_on(self) -> Array:
        """The day that the component names, else that of its delivery note."""
        own = self.component.values("delivered_on")
        of_note = np.append(self.delivery.values("delivered_on"), _NO_DAY)[self.note]
        return np.where(np.isnat(own), of_note, own)


class Delivered(Noted):
    """What the kind and the lot, too, add to each component delivered."""

    def __init__(self, records: Records) -> None:
        super().__init__(records.component, records.delivery)
        self.lots, self.kinds = records.lot, records.component_kinds

    @cached_property
    def kind(self) -> Array:
        """Row of the component kinds."""
        return row_of(self.component, self.kinds, "component_kind")

    @cached_property
    def word(self) -> Texts:
        """The word of the kind, or its key where project.toml does not have it."""
        names = Texts(self.kinds.codes("name"), self.kinds.texts("name")).take(self.kind)
        rows = self.component
        return names.first_known(Texts(rows.codes("component_kind"), rows.texts("component_kind")))

    @cached_property
    def lot(self) -> Array:
        """Row of the lot on record."""
        return row_by_code(self._lot_codes[0], self._lot_codes[1])

    @cached_property
    def lot_text(self) -> Texts:
        """The lot; that of a component of which one stamp stands for a lot is its stamp."""
        return Texts(self._lot_codes[0], self._lot_codes[2])

    @cached_property
    def _lot_codes(self) -> tuple[Array, Array, Sequence[str]]:
        """Codes of the lots of components and of those on record, and their texts."""
        (own, stamp, on_record), texts = common_codes(
            (self.component, "lot"), (self.component, "stamp"), (self.lots, "lot")
        )
        is_lot = np.append(self.kinds.is_text("stamp_is", "lot"), False)[self.kind]
        return np.where(own >= 0, own, np.where(is_lot, stamp, -1)), on_record, texts


class Placed:
    """Which delivery each component placed came with.

    ``deliveries``: how many brought its stamp; ``named``: the string names its delivery;
    ``delivery``: the one named, else the only one of its stamp; ``component``: row of the component
    delivered; ``note``: row of the delivery note; ``latest``: of the last run of its pile that has
    a string.
    """

    def __init__(self, records: Records) -> None:
        placed, component, piece = records.component_placed, records.component, records.piece
        stamps, self.stamps = common_codes(
            (placed, "stamp"), (component, "stamp"), (piece, "stamp"), (component, "cut_from")
        )
        self.stamp, self.stamp_of_component, self.stamp_of_piece, self.cut_from = stamps
        deliveries, self.delivery_ids = common_codes(
            *((rows, "delivery_id") for rows in (placed, component, piece, records.delivery))
        )
        own, self.delivery_of_component, of_piece, notes = deliveries
        self.deliveries = np.bincount(self.stamp_of_component, minlength=len(self.stamps))[
            self.stamp
        ]
        empty = self.delivery_ids.index("") if "" in self.delivery_ids else -2
        self.named = (own >= 0) & (own != empty)
        first = row_by_code(self.stamp, self.stamp_of_component)
        only = np.where(self.deliveries == 1, first, -1)
        only = np.append(self.delivery_of_component, -1)[only]
        self.delivery = np.where(self.named, own, only)
        self.key, self.key_of_component, self.key_of_piece = key_codes(
            stamps[:3], (self.delivery, self.delivery_of_component, of_piece)
        )
        self.component = row_by_code(self.key, self.key_of_component)
        self.note = row_by_code(self.delivery, notes)
        self.latest = _in_last_run(placed)

    def all_deliveries(self) -> Texts:
        """The deliveries that brought the stamp of each component placed, in one text."""
        of_stamp: dict[int, list[str]] = {}
        delivered = self.stamp_of_component.tolist(), self.delivery_of_component.tolist()
        for stamp, delivery in zip(*delivered, strict=True):
            of_stamp.setdefault(stamp, []).append(self.delivery_ids[delivery])
        codes = np.full(len(self.stamps), -1)
        codes[list(of_stamp)] = np.arange(len(of_stamp))
        return Texts(codes[self.stamp], [", ".join(texts) for texts in of_stamp.values()])


class Mills:
    """The mill of each piece and of each line of a certificate, as far as one alone is known.

    Where a row names no mill, the only one that pieces and certificates know of its heat holds;
    with several or none, the code is that of the empty text.
    """

    def __init__(self, piece: CurrentRows, line: CurrentRows, *others: CurrentRows) -> None:
        """``line``: heats on certificates; ``others``: further rows that name a mill and a heat."""
        every = (piece, line, *others)
        (self.heat_of_piece, self.heat_of_line, *heats), self.heats = common_codes(
            *((rows, "heat") for rows in every)
        )
        (of_piece, of_line, *mills), self.mills = common_codes(*((rows, "mill") for rows in every))
        if "" not in self.mills:
            self.mills = [*self.mills, ""]
        self.empty = self.mills.index("")
        self.others = list(zip(heats, mills, strict=True))
        self._heat, self._mill = self._known(
            np.concatenate([self.heat_of_piece, self.heat_of_line]),
            np.concatenate([of_piece, of_line]),
        )
        self.number = np.bincount(self._heat, minlength=len(self.heats) + 1)  # by heat, last: none
        only = np.full(len(self.heats) + 1, self.empty)
        only[self._heat] = self._mill
        only[self.number != 1] = self.empty
        self.of_piece = self._named(of_piece, only[self.heat_of_piece])
        self.of_line = self._named(of_line, only[self.heat_of_line])

    def all_mills(self, heat: Array) -> Texts:
        """All mills that are known of each ``heat``, in one text."""
        of_heat: dict[int, list[str]] = {}
        for one, mill in zip(self._heat.tolist(), self._mill.tolist(), strict=True):
            of_heat.setdefault(one, []).append(self.mills[mill])
        codes = np.full(len(self.heats) + 1, -1)
        codes[list(of_heat)] = np.arange(len(of_heat))
        return Texts(codes[heat], [", ".join(mills) for mills in of_heat.values()])

    def _named(self, own: Array, only: Array) -> Array:
        return np.where((own >= 0) & (own != self.empty), own, only)

    def _known(self, heat: Array, mill: Array) -> tuple[Array, Array]:
        """Distinct heats and mills of rows that name both, by heat, then by the mill's text."""
        known = (heat >= 0) & (mill >= 0) & (mill != self.empty)
        order = np.array(sorted(range(len(self.mills)), key=self.mills.__getitem__))
        rank = np.argsort(order)
        pairs = np.unique(heat[known] * len(order) + rank[mill[known]])
        return pairs // len(order), order[pairs % len(order)]


class Traced:
    """The piece, the line of a certificate and the grade of every piece of steel placed.

    One row per piece, in the order of the work; a component of which no piece is recorded keeps
    one row. ``place``, ``piece``, ``line``, ``certificate``, ``grade``: rows of the records;
    ``named``: the piece names its certificate; ``on_file``: it is on the register; ``listed``: it
    lists mill and heat. A certificate is the one named, else the highest
    type that lists mill and heat. A line and a grade hold only where that certificate lists them.
    """

    def __init__(self, records: Records, placed: Placed, mills: Mills) -> None:
        self._records, self._mills = records, mills
        line, certificate = records.heat_on_certificate, records.certificate
        (named, self._of_line, self._on_file), self.certificates = common_codes(
            (records.piece, "certificate"), (line, "certificate"), (certificate, "certificate")
        )
        self._certificate_of_line = row_by_code(self._of_line, self._on_file)
        place, piece = rows_by_code(placed.key, placed.key_of_piece)
        mill = np.append(mills.of_piece, -1)[piece]
        heat = np.append(mills.heat_of_piece, -1)[piece]
        number = np.append(named, -1)[piece]
        number = np.where(number >= 0, number, self._certificate_found(mill, heat))
        row, at_line, at_grade = self._results(number, mill, heat)
        order = _by_run_and_place(records.component_placed, place[row])
        row = row[order]
        self.place, self.piece = place[row], piece[row]
        self.mill, self.heat, self.number = mill[row], heat[row], number[row]
        self.line, self.grade = at_line[order], at_grade[order]
        self.certificate = row_by_code(self.number, self._on_file)
        self.named = np.append(named >= 0, False)[self.piece]
        self.on_file, self.listed = self.certificate >= 0, self.line >= 0

    def _certificate_found(self, mill: Array, heat: Array) -> Array:
        """Code of the highest certificate, then the first, that lists each mill and heat."""
        filed = np.flatnonzero(self._certificate_of_line >= 0)
        rank = ordered_ranks(self._records.certificate, "certificate_type")
        filed = filed[np.argsort(-rank[self._certificate_of_line[filed]], kind="stable")]
        own, listed = key_codes(
            (mill, self._mills.of_line[filed]), (heat, self._mills.heat_of_line[filed])
        )
        return np.append(self._of_line[filed], -1)[row_by_code(own, listed)]

    def _results(self, number: Array, mill: Array, heat: Array) -> tuple[Array, Array, Array]:
        """Rows beside each line of the certificate ``number`` for them, and each grade of that."""
        filed = np.flatnonzero(self._certificate_of_line >= 0)
        mills = self._mills
        own, listed = key_codes(
            (number, self._of_line[filed]),
            (mill, mills.of_line[filed]),
            (heat, mills.heat_of_line[filed]),
        )
        row, at = rows_by_code(own, listed)
        line = np.append(filed, -1)[at]
        asked = _grade_codes(self._records.certificate, self._records.steel_grades)
        of_line = np.append(self._certificate_of_line, -1)[line]
        again, grade = rows_by_code(np.append(asked[0], -1)[of_line], asked[1])
        return row[again], line[again], grade


@dataclass(frozen=True, eq=False)
class Shared:
    """Pieces recorded that stand for one: of a lot of several heats, of which each is of one.

    ``number``: of how many heats; ``first``: whether it is the first of them; ``heats``: all.
    """

    number: Array
    first: Array
    heats: Texts

    @classmethod
    def of(cls, piece: CurrentRows, key: Array) -> Shared:
        """Pieces of one component, which ``key`` gives, that state how many are of their heat."""
        number, first = np.ones(len(piece), dtype=np.int64), np.ones(len(piece), dtype=bool)
        codes = np.full(len(piece), -1)
        words: list[str] = []
        rows = np.flatnonzero(piece.has("of_this_heat") & piece.has("heat") & (key >= 0))
        of_component: dict[int, list[int]] = {}
        for row in rows.tolist():
            of_component.setdefault(int(key[row]), []).append(row)
        texts, heat = piece.texts("heat"), piece.codes("heat")
        for own in of_component.values():
            if len(own) > 1:
                number[own], first[own[1:]], codes[own] = len(own), False, len(words)
                words.append(", ".join(texts[heat[row]] for row in own))
        return cls(number, first, Texts(codes, words))


def placed_again(placed: Placed, single: Array) -> tuple[Array, Array]:
    """Places of ``single`` components whose stamp is in another place, too, beside the first other.

    In the strings that count; the stamp of one delivery is not that of another.
    """
    rows = np.flatnonzero(placed.latest & single)
    ids = placed.delivery_ids
    delivery = placed.delivery[rows]
    delivery = np.where(delivery == (ids.index("") if "" in ids else -1), -1, delivery)
    key = placed.stamp[rows] * (len(ids) + 1) + delivery + 1
    _, group, number = np.unique(key, return_inverse=True, return_counts=True)
    order = np.argsort(group, kind="stable")
    starts = np.cumsum(number) - number
    kept = np.flatnonzero(number[group] > 1)
    first, second = (order[starts[group[kept]] + place] for place in (0, 1))
    return rows[kept], rows[np.where(first == kept, second, first)]


def in_quarantine(
    quarantine: CurrentRows, mills: Mills, heat: Array, mill: Array
) -> tuple[Array, Array]:
    """Rows of ``heat`` and ``mill`` beside every quarantine that holds them.

    Where one of both names no mill, it holds, too. ``mills``: with ``quarantine`` among its others.
    """
    rows, at = [np.empty(0, dtype=np.int64)], [np.empty(0, dtype=np.int64)]
    heats, named = mills.others[0]
    for row, (own, of_mill) in enumerate(zip(heats.tolist(), named.tolist(), strict=True)):
        same = heat == own
        if of_mill not in (-1, mills.empty):
            same &= (mill == of_mill) | (mill == mills.empty) | (mill < 0)
        rows.append(np.flatnonzero(same))
        at.append(np.full(len(rows[-1]), row))
    return np.concatenate(rows), np.concatenate(at)


def ordered_ranks(rows: CurrentRows, name: str) -> Array:
    """Rank of each row's text, letter by letter; -1 where nothing is recorded."""
    texts = rows.texts(name)
    order = {text: place for place, text in enumerate(sorted(texts))}
    return np.array([*(order[text] for text in texts), -1], dtype=np.int64)[rows.codes(name)]


def _grade_codes(certificate: CurrentRows, grades: CurrentRows) -> list[Array]:
    """Codes of standard and grade of certificates and of grades, without case and blanks."""
    place: dict[str, int] = {}
    found = []
    for rows in (certificate, grades):
        names = [[*rows.texts(name), None] for name in ("standard", "grade")]
        pairs = zip(rows.codes("standard").tolist(), rows.codes("grade").tolist(), strict=True)
        codes = [
            -1 if -1 in (one, other)
            else place.setdefault(_folded(f"{names[0][one]}\n{names[1][other]}"), len(place))
            for one, other in pairs
        ]  # fmt: skip
        found.append(np.array(codes, dtype=np.int64))
    return found


def _folded(text: str) -> str:
    return _BLANKS.sub("", text.casefold())


def _in_last_run(placed: CurrentRows) -> Array:
    """Whether each place is of the last run of its pile that has a string."""
    order, pile = placed.values("run_order").astype(float), placed.codes("pile_id")
    known = ~np.isnan(order)
    last = np.full(int(pile.max(initial=-1)) + 2, -1.0)
    np.maximum.at(last, pile[known], order[known])
    found: Array = order == last[pile]
    return found


def _by_run_and_place(placed: CurrentRows, place: Array) -> Array:
    """The order of rows of the string's ``place``: by run, then from the toe up."""
    order = placed.values("run_order").astype(float)
    run = np.where(np.isnan(order), np.inf, order)[place]
    return np.lexsort((placed.values("place")[place], run))
