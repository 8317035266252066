"""The rows of one kind while they are checked: cells as written, values, and which rows are bad."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from core import units
from core.readers.chains import word
from core.readers.grid import ARROW_TEXT
from core.readers.headers import Heading
from core.readers.problems import Problems, shortened
from core.records import Kind, typed

Values = Any  # an array of numpy, or of texts as pandas holds them


@dataclass
class Table:
    """One kind's rows. ``texts`` holds every column of the kind as written, missing where empty.

    ``rows`` are the physical lines of the records, ``cell_rows`` of the cells where they differ;
    ``forms`` say how a spreadsheet held the cells of each column (empty for a CSV); ``settings``
    are the tables of project.toml.
    """

    kind: Kind
    headings: dict[str, Heading]
    texts: pd.DataFrame
    rows: np.ndarray
    problems: Problems
    bad: np.ndarray
    cell_rows: dict[str, np.ndarray] = field(default_factory=dict)
    values: dict[str, Values] = field(default_factory=dict)
    forms: dict[str, np.ndarray] = field(default_factory=dict)
    settings: Any = None
    _written: dict[str, np.ndarray] = field(default_factory=dict)

    def given(self, column: str) -> np.ndarray:
        """Where ``column`` has something written."""
        present: np.ndarray = self.texts[column].notna().to_numpy()
        return present

    def has(self, column: str) -> bool:
        """Whether the sheet has ``column``."""
        return column in self.headings

    def unit(self, column: str) -> str:
        """The unit in which ``column`` is written."""
        return self.headings[column].unit or units.unit_word(column)

    def keys_where(self, table: str, setting: str, value: str) -> list[str]:
        """Keys of a table of project.toml of which ``setting`` is ``value``."""
        found = getattr(self.settings, table).items()
        return [key for key, one in found if getattr(one, setting) == value]

    def notice(self, text: str, at: int) -> None:
        """A remark about one row, which stops nothing."""
        self.problems.remark(text, int(self.rows[at]))

    def row(self, column: str, at: int) -> int:
        """Physical line of one cell."""
        return int(self.cell_rows.get(column, self.rows)[at])

    def text(self, column: str, at: int) -> str:
        """One cell as quoted in a problem."""
        if column not in self._written:
            self._written[column] = self.texts[column].to_numpy(dtype=object)
        value = self._written[column][at]
        return shortened(value) if isinstance(value, str) else ""

    def name(self, column: str) -> str:
        """What ``column`` is called in problems: its header, or its usual word."""
        heading = self.headings.get(column)
        return shortened(heading.text) if heading else word(self.kind.name, column)

    def fault(
        self, where: np.ndarray, column: str, kind: str, say: Callable[[int], tuple[str, str]]
    ) -> None:
        """One problem per row of ``where``; ``say`` gives problem and remedy of a row's place."""
        for at in np.flatnonzero(where):
            problem, remedy = say(int(at))
            row, text = self.row(column, int(at)), self.text(column, int(at))
            heading = self.headings.get(column)
            self.problems.add(kind, problem, remedy, row, heading.text if heading else column, text)
        self.bad |= where

    def group(self, columns: tuple[str, ...]) -> np.ndarray:
        """A number per distinct combination of ``columns``, -1 where one of them is missing."""
        keys = [pd.Series(self.values[name]) for name in columns]
        frame = pd.concat(keys, axis=1, keys=range(len(keys)))
        return numbered(frame)

    def frame(self) -> pd.DataFrame:
        """The good rows, typed, with ``sheet`` and ``row_no``."""
        good = ~self.bad
        frame = typed(
            pd.DataFrame({name: _held(values[good]) for name, values in self.values.items()}),
            self.kind.columns,
        )
        frame["sheet"] = pd.Series(self.problems.sheet, index=frame.index, dtype=ARROW_TEXT)
        frame["row_no"] = pd.Series(self.rows[good], index=frame.index, dtype="Int64")
        return frame


def _held(values: Values) -> Values:
    """Texts as Arrow has them, so that the ledger takes a long log over as it is."""
    return pd.array(values, dtype=ARROW_TEXT) if values.dtype == object else values


def numbered(frame: pd.DataFrame) -> np.ndarray:
    """A number per distinct row of ``frame``, -1 where a cell of the row is missing."""
    groups = frame.groupby(list(frame.columns), sort=False).ngroup()
    found: np.ndarray = groups.mask(frame.isna().any(axis=1), -1).to_numpy("int64")
    return found
