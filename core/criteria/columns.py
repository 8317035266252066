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

    def coded(self, name: str) -> tuple[Array, Sequence[str]]:
        """A column of text as codes into its distinct texts, -1 where there is none."""


class Converted:
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

    def coded(self, name: str) -> tuple[Array, Sequence[str]]:
        """A column of text as codes into its distinct texts, -1 where there is none."""
        texts = self.text(name)
        codes, distinct = pd.factorize(texts)
        return np.where(texts == "", -1, codes), distinct.tolist()

    def _array(self, form: str, name: str) -> Array:
        if (form, name) not in self._arrays:
            view = self._convert(form, name).view()
            view.flags.writeable = False  # rules share the columns
            self._arrays[form, name] = view
        return self._arrays[form, name]

    def _convert(self, form: str, name: str) -> Array:
        raise NotImplementedError


class FrameColumns(Converted):
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


class RecordColumns(Converted):
    """The columns of rows of the ledger."""

    def __init__(self, rows: CurrentRows) -> None:
        super().__init__(rows.names)
        self._rows = rows

    def __len__(self) -> int:
        return len(self._rows)

    def coded(self, name: str) -> tuple[Array, Sequence[str]]:
        """A column of text as codes into its distinct texts, -1 where there is none."""
        return self._rows.codes(name), self._rows.texts(name)

    def _convert(self, form: str, name: str) -> Array:
        return of_record(form, name, self._rows)


class RowColumns(Converted):
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


class SomeRows:
    """Some rows of columns, at places or in a slice."""

    def __init__(self, columns: Columns, rows: Array | slice) -> None:
        self.names, self._columns, self._rows = columns.names, columns, rows
        self._length = len(np.arange(len(columns))[rows])

    def __len__(self) -> int:
        return self._length

    def numbers(self, name: str) -> Numbers:
        """A column as numbers, NaN where unknown; 1 and 0 of yes and no."""
        found: Numbers = self._columns.numbers(name)[self._rows]
        return found

    def text(self, name: str) -> Texts:
        """A column as texts, "" where there is none."""
        found: Texts = self._columns.text(name)[self._rows]
        return found

    def day(self, name: str) -> Days:
        """A column as days or moments in µs, NaT where unknown."""
        found: Days = self._columns.day(name)[self._rows]
        return found

    def is_true(self, name: str) -> Mask:
        """Whether each row is known to be true."""
        found: Mask = self._columns.is_true(name)[self._rows]
        return found

    def coded(self, name: str) -> tuple[Array, Sequence[str]]:
        """A column of text as codes into its distinct texts, -1 where there is none."""
        codes, texts = self._columns.coded(name)
        return codes[self._rows], texts


def of_record(form: str, name: str, rows: CurrentRows) -> Array:
    """A column of rows of the ledger as ``numbers``, ``text``, ``day`` or ``truth``."""
    if form == "text":
        return text_array([*rows.texts(name), ""])[rows.codes(name)]
    values = rows.values(name)
    if form == "truth":
        return np.asarray(values == np.True_)
    return values.astype("datetime64[us]" if form == "day" else np.float64)


def text_array(texts: Sequence[str]) -> Texts:
    """Texts as an array of objects, so that they are added and chosen for all rows at once."""
    found = np.empty(len(texts), dtype=object)
    found[:] = texts
    return found
