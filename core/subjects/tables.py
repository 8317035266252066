"""A table is a class: what one row is, which columns are recorded or set, and its measures.

A measure is a method of the table class, from the table to a column. From this one declaration come
the numbers of all rows, the worksheet step of one row and the rows of the ledger behind it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from string import Formatter
from threading import RLock
from typing import Any, ClassVar, Generic, Literal, Self, TypeVar, overload

import numpy as np

from core import records, units
from core.records.current_rows import CurrentRows, joined_codes
from core.subjects.columns import (
    Aggregated,
    Book,
    Column,
    Named,
    Recorded,
    Setting,
    Values,
    choose,
    take,
)
from core.subjects.steps import Formula, Origin, Step, described

Kind = Literal["number", "flag", "text", "day"]
_ONE_AT_A_TIME = RLock()


@dataclass(frozen=True, eq=False)
class Links:
    """Rows of a record kind behind rows of a table: pairs of a row there and a row here.

    ``owner``: row of the table; ``at``: row of ``rows``, which carry their place in the ledger.
    """

    record: str
    owner: Values
    rows: CurrentRows
    at: Values

    @property
    def entry_no(self) -> Values:
        """The entry of each pair's row."""
        found: Values = self.rows.values("entry_no")[self.at]
        return found

    def newest(self, length: int) -> Values:
        """Per row of a table of ``length`` the newest entry behind it, 0 where there is none."""
        found = np.zeros(length, dtype=np.int64)
        np.maximum.at(found, self.owner, self.entry_no)
        return found

    def where(self, mask: Values) -> Links:
        """The pairs of which ``mask`` is true."""
        return Links(self.record, self.owner[mask], self.rows, self.at[mask])


@dataclass(frozen=True, eq=False)
class Texts:
    """A text per row as a code into ``words``; -1 is none. Words are made when somebody looks."""

    codes: Values
    words: Sequence[str]

    @classmethod
    def of(cls, length: int, *cases: tuple[Values, str]) -> Texts:
        """Per row the text of the first case whose mask holds."""
        codes = np.full(length, -1)
        for place, (mask, _) in enumerate(cases):
            codes[(codes < 0) & mask] = place
        return cls(codes, [text for _, text in cases])

    @classmethod
    def filled(cls, template: str, **texts: Texts) -> Texts:
        """``template`` with the texts that it names in braces, each different one made once.

        A text that is none is empty.
        """
        key = joined_codes([one.codes + 1 for one in texts.values()])
        _, first, at = np.unique(key, return_index=True, return_inverse=True)
        columns = [one.take(first).array().tolist() for one in texts.values()]
        place: dict[str, int] = {}
        own = [
            place.setdefault(template.format(**dict(zip(texts, row, strict=True))), len(place))
            for row in zip(*columns, strict=True)
        ]
        return cls(np.array(own, dtype=np.int64)[at], list(place))

    def __len__(self) -> int:
        return len(self.codes)

    def where(self, mask: Values) -> Texts:
        """The texts of which ``mask`` is true, none elsewhere."""
        return Texts(np.where(mask, self.codes, -1), self.words)

    def take(self, places: Values) -> Texts:
        """The texts at ``places``, none where a place is -1."""
        return Texts(np.append(self.codes, -1)[places], self.words)

    def first_known(self, other: Texts) -> Texts:
        """These texts, and those of ``other`` where there is none."""
        after = np.where(other.codes >= 0, other.codes + len(self.words), -1)
        return Texts(np.where(self.codes >= 0, self.codes, after), [*self.words, *other.words])

    def at(self, row: int) -> str:
        """The text of one row, empty where there is none."""
        code = int(self.codes[row])
        return self.words[code] if code >= 0 else ""

    def array(self) -> Values:
        """The texts as objects, empty where there is none."""
        found: Values = np.array([*self.words, ""], dtype=object)[self.codes]
        return found


Evidence = Callable[[Any], Iterable[Links]]


class Table:
    """Rows of one grain with their measures.

    A subclass says in its docstring what one row is. ``subject``: heading of its steps;
    ``record``: record kind whose rows these are, empty where they are made; ``title``: what a step
    calls a row, filled from its columns (``of lift {lift_no} of run {run_no}``), empty for a pile.
    ``traced``: whether columns keep how they came about. ``beside``: other tables of the same rows
    by name, for ``other``.
    """

    subject: ClassVar[str]
    record: ClassVar[str] = ""
    title: ClassVar[str] = ""
    declared: ClassVar[dict[str, Declared]] = {}

    def __init_subclass__(cls) -> None:
        cls.declared = {
            name: one
            for base in reversed(cls.__mro__)
            for name, one in vars(base).items()
            if isinstance(one, Declared)
        }

    def __init__(self, rows: CurrentRows, *, traced: bool = False, **beside: Table) -> None:
        self.rows, self.traced, self.beside = rows, traced, beside
        self._made: dict[str, Any] = {}
        self._open: set[str] = set()

    def __len__(self) -> int:
        return len(self.rows)

    def numbers(self, name: str) -> Values:
        """A column of the rows as numbers, NaN where nothing is recorded."""
        return self.rows.values(name).astype(float)

    def is_text(self, name: str, text: str) -> Values:
        """Whether each row has exactly ``text``."""
        return self.rows.is_text(name, text)

    def text(self, name: str) -> Texts:
        """A column of the rows as texts."""
        return Texts(self.rows.codes(name), self.rows.texts(name))

    def has(self, name: str) -> Values:
        """Whether each row has anything recorded under ``name``."""
        return self.rows.has(name)

    def is_true(self, name: str) -> Values:
        """Whether each row has a recorded yes."""
        return self.rows.is_true(name)

    def recorded(self, name: str) -> Column:
        """A number of the rows' own record."""
        suffix = units.suffix_of(name)
        derivation = Recorded(name) if self.traced else None
        return Column(self, self.numbers(name), suffix.expression if suffix else "", derivation)

    def title_of(self, row: int) -> str:
        """What a step calls ``row``; empty for a pile."""
        return self.filled(self.title, row)

    def filled(self, template: str, row: int) -> str:
        """``template`` with the columns that it names in braces, as printed.

        These are columns of the rows, and texts that the table declares.
        """
        if "{" not in template:
            return template
        names = {name for _, name, _, _ in Formatter().parse(template) if name}
        return template.format(**{name: self._printed(name, row) for name in names})

    def origin(self, row: int) -> Origin | None:
        """The row of the ledger that ``row`` is; None where it is none."""
        rows = self.rows
        if not self.record or "entry_no" not in rows.names or not rows.has("entry_no")[row]:
            return None
        sheet = int(rows.codes("sheet")[row]) if "sheet" in rows.names else -1
        return Origin(
            self.record_of(row),
            int(rows.values("entry_no")[row]),
            rows.texts("sheet")[sheet] if sheet >= 0 else None,
            int(rows.values("row_no")[row]),
        )

    def record_of(self, row: int) -> str:
        """Record kind of ``row``; another than the table's where a subclass mixes kinds."""
        return self.record

    def links(self, owner: Values, at: Values) -> list[Links]:
        """Rows ``at`` of this table as rows of the ledger behind rows ``owner`` of another one.

        A subclass whose rows are of several record kinds gives one for each kind.
        """
        recorded = self.rows.has("entry_no")[at]
        return [Links(self.record, owner[recorded], self.rows, at[recorded])]

    def own_links(self) -> list[Links]:
        """The rows of the ledger that the rows of this table are."""
        every = np.arange(len(self))
        return self.links(every, every)

    def evidence(self, name: str) -> list[Links]:
        """Rows of the ledger behind a measure, or behind what ``name`` declares without a number.

        Raises LookupError where the table declares neither evidence nor a record of its own.
        """
        declared = self.declared[name]
        if declared.evidence is not None:
            return list(declared.evidence(self))
        if not self.record:
            raise LookupError(f"{type(self).__name__}.{name} declares no evidence")
        return self.own_links()

    def columns(self) -> Iterator[tuple[str, Any]]:
        """Every declared column with its values: arrays, and ``Texts`` for words."""
        for name, declared in self.declared.items():
            if declared.kind is not None:
                found = getattr(self, name)
                yield name, found.values if isinstance(found, Column) else found

    def steps(self, book: Book, row: int = 0) -> list[Step]:
        """The steps of every printed measure of ``row`` with all that they need, in order."""
        for name, declared in self.declared.items():
            if isinstance(declared, measure) and declared.is_printed:
                book.value(getattr(self, name), row)
        return book.steps

    def _printed(self, name: str, row: int) -> str:
        rows = self.rows
        declared = self.declared.get(name)
        if isinstance(declared, column) and declared.kind in ("text", None):
            own: Texts = getattr(self, name)
            return own.words[own.codes[row]] if own.codes[row] >= 0 else ""
        if rows.contains_text(name):
            return rows.text(name, row)
        number = float(rows.values(name)[row])
        return units.text(number, name, "SI") if units.suffix_of(name) else f"{number:g}"


class Declared:
    """Something that a table class declares under a name; made once per table, when needed.

    ``meaning``: what it is, in the data dictionary; ``kind`` of its values, None for no column.
    """

    name: str
    kind: Kind | None = None
    meaning: str = ""
    evidence: Evidence | None = None

    def __set_name__(self, owner: type, name: str) -> None:
        self.name = name

    def _once(self, table: Table, make: Callable[[], Any]) -> Any:
        if self.name not in table._made:
            with _ONE_AT_A_TIME:  # several screens may read a table at once
                if self.name not in table._made:
                    table._made[self.name] = self._made_of(table, make)
        return table._made[self.name]

    def _made_of(self, table: Table, make: Callable[[], Any]) -> Any:
        if self.name in table._open:
            raise RecursionError(f"{type(table).__name__}.{self.name} needs itself")
        table._open.add(self.name)
        try:
            return make()
        finally:
            table._open.discard(self.name)


class recorded(Declared):  # noqa: N801  reads as a word where it stands
    """A number of the row's own record."""

    kind: Kind | None = "number"

    @overload
    def __get__(self, table: None, owner: type) -> Self: ...
    @overload
    def __get__(self, table: Table, owner: type) -> Column: ...
    def __get__(self, table: Table | None, owner: type) -> Column | Self:
        return self if table is None else self._once(table, lambda: self._column(table))

    def _column(self, table: Table) -> Column:
        return table.recorded(self.name)


class setting(recorded):  # noqa: N801
    """A number of project.toml, in the rows under its own name.

    ``key``: where it is written, filled from the row's columns (``types.{pile_type}.disc_mm``).
    """

    def __init__(self, key: str) -> None:
        self.key = key

    def _column(self, table: Table) -> Column:
        found = table.recorded(self.name)
        found.derivation = Setting(self.key) if table.traced else None
        return found


class other(recorded):  # noqa: N801
    """A measure of another table of the same rows, with its steps and evidence.

    ``table``: its name among ``beside``; ``measure``: its name there, where it is another.
    """

    def __init__(self, table: str, measure: str = "") -> None:
        self.table, self.measure = table, measure

    def _column(self, table: Table) -> Column:
        found: Column = getattr(table.beside[self.table], self.measure or self.name)
        return found


class measure(Declared):  # noqa: N801
    """A number of every row, declared by the decorated method; worked out when it is needed.

    ``word``: what it is called; those that are printed have theirs in ``records.MEASURE``.
    ``evidence``: from the table to the rows of the ledger behind the number; left out, the rows of
    the table's own record. ``source``: of a step that hands a recorded number on. ``digits``: how
    many decimals are kept, in the unit of the name. ``note``: more about the number of a row.
    """

    kind: Kind | None = "number"

    def __init__(
        self,
        word: str = "",
        *,
        evidence: Evidence | None = None,
        source: str = "",
        digits: int | None = None,
        note: Callable[[Any, int], str] | None = None,
    ) -> None:
        self._word, self.evidence, self.source = word, evidence, source
        self.digits, self.note = digits, note
        self.meaning = word
        self._make: Callable[[Any], Column] | None = None

    def __call__(self, make: Callable[[Any], Column]) -> measure:
        """Declares ``make`` as what gives the numbers."""
        self._make = make
        self.__doc__ = make.__doc__
        return self

    @property
    def is_printed(self) -> bool:
        """Whether screens, sheets and sign-offs show it."""
        return not self._word

    @property
    def word(self) -> str:
        """What the measure is called."""
        return self._word or records.MEASURE[self.name].word

    @overload
    def __get__(self, table: None, owner: type) -> Self: ...
    @overload
    def __get__(self, table: Table, owner: type) -> Column: ...
    def __get__(self, table: Table | None, owner: type) -> Column | Self:
        return self if table is None else self._once(table, lambda: self._column(table))

    def _column(self, table: Table) -> Column:
        assert self._make is not None, self.name
        made, suffix = self._make(table), units.suffix_of(self.name)
        found = made.in_unit(suffix.expression) if suffix and made.unit else made
        values = found.values if self.digits is None else np.round(found.values, self.digits)
        unit, derivation = suffix.expression if suffix else "", None
        if table.traced:
            subject = table.subject if self._word else records.MEASURE[self.name].subject
            derivation = Named(
                self.name, self.word, table.subject or subject, made, self.source,
                not table.title, self.is_printed, self.digits, self.note,
            )  # fmt: skip
        return Column(table, values, unit, derivation)


class column(Declared):  # noqa: N801
    """A column without steps: a count, a yes or no, a text or a day, for rules and screens."""

    def __init__(
        self, kind: Kind | None, meaning: str, *, evidence: Evidence | None = None
    ) -> None:
        self.kind, self.meaning, self.evidence = kind, meaning, evidence
        self._make: Callable[[Any], Any] | None = None

    def __call__(self, make: Callable[[Any], Any]) -> column:
        """Declares ``make`` as what gives the values."""
        self._make = make
        return self

    def __get__(self, table: Table | None, owner: type) -> Any:
        if table is None:
            return self
        assert self._make is not None, self.name
        make = self._make
        return self._once(table, lambda: make(table))


class phrase(column):  # noqa: N801
    """A text for the steps of a row, such as why one number governs; no column of screens."""

    def __init__(self, meaning: str) -> None:
        super().__init__(None, meaning)


class evidence(Declared):  # noqa: N801
    """Rows of the ledger behind findings that name no measure, declared by the decorated method."""

    def __init__(self, meaning: str = "") -> None:
        self.meaning = meaning

    def __call__(self, find: Evidence) -> evidence:
        """Declares ``find`` as what gives the rows."""
        self.evidence = find
        return self


Below = TypeVar("Below", bound=Table)


class Members(Generic[Below]):
    """Which rows of the table ``below`` belong to each row of the table ``above``.

    ``owner``: the row above of each row below, -1 for none; rows below keep their order. ``mask``
    leaves rows out. Every number of none is unknown, a count of none is 0.
    """

    def __init__(
        self, below: Below, above: Table, owner: Values, mask: Values | None = None
    ) -> None:
        keep = owner >= 0 if mask is None else (owner >= 0) & mask
        rows = np.flatnonzero(keep)
        if np.any(np.diff(owner[rows]) < 0):
            rows = rows[np.argsort(owner[rows], kind="stable")]
        self._group(below, above, rows, owner[rows])

    def _group(self, below: Below, above: Table, rows: Values, owner: Values) -> None:
        self.below, self.above, self.rows, self.owner = below, above, rows, owner
        self.starts = np.flatnonzero(np.diff(self.owner, prepend=-1))
        self.owners = self.owner[self.starts]
        self._lengths = np.diff(np.append(self.starts, len(rows)))

    @cached_property
    def number(self) -> Values:
        """How many rows belong to each row above."""
        found = np.zeros(len(self.above), dtype=np.int64)
        found[self.owners] = self._lengths
        return found

    def of(self, row: int) -> Values:
        """Rows below that belong to ``row`` above."""
        begin, end = np.searchsorted(self.owner, [row, row + 1])
        found: Values = self.rows[begin:end]
        return found

    def where(self, mask: Values) -> Members[Below]:
        """The same without the rows below of which ``mask`` is false."""
        found: Members[Below] = object.__new__(type(self))
        keep = mask[self.rows]
        found._group(self.below, self.above, self.rows[keep], self.owner[keep])
        return found

    def reduce(self, ufunc: Any, values: Values, nothing: Any) -> Values:
        """``ufunc`` over the members of each row above; ``nothing`` where there is none."""
        dtype = np.result_type(values, type(nothing))
        found = np.full(len(self.above), nothing, dtype=dtype)
        if len(self.starts):
            found[self.owners] = ufunc.reduceat(values[self.rows], self.starts)
        return found

    def count(self, mask: Values) -> Values:
        """How many members of each row above are in ``mask``."""
        return self.reduce(np.add, mask.astype(np.int64), 0)

    def any(self, mask: Values) -> Values:
        """Whether a member of each row above is in ``mask``."""
        return self.count(mask) > 0

    def every(self, mask: Values) -> Values:
        """Whether each row above has members, and all of them are in ``mask``."""
        found: Values = (self.number > 0) & (self.count(~mask) == 0)
        return found

    def at(self, values: Values, which: str) -> Values:
        """Row below of the ``minimum``, ``maximum``, ``first`` or ``last`` known; -1 for none.

        The first of equal ones.
        """
        found = np.full(len(self.above), -1)
        if not len(self.starts):
            return found
        own = values[self.rows]
        hit = ~np.isnan(own)
        if which in ("minimum", "maximum"):
            ufunc = np.fmin if which == "minimum" else np.fmax
            best = ufunc.reduceat(own, self.starts)
            hit &= own == np.repeat(best, self._lengths)
        none = -1 if which == "last" else len(own)
        place = np.where(hit, np.arange(len(own)), none)
        best = (np.maximum if which == "last" else np.minimum).reduceat(place, self.starts)
        known = (best >= 0) & (best < len(own))
        found[self.owners[known]] = self.rows[best[known]]
        return found

    def pick(self, column: Column, which: str) -> Column:
        """One member's number as it is: that ``at`` gives."""
        return take(self.above, column, self.at(column.values, which))

    def minimum(self, column: Column, source: str) -> Column:
        """The minimum of the known numbers; its step prints all of them."""
        return self._extreme(column, "minimum", source)

    def maximum(self, column: Column, source: str) -> Column:
        """The maximum of the known numbers; its step prints all of them."""
        return self._extreme(column, "maximum", source)

    def _extreme(self, column: Column, which: str, source: str) -> Column:
        at = self.at(column.values, which)
        values = np.full(len(at), np.nan)
        values[at >= 0] = column.values[at[at >= 0]]
        return self._aggregate(
            values, column, f"r = {which} of r₁ … rₙ", "r", source, only_known=True
        )

    def total(
        self, column: Column, source: str = "balance of volumes.", symbol: str = "V"
    ) -> Column:
        """The sum, unknown while one is; a single member is handed on as it is."""
        sums = self._sums(column.values)
        values = np.full(len(self.above), np.nan)
        values[self.owners] = sums[self.starts + self._lengths - 1]
        summed = self._aggregate(values, column, f"sum of {symbol}", symbol, source)
        alone = np.full(len(self.above), -1)
        alone[self.owners] = self.rows[self.starts]
        single = take(self.above, column, alone)
        return choose(self.above, (self.number == 1, single), (self.number > 1, summed))

    def mean(self, column: Column, formula: Formula, weights: Column | None = None) -> Column:
        """The mean, plain or weighted, unknown while a member is; ``formula`` states it."""
        about = described(formula)
        with np.errstate(invalid="ignore", divide="ignore"):
            if weights is None:
                values = self.reduce(np.add, column.values, np.nan) / self.number
            else:
                values = self.reduce(np.add, column.values * weights.values, np.nan)
                values = values / self.reduce(np.add, weights.values, np.nan)
        symbol = about.equation.split(" ")[0].removeprefix("mean").strip() or "T"
        return self._aggregate(values, column, about.equation, symbol, about.source, weights)

    def sum_of_products(self, formula: Formula, **columns: Column) -> Column:
        """The sum of a number times another one of every member, unknown while one is.

        ``formula`` states it, as ``Q = A₁·q₁ + … + Aₙ·qₙ``; ``columns``: by its two parameters.
        """
        about = described(formula)
        one, other = (columns[name].in_unit(about.expressions[name]) for name in about.symbols)
        values = self.reduce(np.add, one.values * other.values, np.nan)
        first, second = (symbol[0] for symbol in about.symbols.values())
        derivation = None
        if self.above.traced:
            derivation = Aggregated(
                one, self, about.equation, first, about.source, other, weight_symbol=second
            )
        return Column(self.above, values, about.expression, derivation)

    def running(self, column: Column, source: str = "balance of volumes.") -> Column:
        """Below: the sum from the first member to each, unknown from the first unknown on."""
        values = np.full(len(self.below), np.nan)
        values[self.rows] = self._sums(column.values)
        members: Any = UpTo(self)
        derivation = None
        if self.below.traced:
            derivation = Aggregated(column, members, "sum of V", "V", source)
        return Column(self.below, values, column.unit, derivation)

    def running_maximum(self, column: Column) -> Column:
        """Below: the maximum from the first member to each, unknown from the first unknown on.

        The number is handed on as it is, the last of equal ones.
        """
        lost = self._running_maximum(np.isnan(column.values[self.rows]).astype(np.int64)) > 0
        at = np.full(len(self.below), -1)
        at[self.rows] = np.where(lost, -1, self.row_of_running_maximum(column.values)[self.rows])
        return take(self.below, column, at)

    def row_of_running_maximum(self, values: Values) -> Values:
        """Below: the row of the maximum known value from the first member to each; -1 for none.

        The last of equal ones.
        """
        own = values[self.rows]
        rank = np.unique(own, return_inverse=True)[1] + 1
        rank[np.isnan(own)] = 0
        top = self._running_maximum(rank)
        here = np.maximum.accumulate(np.where(rank == top, np.arange(len(own)), 0))
        found = np.full(len(self.below), -1)
        found[self.rows] = np.where(top > 0, self.rows[here], -1)
        return found

    def previous(self, column: Column) -> Column:
        """Below: the number of the member before, unknown for the first."""
        at = np.full(len(self.below), -1)
        at[self.rows[1:]] = self.rows[:-1]
        at[self.rows[self.starts]] = -1
        return take(self.below, column, at)

    def place(self) -> Values:
        """Below: how many members of the same owner come before."""
        found = np.zeros(len(self.below), dtype=np.int64)
        found[self.rows] = np.arange(len(self.rows)) - np.repeat(self.starts, self._lengths)
        return found

    def joined(self, texts: Texts) -> Texts:
        """The texts of the members of each row above, each once, in their order."""
        codes = texts.codes[self.rows]
        pairs = np.unique(np.stack([self.owner, codes]), axis=1, return_index=True)[1]
        pairs = np.sort(pairs[codes[pairs] >= 0])
        owner, codes = self.owner[pairs], codes[pairs]
        number = np.bincount(owner, minlength=len(self.above))
        found, words = np.full(len(self.above), -1), list(texts.words)
        found[owner] = codes
        several = np.flatnonzero(number > 1)
        begins = np.searchsorted(owner, several)
        for row, begin in zip(several, begins, strict=True):
            found[row] = len(words)
            words.append(", ".join(texts.words[one] for one in codes[begin : begin + number[row]]))
        return Texts(found, words)

    def _running_maximum(self, values: Values) -> Values:
        """The maximum of whole numbers, not negative, from an owner's first member to each."""
        group = np.repeat(np.arange(len(self.starts)), self._lengths)
        group *= int(values.max(initial=0)) + 1
        found: Values = np.maximum.accumulate(group + values) - group
        return found

    def _sums(self, values: Values) -> Values:
        """The sum from each owner's first member to each, in the order of ``rows``.

        Each owner is summed by itself, with the error of every addition carried to the next one,
        so that its sums do not hang on other owners. (W. Kahan, Further remarks on reducing
        truncation errors, Communications of the ACM 8:40, 1965; from memory.)
        """
        own = values[self.rows]
        found = own.astype(float)
        total, lost = found[self.starts], np.zeros(len(self.starts))
        more = np.arange(len(self.starts))
        for place in range(1, int(self._lengths.max(initial=0))):
            more = more[self._lengths[more] > place]
            at = self.starts[more] + place
            added = own[at] - lost[more]
            grown = total[more] + added
            lost[more] = grown - total[more] - added
            total[more] = found[at] = grown
        return found

    def through(self, upper: Members[Any]) -> Members[Below]:
        """The rows below under the rows above those of ``upper``, to which this one's belong."""
        home = np.full(len(self.above) + 1, -1)
        home[upper.rows] = upper.owner
        every = np.full(len(self.below), -1)
        every[self.rows] = home[self.owner]
        return Members(self.below, upper.above, every)

    def links(self, mask: Values | None = None) -> list[Links]:
        """The rows of the ledger below, or those in ``mask``, behind the rows above."""
        rows, owner = self.rows, self.owner
        if mask is not None:
            rows, owner = rows[mask[rows]], owner[mask[rows]]
        return self.below.links(owner, rows)

    def _aggregate(
        self,
        values: Values,
        column: Column,
        equation: str,
        symbol: str,
        source: str,
        weights: Column | None = None,
        only_known: bool = False,
    ) -> Column:
        derivation = None
        if self.above.traced:
            derivation = Aggregated(column, self, equation, symbol, source, weights, only_known)
        return Column(self.above, values, column.unit, derivation)


class UpTo:
    """The members of a row's own owner from the first down to the row itself."""

    def __init__(self, members: Members[Any]) -> None:
        self.members = members

    def of(self, row: int) -> Values:
        """Rows from the owner's first to ``row``."""
        place = int(np.flatnonzero(self.members.rows == row)[0])
        begin = np.searchsorted(self.members.owner, self.members.owner[place])
        found: Values = self.members.rows[begin : place + 1]
        return found


def of_pile(rows: CurrentRows, pile_id: str) -> CurrentRows:
    """The rows of one pile; rows of a kind without piles stay as they are."""
    return rows.where(rows.is_text("pile_id", pile_id)) if "pile_id" in rows.names else rows
