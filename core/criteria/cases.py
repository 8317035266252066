"""What a rule decides on: the piles of which it is due, column by column."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cached_property
from typing import Any

import numpy as np

from core import words
from core.criteria.columns import Array, Columns, Days, Mask, Numbers, RowColumns, Texts
from core.records.current_rows import CurrentRows

SUFFIX = "_of_criterion"


@dataclass(frozen=True, eq=False)
class PileCriterion:
    """One criterion beside every pile.

    ``settings``: one row per pile type and a last one, empty, for unknown types:
    criterion_status, clause and the parameters; ``row``: the row of each pile's type;
    ``due_on``: the day from which it is due of each pile, NaT where none is known.
    """

    settings: RowColumns
    row: Array
    due_on: Days
    is_due: Mask

    @cached_property
    def is_set(self) -> Mask:
        """Whether the type of each pile sets the criterion."""
        return self.has_status("set")

    def has_status(self, status: str) -> Mask:
        """Whether the type of each pile has ``status``."""
        found: Mask = (self.settings.text("criterion_status") == status)[self.row]
        return found

    @cached_property
    def before_due(self) -> Array:
        """Code of each pile's result until the criterion is due, -1 where it never will be."""
        found = np.full(len(self.row), -1, dtype=np.int8)
        found[self.has_status("not required")] = words.RESULTS.index("not required")
        found[self.is_set] = words.RESULTS.index("not yet due")
        return found

    def lacks(self, parameter: str) -> Mask:
        """Whether the type of each pile sets the criterion without ``parameter``."""
        missing = np.array([value is None for value in self.settings.values(parameter)], bool)
        found: Mask = self.is_set & missing[self.row]
        return found

    @cached_property
    def due_at(self) -> Array:
        """Places of the piles of which the criterion is due."""
        return np.flatnonzero(self.is_set & self.is_due)


def no_records(kind: str) -> CurrentRows:
    """Raises LookupError: nothing is known of the ledger here."""
    raise LookupError(f"no rows of {kind} are available")


class Cases:
    """The piles that a rule decides on: measures and parameters of its criterion, by column name.

    Every column has one entry per pile. A parameter that piles have as a measure, too, is read
    by its name with ``_of_criterion``. An unknown name raises LookupError with the nearest ones.
    Columns are shared between rules, so nobody writes to them.
    """

    def __init__(
        self,
        piles: Columns,
        criterion: PileCriterion,
        records_of: Callable[[str], CurrentRows] = no_records,
    ) -> None:
        """``records_of``: current rows of a record kind up to the day of assessment."""
        self._piles, self._settings, self._records_of = piles, criterion.settings, records_of
        at = criterion.due_at
        self._size = len(at)
        self._of_pile: Any = slice(None) if len(at) == len(piles) else at
        self._of_type = criterion.row[at]

    def __len__(self) -> int:
        return self._size

    def __getitem__(self, name: str) -> Numbers:
        """A column as numbers, NaN where unknown; 1 and 0 of yes and no."""
        columns, at, own = self._source(name)
        found: Numbers = columns.numbers(own)[at]
        return found

    def text(self, name: str) -> Texts:
        """A column as texts, "" where there is none."""
        columns, at, own = self._source(name)
        found: Texts = columns.text(own)[at]
        return found

    def day(self, name: str) -> Days:
        """A column as days, NaT where unknown."""
        columns, at, own = self._source(name)
        found: Days = columns.day(own)[at]
        return found

    def is_true(self, name: str) -> Mask:
        """Whether each pile is known to have the quality ``name``."""
        columns, at, own = self._source(name)
        found: Mask = columns.is_true(own)[at]
        return found

    def is_text(self, name: str, *texts: str) -> Mask:
        """Whether each pile has one of ``texts``."""
        own = self.text(name)
        found: Mask = own == texts[0]
        for text in texts[1:]:
            found = found | (own == text)
        return found

    def parameter(self, name: str) -> list[Any]:
        """A parameter of the criterion as project.toml has it, such as several texts."""
        values = self._settings.values(name)
        return [values[row] for row in self._of_type.tolist()]

    def records(self, kind: str) -> CaseRecords:
        """Current rows of a record kind about these piles, up to the day of assessment."""
        return CaseRecords.of(self._records_of(kind), self.text("pile_id"))

    def _source(self, name: str) -> tuple[Columns, Any, str]:
        if name in self._piles.names:
            return self._piles, self._of_pile, name
        own = name.removesuffix(SUFFIX)
        if own in self._settings.names:
            return self._settings, self._of_type, own
        known = sorted({*self._piles.names, *self._settings.names})
        near = get_close_matches(name, known, n=3) or known[:3]
        raise LookupError(
            f"no column {name} of piles or of the criterion; near: {', '.join(near) or 'none'}"
        )


@dataclass(frozen=True)
class CaseRecords:
    """Rows of a record kind about the piles that a rule decides on, in the order of the ledger.

    ``case``: the place of each row's pile among them; ``number``: how many piles there are.
    """

    rows: CurrentRows
    case: Array
    number: int

    @classmethod
    def of(cls, rows: CurrentRows, piles: Texts) -> CaseRecords:
        """Those of ``rows`` that are about ``piles``."""
        place = {pile: at for at, pile in enumerate(piles.tolist())}
        places = [place.get(text, -1) for text in rows.texts("pile_id")]
        case = np.array([*places, -1], dtype=np.int64)[rows.codes("pile_id")]
        return cls(rows.where(case >= 0), case[case >= 0], len(piles))

    def count(self) -> Array:
        """The number of rows of each pile."""
        return np.bincount(self.case, minlength=self.number)

    def total(self, name: str) -> Numbers:
        """The sum of a column of each pile; NaN without a row, or while a row lacks it."""
        values = self.rows.values(name).astype(np.float64)
        summed = np.bincount(self.case, weights=values, minlength=self.number)
        return np.where(self.count() > 0, summed, np.nan)
