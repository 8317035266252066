"""What a rule decides on: the piles of which it is due, column by column."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt
import pandas as pd

Mask = npt.NDArray[np.bool_]


class Cases(Protocol):
    """The piles that a rule decides on: measures and what the criterion says, by column name."""

    @property
    def index(self) -> pd.Index:
        """One label per pile."""

    def __getitem__(self, name: str) -> pd.Series:
        """One value per pile."""

    def records(self, kind: str) -> pd.DataFrame:
        """Current rows of a record kind about these piles, up to the day of assessment."""


def no_records(kind: str) -> pd.DataFrame:
    """Raises LookupError: nothing is known of the ledger here."""
    raise LookupError(f"no rows of {kind} are at hand")


@dataclass(frozen=True)
class DueCases:
    """Rows of ``piles`` and ``criteria`` of which a rule is due; a column is taken when asked for.

    A column of the criterion that piles have too goes by its name with ``_of_criterion``.
    ``rows_of``: current rows of a record kind up to the day of assessment.
    """

    piles: pd.DataFrame
    criteria: pd.DataFrame
    due: Mask
    rows_of: Callable[[str], pd.DataFrame] = no_records

    @property
    def index(self) -> pd.Index:
        """Labels of the piles."""
        return self.piles.index[self.due]

    def __getitem__(self, name: str) -> pd.Series:
        """Column ``name``. Raises KeyError when neither side has it."""
        if name in self.piles:
            return self.piles[name][self.due]
        return self.criteria[name.removesuffix("_of_criterion")][self.due]

    def records(self, kind: str) -> pd.DataFrame:
        """Current rows of a record kind about these piles; all rows of a kind without a pile."""
        rows = self.rows_of(kind)
        if "pile_id" not in rows:
            return rows
        return rows[rows["pile_id"].isin(self.piles["pile_id"][self.due])]
