"""Columns that rules read: numbers, texts, days and truths as arrays, one entry per row."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any, Protocol

import numpy as np
import numpy.typing as npt
import pandas as pd

from core.records.current_rows import CurrentRows

Array = npt.NDArray[Any]
Numbers = npt.NDArray[np.float64]
Texts = npt.NDArray[np.object_]
Days = npt.NDArray[np.datetime64]
Mask = npt.NDArray[np.bool_]


class Columns(Protocol):
    """Rows of one kind, such as piles, column by column. Nobody writes to an array given here."""

    @property
    def names(self) -> Collection[str]:
        """The names of the columns."""

    def __len__(self) -> int:
        """Number of rows."""

    def numbers(self, name: str) -> Numbers:
        """A column as numbers, NaN where unknown; 1 and 0 of yes and no."""

    def text(self, name: str) -> Texts:
        """A column as texts, "" where there is none."""

    def day(self, name: str) -> Days:
        """A column as days or moments in µs, NaT where unknown."""

    def is_true(self, name: str) -> Mask:
        """Whether each row is known to be true."""


class _Converted:
    """Columns that are converted once, when first read."""

    def __init__(self, names: Iterable[str]) -> None:
        self.names: Collection[str] = frozenset(names)
        self._arrays: dict[tuple[str, str], Array] = {}

    def numbers(self, name: str) -> Numbers:
        """A column as numbers, NaN where unknown; 1 and 0 of yes and no."""
        return self._array("numbers", name)

    def text(self, name: str) -> Texts:
        """A column as texts, "" where there is none."""
        return self._array("text", name)

    def day(self, name: str) -> Days:
        """A column as days or moments in µs, NaT where unknown."""
        return self._array("day", name)

    def is_true(self, name: str) -> Mask:
        """Whether each row is known to be true."""
        return self._array("truth", name)

    def _array(self, form: str, name: str) -> Array:
        if (form, name) not in self._arrays:
            view = self._convert(form, name).view()
            view.flags.writeable = False  # rules share the columns
            self._arrays[form, name] = view
        return self._arrays[form, name]

    def _convert(self, form: str, name: str) -> Array:
        raise NotImplementedError


class FrameColumns(_Converted):
    """The columns of a frame."""

    def __init__(self, frame: pd.DataFrame) -> None:
        super().__init__(map(str, frame.columns))
        self._frame = frame

    def __len__(self) -> int:
        return len(self._frame)

    def _convert(self, form: str, name: str) -> Array:
        column = self._frame[name]
        if form == "text":
            return column.to_numpy(dtype=object, na_value="")
        if form == "day":
            return column.to_numpy(dtype="datetime64[us]")
        if form == "truth":
            return column.to_numpy(dtype=bool, na_value=False)
        if column.dtype == np.float64:
            return column.to_numpy()
        return column.to_numpy(dtype="float64", na_value=np.nan)


class RecordColumns(_Converted):
    """The columns of rows of the ledger."""

    def __init__(self, rows: CurrentRows) -> None:
        super().__init__(rows.names)
        self._rows = rows

    def __len__(self) -> int:
        return len(self._rows)

    def _convert(self, form: str, name: str) -> Array:
        if form == "text":
            return text_array([*self._rows.texts(name), ""])[self._rows.codes(name)]
        values = self._rows.values(name)
        if form == "truth":
            return np.asarray(values == np.True_)
        return values.astype("datetime64[us]" if form == "day" else np.float64)


class RowColumns(_Converted):
    """The columns of a few rows, each a mapping by column name; a row may lack a column."""

    def __init__(self, rows: Sequence[Mapping[str, Any]]) -> None:
        super().__init__(name for row in rows for name in row)
        self._rows = rows

    def __len__(self) -> int:
        return len(self._rows)

    def values(self, name: str) -> list[Any]:
        """A column as it is, None where a row lacks it."""
        return [row.get(name) for row in self._rows]

    def _convert(self, form: str, name: str) -> Array:
        values = self.values(name)
        if form == "text":
            return text_array([one if isinstance(one, str) else "" for one in values])
        if form == "truth":
            return np.array([one is True for one in values], dtype=bool)
        return np.array(values, dtype="datetime64[us]" if form == "day" else np.float64)


def text_array(texts: Sequence[str]) -> Texts:
    """Texts as an array of objects, so that they are added and chosen for all rows at once."""
    found = np.empty(len(texts), dtype=object)
    found[:] = texts
    return found
