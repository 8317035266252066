"""What a rule decides on: the piles of which it is due, column by column."""

from __future__ import annotations

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


@dataclass(frozen=True)
class DueCases:
    """Rows of ``piles`` and ``criteria`` of which a rule is due; a column is taken when asked for.

    A column of the criterion that piles have too goes by its name with ``_of_criterion``.
    """

    piles: pd.DataFrame
    criteria: pd.DataFrame
    due: Mask

    @property
    def index(self) -> pd.Index:
        """Labels of the piles."""
        return self.piles.index[self.due]

    def __getitem__(self, name: str) -> pd.Series:
        """Column ``name``. Raises KeyError when neither side has it."""
        if name in self.piles:
            return self.piles[name][self.due]
        return self.criteria[name.removesuffix("_of_criterion")][self.due]
