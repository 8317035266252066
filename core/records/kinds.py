"""What a record kind is: columns, natural key, references, day and checks."""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from importlib import import_module
from pkgutil import iter_modules
from typing import Any, Literal, Protocol

import pandas as pd

from core import units
from core.errors import WrongUse

Form = Literal["text", "integer", "number", "date", "timestamp"]
DTYPES: dict[str, str] = {
    "text": "str",
    "integer": "Int64",
    "number": "float64",
    "date": "datetime64[us]",
    "timestamp": "datetime64[us]",
}
SQL_TYPES: dict[str, str] = {
    "text": "VARCHAR",
    "integer": "BIGINT",
    "number": "DOUBLE",
    "date": "DATE",
    "timestamp": "TIMESTAMP",
}
_NUMBERS_BY_NAME = (
    "certificate", "cut_from", "heat", "instruction", "lot", "replaces", "revision", "stamp",
    "zinc_lot",
)  # fmt: skip
_PILE_NUMBERS = ("pile_id", "position_id", "replaces")
CONVERSION_NOISE = 1e-9  # relative; numbers nearer than this are the same in another unit


@dataclass(frozen=True)
class Stated:
    """What must be known of a column's values beside their unit.

    ``column`` of the same record holds it. ``by_alias`` are the column's other names that state
    it, each with the value; under any other name ``question`` is asked, and ``answer`` names the
    answer, which may serve several columns. ``beside`` is, by value, a column that belongs to it.
    """

    column: str
    question: str
    answer: str
    by_alias: dict[str, str]
    beside: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Column:
    """One column of a record kind; its unit is the ending of its name.

    ``default`` is the text stored when a file does not give the column (keys only);
    ``low`` and ``high`` bound what can be true at all, in store units, never what is acceptable;
    ``zero_is_missing`` says that 0 is no value. ``unclear`` are headings that may mean something
    else too, each with the question to ask; ``stated`` is what a heading must state of the values.
    ``example`` is an invented value as a file writes it, in the unit that SI shows; required of
    kinds that files may hold. ``future_allowed`` marks a date that may lie after today, and
    ``settings_table`` names the table of project.toml whose keys the column holds.
    """

    name: str
    form: Form
    meaning: str
    aliases: tuple[str, ...] = ()
    required: bool = False
    default: str | None = None
    choices: tuple[str, ...] = ()
    words: dict[str, str] = field(default_factory=dict)
    low: float | None = None
    high: float | None = None
    zero_is_missing: bool = False
    unclear: dict[str, str] = field(default_factory=dict)
    stated: Stated | None = None
    example: str = ""
    future_allowed: bool = False
    settings_table: str = ""

    @property
    def role(self) -> str | None:
        """Kind of quantity by the name's suffix, None without a unit."""
        return units.role_of(self.name)

    @property
    def is_number(self) -> bool:
        """Whether the text is the number of a pile, a part or a paper, never one to count with."""
        return self.form == "text" and (
            self.name.endswith(("_id", "_no")) or self.name in _NUMBERS_BY_NAME
        )

    @property
    def header_note(self) -> str:
        """The note on the column's header in a template."""
        return f"{self.meaning} Required." if self.required else self.meaning

    @property
    def is_pile_number(self) -> bool:
        """Whether the text is the number of a pile or of the position that it serves."""
        return self.name in _PILE_NUMBERS

    @property
    def dtype(self) -> str:
        """pandas dtype of the column in every frame that passes between rooms."""
        return DTYPES[self.form]


Without = Literal["refused", "outstanding", "accepted"]


@dataclass(frozen=True)
class Reference:
    """What a row refers to: a row of ``parent``, by ``columns`` (own name to the parent's).

    Columns are those of the parent's key unless given; a row with one of them empty refers to
    nothing. References by the same columns are alternatives: one of them is enough. ``without``
    says what becomes of a row whose parent does not exist: the import refuses it, it is kept as
    an outstanding item, or it is accepted (a finding of its own subject reports it); ``reason``
    says why. Rows recorded before a reference was declared are read whatever it says.
    """

    parent: Kind
    columns: dict[str, str] = field(default_factory=dict)
    without: Without = "accepted"
    reason: str = ""

    def __post_init__(self) -> None:
        if not self.columns:
            object.__setattr__(self, "columns", {name: name for name in self.parent.key})


class Rows(Protocol):
    """Rows of one kind from one sheet, as the checks of its declaration see them.

    ``values`` has one array per column in store units, ``rows`` the sheet's row numbers; a row that
    is marked in ``bad`` is left out.
    """

    kind: Kind
    values: dict[str, Any]
    rows: Any
    bad: Any

    def has(self, column: str) -> bool:
        """Whether the sheet has ``column``."""
        ...

    def given(self, column: str) -> Any:
        """Where ``column`` has something written."""
        ...

    def text(self, column: str, at: int) -> str:
        """One cell as written."""
        ...

    def name(self, column: str) -> str:
        """What ``column`` is called: its heading, or its usual word."""
        ...

    def unit(self, column: str) -> str:
        """The unit in which ``column`` is written."""
        ...

    def row(self, column: str, at: int) -> int:
        """Row of one cell."""
        ...

    def group(self, columns: tuple[str, ...]) -> Any:
        """A number per distinct combination of ``columns``, -1 where one of them is missing."""
        ...

    def keys_where(self, table: str, setting: str, value: str) -> list[str]:
        """Keys of a table of project.toml of which ``setting`` is ``value``."""
        ...

    def fault(
        self, where: Any, column: str, kind: str, say: Callable[[int], tuple[str, str]]
    ) -> None:
        """One problem per row of ``where``; ``say`` gives problem and remedy of a row's place."""
        ...

    def notice(self, text: str, at: int) -> None:
        """A remark about one row, which stops nothing."""
        ...


Check = Callable[[Rows], None]
CheckWithParent = Callable[[Rows, Rows, Any], None]


@dataclass(frozen=True, eq=False)  # a kind equals itself alone
class Kind:
    """One record kind: its columns, natural key, what its rows refer to, and how files carry it.

    A kind declared in any module of this package is one of ``records.KINDS``: a kind comes after
    its parents, then by ``order`` (multiples of ten, so that one fits between), then by name.
    ``day`` is the column with the day on which a row's fact happened. ``checks`` hold the columns
    of a sheet's rows against each other.

    How files carry it: ``sheet_parent`` is the kind whose record one sheet may give beside several
    rows of this one (a run beside its readings); ``checks_with_parent`` hold the two against each
    other and are called with the parent's rows, these rows and the place among the parent's of
    each. ``shared_columns`` of a sheet parent are columns that the rows hold, too. Beside required
    columns a sheet needs ``at_least_one``; a sheet that has one of ``distinctive`` is meant to give
    the kind, so that a lack of others is a problem.
    """

    name: str
    word: str
    description: str
    key: tuple[str, ...]
    columns: tuple[Column, ...]
    refers_to: tuple[Reference, ...] = ()
    from_files: bool = True
    order: int = 1000
    day: str = ""
    checks: tuple[Check, ...] = ()
    sheet_parent: Kind | None = None
    checks_with_parent: tuple[CheckWithParent, ...] = ()
    shared_columns: tuple[str, ...] = ()
    at_least_one: tuple[str, ...] = ()
    distinctive: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Column names in order."""
        return tuple(column.name for column in self.columns)

    @property
    def values(self) -> tuple[str, ...]:
        """Column names that are not part of the key."""
        return tuple(name for name in self.names if name not in self.key)

    @property
    def pile_numbers(self) -> tuple[str, ...]:
        """Columns that hold the number of a pile or of a position."""
        return tuple(column.name for column in self.columns if column.is_pile_number)

    @property
    def needs(self) -> tuple[Reference, ...]:
        """References without which a row is refused."""
        return tuple(one for one in self.refers_to if one.without == "refused")

    @property
    def examples(self) -> dict[str, str]:
        """The example of each column, as a template shows it."""
        return {column.name: column.example for column in self.columns}

    def column(self, name: str) -> Column:
        """The column called ``name``. Raises KeyError when there is none."""
        for column in self.columns:
            if column.name == name:
                return column
        raise KeyError(f"{self.name} has no column {name}")


def _is_of(dtype: Any, column: Column) -> bool:
    """Whether ``dtype`` is that of ``column``; text may lie in Python's or in Arrow's memory."""
    text = isinstance(dtype, pd.StringDtype) and dtype.na_value is not pd.NA
    return bool(dtype == column.dtype) or (text and column.form == "text")


def typed(frame: pd.DataFrame, columns: Sequence[Column]) -> pd.DataFrame:
    """``frame`` with every column of ``columns`` present in its dtype; others left as they are."""
    given: dict[str, Any] = {}
    for column in columns:
        dtype: Any = column.dtype
        if column.name not in frame:
            given[column.name] = pd.Series(None, index=frame.index, dtype=dtype)
        elif _is_of(frame[column.name].dtype, column):
            given[column.name] = frame[column.name]
        else:
            given[column.name] = frame[column.name].astype(dtype)
    rest = {str(name): frame[name] for name in frame.columns if name not in given}
    return pd.DataFrame({**given, **rest}, index=frame.index)


def declared(package: str, path: list[str]) -> tuple[Kind, ...]:
    """Every kind of the modules of ``package``: after its parents, by ``order``, then by name.

    Raises WrongUse when two kinds have one name.
    """
    found: dict[str, Kind] = {}
    for module in sorted(one.name for one in iter_modules(path)):
        for value in vars(import_module(f"{package}.{module}")).values():
            if isinstance(value, Kind) and found.setdefault(value.name, value) is not value:
                raise WrongUse(f"Two record kinds are called {value.name}; rename one of them.")
    return tuple(_after_parents(found))


def _after_parents(kinds: dict[str, Kind]) -> Iterator[Kind]:
    missing = {name: {one.name for one in _parents(kind)} for name, kind in kinds.items()}
    ready = [(kinds[name].order, name) for name, parents in missing.items() if not parents]
    heapq.heapify(ready)
    while ready:
        _, name = heapq.heappop(ready)
        yield kinds[name]
        for other, parents in missing.items():
            if name in parents:
                parents.remove(name)
                if not parents:
                    heapq.heappush(ready, (kinds[other].order, other))


def _parents(kind: Kind) -> Iterator[Kind]:
    yield from (reference.parent for reference in kind.refers_to)
    if kind.sheet_parent is not None:
        yield kind.sheet_parent
