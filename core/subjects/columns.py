"""Columns that know how they came about: values of all rows at once, the steps of one row.

A ``Column`` is one number for every row of a table. In a bulk evaluation it is its values alone. In
a traced one it also keeps its *derivation*: recorded, a setting, an assumption, a formula over
other columns, the choice of one of several, or an aggregate of a table below. From it come the
worksheet steps of a row, made by the same declaration that gave the values.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np

from core import units
from core.subjects.steps import Formula, Input, InputValue, Step, described, lowered, result_of

if TYPE_CHECKING:
    from core.subjects.tables import Members, Table, Texts

Values = np.ndarray[Any, Any]
NOT_RECORDED = "not recorded"


@dataclass(eq=False)
class Column:
    """One number for every row of ``table``; NaN where it is unknown.

    ``unit``: as the unit registry reads it, empty for a plain number; ``derivation``: how the
    numbers came about, None in a bulk evaluation. Comparisons give a ``Condition``, which is
    unknown where one of the numbers is.
    """

    table: Table
    values: Values
    unit: str = ""
    derivation: Derivation | None = None

    @property
    def known(self) -> Values:
        """Whether each row has a number."""
        found: Values = ~np.isnan(self.values)
        return found

    def where(self, mask: Values) -> Column:
        """The column where ``mask`` holds, unknown elsewhere."""
        return choose(self.table, (mask, self))

    def in_unit(self, unit: str) -> Column:
        """The same numbers in another unit, as the unit registry reads it."""
        by = _factor(self.unit, unit)
        if by == 1.0:
            return self
        return Column(self.table, self.values * by, unit, self.derivation and Converted(self, by))

    def __gt__(self, other: Column | float) -> Condition:
        return Condition.compared(np.greater, self, other)

    def __ge__(self, other: Column | float) -> Condition:
        return Condition.compared(np.greater_equal, self, other)

    def __lt__(self, other: Column | float) -> Condition:
        return Condition.compared(np.less, self, other)

    def __le__(self, other: Column | float) -> Condition:
        return Condition.compared(np.less_equal, self, other)


@dataclass(frozen=True, eq=False)
class Condition:
    """A condition per row: true, false, or unknown because a number that it needs is.

    ``&``, ``|`` and ``~`` follow the strong three-valued logic of Kleene: what does not hang on the
    unknown part is known. (S. C. Kleene, Introduction to Metamathematics, 1952, §64; the title and
    section are from memory.)
    """

    true: Values
    unknown: Values

    @classmethod
    def compared(cls, test: Any, one: Column, other: Column | float) -> Condition:
        """``test`` of two columns, or of a column and a number."""
        beside = other.in_unit(one.unit).values if isinstance(other, Column) else other
        unknown = np.isnan(one.values) | np.isnan(beside)
        return cls(test(one.values, beside) & ~unknown, unknown)

    @classmethod
    def of(cls, mask: Condition | Values) -> Condition:
        """A mask as a condition that is known in every row."""
        return mask if isinstance(mask, Condition) else cls(mask, np.zeros(len(mask), dtype=bool))

    def __and__(self, other: Condition | Values) -> Condition:
        beside = Condition.of(other)
        false = self._false | beside._false
        true = self.true & beside.true
        return Condition(true, ~(true | false))

    def __or__(self, other: Condition | Values) -> Condition:
        beside = Condition.of(other)
        true = self.true | beside.true
        return Condition(true, ~(true | (self._false & beside._false)))

    def __invert__(self) -> Condition:
        return Condition(self._false, self.unknown)

    @property
    def _false(self) -> Values:
        found: Values = ~(self.true | self.unknown)
        return found


class Derivation:
    """How a column came about: its steps for one row, and what it brings to a further step."""

    def value(self, column: Column, row: int, book: Book) -> InputValue:
        """What the number of ``row`` brings to a step; the steps before it go into ``book``."""
        raise NotImplementedError


@dataclass(eq=False)
class Recorded(Derivation):
    """A column of the table's own records."""

    name: str

    def value(self, column: Column, row: int, book: Book) -> InputValue:
        number, origin = float(column.values[row]), column.table.origin(row)
        if np.isnan(number) and origin is None:
            return InputValue(source=NOT_RECORDED)
        return InputValue(number, origin)  # an empty cell, too, has its place


@dataclass(eq=False)
class Setting(Derivation):
    """A number of project.toml; ``key`` is filled from the row's own columns."""

    key: str

    def value(self, column: Column, row: int, book: Book) -> InputValue:
        key = column.table.filled(self.key, row)
        return InputValue(float(column.values[row]), source=f"project.toml: {book.as_entered(key)}")


@dataclass(eq=False)
class Assumed(Derivation):
    """A number that no record gives, with the reason for it, filled from the row's columns."""

    reason: str

    def value(self, column: Column, row: int, book: Book) -> InputValue:
        source = column.table.filled(self.reason, row)
        return InputValue(float(column.values[row]), source=source)


@dataclass(eq=False)
class Converted(Derivation):
    """Another column in another unit."""

    of: Column
    factor: float

    def value(self, column: Column, row: int, book: Book) -> InputValue:
        given = book.value(self.of, row)
        return replace(given, value=given.value * self.factor)


@dataclass(eq=False)
class Relabelled(Derivation):
    """Another column under words of its own for every row."""

    of: Column
    words: Texts

    def value(self, column: Column, row: int, book: Book) -> InputValue:
        return replace(book.value(self.of, row), description=self.words.at(row))


@dataclass(eq=False)
class Calculated(Derivation):
    """A formula over columns."""

    formula: Formula
    inputs: dict[str, Column]
    title: str

    def value(self, column: Column, row: int, book: Book) -> InputValue:
        return book.step(column, row, lambda: self._step(column, row, book))

    def _step(self, column: Column, row: int, book: Book) -> Step:
        about = described(self.formula)
        inputs = []
        for name, symbol in about.symbols.items():
            one = book.value(self.inputs[name], row)
            inputs.append(
                Input(symbol, one.description or about.descriptions[name], one.value,
                      about.units[name], one.origin, one.source)
            )  # fmt: skip
        title = self.title or f"{about.title} {column.table.title_of(row)}".strip()
        title = column.table.filled(title, row)
        number = float(column.values[row])
        return Step("", title, about.equation, tuple(inputs), number, about.unit, about.source)


@dataclass(eq=False)
class Chosen(Derivation):
    """One of several columns, row by row; -1 where none is, with the reason where there is one."""

    options: tuple[Column, ...]
    which: Values
    reasons: tuple[str, ...] = ()
    reason: Values | None = None

    def value(self, column: Column, row: int, book: Book) -> InputValue:
        which = int(self.which[row])
        if which >= 0:
            return book.value(self.options[which], row)
        why = -1 if self.reason is None else int(self.reason[row])
        return InputValue(source=self.reasons[why] if why >= 0 else NOT_RECORDED)


@dataclass(eq=False)
class ParsedFile(Derivation):
    """A column of another table; ``at``: the row there of each row here, -1 for none."""

    of: Column
    at: Values

    def value(self, column: Column, row: int, book: Book) -> InputValue:
        at = int(self.at[row])
        return book.value(self.of, at) if at >= 0 else InputValue(source=NOT_RECORDED)


@dataclass(eq=False)
class Aggregated(Derivation):
    """An aggregate of the rows below that belong to a row, with a step that prints all of them.

    ``only_known``: a row below without a number is left out, as the aggregate leaves it.
    """

    of: Column
    members: Members[Any]
    equation: str
    symbol: str
    source: str
    weights: Column | None = None
    only_known: bool = False
    weight_symbol: str = "l"

    def value(self, column: Column, row: int, book: Book) -> InputValue:
        return book.step(column, row, lambda: self._step(column, row, book))

    def _step(self, column: Column, row: int, book: Book) -> Step:
        inputs: list[Input] = []
        for below in self.members.of(row):
            if self.only_known and np.isnan(self.of.values[below]):
                continue
            sign = self.symbol + lowered(len(inputs) // (2 if self.weights else 1) + 1)
            inputs.append(_input(sign, self.of, int(below), book))
            if self.weights is not None:
                sign = self.weight_symbol + sign[len(self.symbol) :]
                inputs.append(_input(sign, self.weights, int(below), book))
        number = float(column.values[row])
        return Step("", "", self.equation, tuple(inputs), number, _printed(column.unit),
                    self.source)  # fmt: skip


@dataclass(eq=False)
class SideBySide(Derivation):
    """One number from several columns of one row, all known ones printed: a minimum, a sum."""

    parts: Mapping[str, Column]
    equation: str
    symbol: str
    source: str
    masks: Mapping[str, Values]

    def value(self, column: Column, row: int, book: Book) -> InputValue:
        own = {word: part for word, part in self.parts.items() if self.masks[word][row]}
        if len(own) == 1 and self.symbol == "V":
            return book.value(next(iter(own.values())), row)
        return book.step(column, row, lambda: self._step(column, own, row, book))

    def _step(self, column: Column, own: Mapping[str, Column], row: int, book: Book) -> Step:
        inputs = []
        for place, (word, part) in enumerate(own.items(), start=1):
            one, text = book.value(part, row), column.table.filled(word, row)
            sign = f"{self.symbol}{lowered(place)}"
            inputs.append(Input(sign, text, one.value, _printed(part.unit), one.origin, one.source))
        number = float(column.values[row])
        return Step("", "", self.equation, tuple(inputs), number, _printed(column.unit),
                    self.source)  # fmt: skip


@dataclass(eq=False)
class Named(Derivation):
    """A measure: another column under its declared name, title and unit.

    ``digits``: decimals to which it is rounded in its own unit; ``note``: more about the number of
    a row.
    """

    name: str
    word: str
    subject: str
    of: Column
    source: str = ""
    of_pile: bool = False
    is_printed: bool = True
    digits: int | None = None
    note: Callable[[Any, int], str] | None = None

    def value(self, column: Column, row: int, book: Book) -> InputValue:
        return book.measure(self, column, row)


class Book:
    """The steps of a worksheet in the order in which they are needed, each once.

    ``as_entered`` gives the key of a setting as project.toml has it (``types.T1.disc = 3 ft``).
    """

    def __init__(self, as_entered: Callable[[str], str]) -> None:
        self.steps: list[Step] = []
        self.as_entered = as_entered
        self._measures: set[int] = set()  # by the id of their step
        self._values: dict[tuple[int, int], InputValue] = {}
        self._kept: list[Column] = []  # an id is its column's own as long as that is kept

    def value(self, column: Column, row: int) -> InputValue:
        """What the number of ``row`` brings to a step. Raises ValueError without a trace."""
        if column.derivation is None:
            raise ValueError("a column of a bulk evaluation has no steps")
        return column.derivation.value(column, row, self)

    def step(self, column: Column, row: int, make: Callable[[], Step]) -> InputValue:
        """The result of a step that has no name of its own yet."""
        subject = column.table.subject
        return self._once(column, row, lambda: self._appended(replace(make(), subject=subject)))

    def measure(self, named: Named, column: Column, row: int) -> InputValue:
        """The result of a measure's step, under its own title and unit."""
        return self._once(column, row, lambda: self._named(named, column, row))

    def _once(self, column: Column, row: int, make: Callable[[], InputValue]) -> InputValue:
        key = (id(column), row)
        if key not in self._values:
            self._kept.append(column)
            self._values[key] = make()
        return self._values[key]

    def _appended(self, step: Step) -> InputValue:
        self.steps.append(step)
        return result_of(step)

    def _named(self, named: Named, column: Column, row: int) -> InputValue:
        before = len(self.steps)
        had = self.value(named.of, row)
        if named.of_pile and any(one.measure == named.name for one in self.steps[before:]):
            return had  # the table of its record has the measure under the same name
        last = self.steps[-1] if len(self.steps) > before else None
        bare = last is not None and id(last) not in self._measures
        made = bare and had == result_of(self.steps[-1])
        if not made and not (named.of_pile and (np.isfinite(had.value) or self._reason(had))):
            return InputValue(float(column.values[row]), had.origin, had.source)
        last = self.steps.pop() if made else self._handed_on(named, column, row, had)
        number, unit = float(column.values[row]), units.unit_word(named.name)
        notes = [named.note(column.table, row)] if named.note else []
        notes += self._notes(named, column) if made else [last.note]
        title = f"{named.word[:1].upper()}{named.word[1:]} {column.table.title_of(row)}".strip()
        source = column.table.filled(named.source, row) if named.source else last.source
        measure = named.name if named.of_pile and named.is_printed else ""
        step = Step(named.subject, title, last.equation, last.inputs, number, unit or last.unit,
                    source, measure, "; ".join(filter(None, notes)))  # fmt: skip
        self._measures.add(id(step))
        return self._appended(step)

    @staticmethod
    def _notes(named: Named, column: Column) -> list[str]:
        """What was done to the result of a formula: another unit, fewer decimals."""
        found, unit, target = [], named.of.unit, column.unit
        if _printed(unit) != _printed(target):
            by = 1 / _factor(unit, target)
            found.append(f"1 {_printed(target)} = {by:,.12g} {_printed(unit)}")
        if named.digits is not None:
            found.append(f"to {10.0**-named.digits:g} {_printed(target)}".rstrip())
        return found

    @staticmethod
    def _reason(had: InputValue) -> bool:
        """Whether a number is withheld for a stated reason."""
        return had.source not in ("", NOT_RECORDED) and not np.isfinite(had.value)

    def _handed_on(self, named: Named, column: Column, row: int, had: InputValue) -> Step:
        number = float(column.values[row])
        if not np.isfinite(number):
            return Step("", "", "", (), number, "", "", note=had.source)
        unit = units.unit_word(named.name)
        one = Input(named.word[:1], named.word, number, unit, had.origin, had.source)
        return Step("", "", "", (one,), number, unit, "")


def calculate(formula: Formula, table: Table, title: str = "", **inputs: Column) -> Column:
    """``formula`` over columns; a parameter without one is the table's column of its name.

    Inputs are converted to the unit that the formula states. ``title``: of the step, filled from
    the row's columns; the formula's first line where it is empty.
    """
    about = described(formula)
    given = {
        name: (inputs[name] if name in inputs else getattr(table, name))
        for name in _parameters(formula)
    }
    given = {
        name: column.in_unit(about.expressions[name]) if column.unit else column
        for name, column in given.items()
    }
    with np.errstate(invalid="ignore", divide="ignore"):
        values = np.asarray(formula(**{name: one.values for name, one in given.items()}), float)
    derivation = Calculated(formula, given, title) if table.traced else None
    return Column(table, values, about.expression, derivation)


def take(table: Table, column: Column, at: Values) -> Column:
    """A column of another table at its rows ``at``, -1 for none."""
    if len(column.values):
        values = np.where(at >= 0, column.values[at], np.nan)
    else:
        values = np.full(len(at), np.nan)
    return Column(table, values, column.unit, ParsedFile(column, at) if table.traced else None)


def choose(
    table: Table,
    *cases: tuple[Condition | Values, Column],
    otherwise: Column | None = None,
) -> Column:
    """Per row the column of the first case whose condition holds, else ``otherwise``.

    Unknown where a condition before it is unknown: a comparison that cannot be made decides
    nothing, so that no later case wins by default.
    """
    options = [column for _, column in cases] + ([] if otherwise is None else [otherwise])
    unit = next((one.unit for one in options if one.unit), "")
    options = [one.in_unit(unit) if one.unit else one for one in options]
    which = np.full(len(table), -1)
    open_ = np.ones(len(table), dtype=bool)
    for place, (condition, _) in enumerate(cases):
        case = Condition.of(condition)
        which[open_ & case.true] = place
        open_ &= ~(case.true | case.unknown)
    if otherwise is not None:
        which[open_] = len(cases)
    values = np.full(len(table), np.nan)
    for place, option in enumerate(options):
        rows = which == place
        values[rows] = option.values[rows]
    derivation = Chosen(tuple(options), which) if table.traced else None
    return Column(table, values, unit, derivation)


def first_known(*columns: Column) -> Column:
    """Per row the first of several columns that has a number; a stated fallback on a gap."""
    table = columns[0].table
    return choose(table, *((one.known, one) for one in columns[:-1]), otherwise=columns[-1])


def withhold(column: Column, *reasons: tuple[Values, str]) -> Column:
    """The column without the rows where a reason holds; the first that holds is printed."""
    reason = np.full(len(column.values), -1)
    for place, (mask, _) in enumerate(reasons):
        reason[(reason < 0) & mask] = place
    values = np.where(reason >= 0, np.nan, column.values)
    derivation = None
    if column.table.traced:
        which = np.where(reason >= 0, -1, 0)
        derivation = Chosen((column,), which, tuple(text for _, text in reasons), reason)
    return Column(column.table, values, column.unit, derivation)


def called(column: Column, words: Texts) -> Column:
    """The column under words of its own for every row, in place of those of a formula."""
    derivation = Relabelled(column, words) if column.table.traced else None
    return Column(column.table, column.values, column.unit, derivation)


def withhold_by(column: Column, reasons: Texts) -> Column:
    """The column without the rows that have a reason; the reason is printed."""
    withheld = reasons.codes >= 0
    values, derivation = np.where(withheld, np.nan, column.values), None
    if column.table.traced:
        words = tuple(reasons.words)
        derivation = Chosen((column,), np.where(withheld, -1, 0), words, reasons.codes)
    return Column(column.table, values, column.unit, derivation)


def assume(table: Table, value: float | Values, reason: str, unit: str = "") -> Column:
    """The same number in every row, or one for each, with the reason for it."""
    values = np.full(len(table), value, dtype=float)
    return Column(table, values, unit, Assumed(reason) if table.traced else None)


def minimum_of(
    table: Table, parts: Mapping[str, Column], source: str, equation: str = "", symbol: str = "r"
) -> Column:
    """The minimum of the known ones of several columns; ``parts`` by their description."""
    equation = equation or f"{symbol} = minimum of {symbol}₁ … {symbol}ₙ"
    return _side_by_side(table, parts, np.fmin, source, equation, symbol)


def maximum_of(
    table: Table, parts: Mapping[str, Column], source: str, equation: str = "", symbol: str = "r"
) -> Column:
    """The maximum of the known ones of several columns; ``parts`` by their description."""
    equation = equation or f"{symbol} = maximum of {symbol}₁ … {symbol}ₙ"
    return _side_by_side(table, parts, np.fmax, source, equation, symbol)


def _side_by_side(
    table: Table,
    parts: Mapping[str, Column],
    pick: Any,
    source: str,
    equation: str,
    symbol: str,
) -> Column:
    unit = next((one.unit for one in parts.values() if one.unit), "")
    parts = {word: one.in_unit(unit) if one.unit else one for word, one in parts.items()}
    values = np.full(len(table), np.nan)
    for part in parts.values():
        values = pick(values, part.values)
    derivation = None
    if table.traced:
        masks = {word: part.known for word, part in parts.items()}
        derivation = SideBySide(parts, equation, symbol, source, masks)
    return Column(table, values, unit, derivation)


def added(table: Table, source: str, *parts: tuple[Values | None, str, Column]) -> Column:
    """The sum of parts, each where its mask holds; unknown while one of these is.

    A single part is handed on as it is. ``parts``: mask (None: every row), description, column.
    """
    every = np.ones(len(table), dtype=bool)
    unit = next((one.unit for _, _, one in parts if one.unit), "")
    columns = {word: one.in_unit(unit) if one.unit else one for _, word, one in parts}
    masks = {word: every if mask is None else mask for mask, word, _ in parts}
    values = np.where(np.logical_or.reduce(list(masks.values())), 0.0, np.nan)
    for word, part in columns.items():
        values = values + np.where(masks[word], part.values, 0.0)
    derivation = SideBySide(columns, "sum of V", "V", source, masks) if table.traced else None
    return Column(table, values, unit, derivation)


def _input(symbol: str, column: Column, row: int, book: Book) -> Input:
    one = book.value(column, row)
    words = f"{_word(column)} {column.table.title_of(row)}".strip()
    return Input(symbol, words, one.value, _printed(column.unit), one.origin, one.source)


def _word(column: Column) -> str:
    derivation = column.derivation
    if isinstance(derivation, Named):
        return derivation.word
    if isinstance(derivation, Recorded):
        suffix = units.suffix_of(derivation.name)
        return derivation.name.removesuffix(suffix.ending if suffix else "").replace("_", " ")
    if isinstance(derivation, Chosen) and len(derivation.options) == 1:
        return _word(derivation.options[0])
    return ""


_PRINTED = {"litre": "L", "degree": "°", "deg": "°", "hour": "h", "second": "s"}


def _printed(unit: str) -> str:
    """A unit of the registry as steps print it."""
    if unit in _PRINTED:
        return _PRINTED[unit]
    for written, sign in {"**2": "²", "**3": "³", "**4": "⁴", "*": "·"}.items():
        unit = unit.replace(written, sign)
    return unit


@cache
def _parameters(formula: Formula) -> tuple[str, ...]:
    return tuple(inspect.signature(formula).parameters)


@cache
def _factor(unit: str, target: str) -> float:
    """How many ``target`` one ``unit`` is; 1 where one of them is a plain number."""
    return 1.0 if unit in ("", target) or not target else units.factor(unit, target)
