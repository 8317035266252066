"""Rows of the ledger as columns: numbers as arrays, text as integer codes of its distinct texts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa

from core.records.kinds import Kind

Array = np.ndarray[Any, Any]
TEXT = pa.dictionary(pa.int32(), pa.string())
TYPES: dict[str, Any] = {
    "text": TEXT,
    "integer": pa.int64(),
    "number": pa.float64(),
    "date": pa.timestamp("us"),
    "timestamp": pa.timestamp("us"),
}
TRUTH = pa.bool_()
PLACE = {"entry_no": pa.int64(), "row_no": pa.int64(), "sheet": TEXT}  # where a row was read


class _Column:
    """One column, or the places of another one at which it is found when it is first read.

    Of columns that are never read nothing is taken.
    """

    def __init__(self, made: pa.Array | tuple[_Column, pa.Array]) -> None:
        self._made = made

    @property
    def array(self) -> pa.Array:
        """The column itself."""
        made = self._made  # read once: another thread may make it meanwhile
        if isinstance(made, tuple):
            of, at = made
            made = self._made = of.array.take(at)
        return made

    @property
    def type(self) -> Any:
        """The type of its values."""
        made = self._made
        return made[0].type if isinstance(made, tuple) else made.type


class CurrentRows:
    """Columns of equal length; nothing in them is ever changed.

    Arrow keeps them: text as dictionary codes, whole numbers, doubles, moments in µs. ``values``
    and ``codes`` are for selecting, ``frame`` is for everybody who works with pandas.
    """

    def __init__(self, columns: Mapping[str, pa.Array | _Column], length: int) -> None:
        """``columns``: each in one of the types of TYPES, or truth."""
        self._columns = {
            name: one if isinstance(one, _Column) else _Column(one) for name, one in columns.items()
        }
        self._length = length

    @classmethod
    def of_table(cls, table: pa.Table) -> CurrentRows:
        """The rows of an answer of the ledger."""
        columns = {name: _settled(table[name]) for name in table.column_names}
        return cls(columns, table.num_rows)

    @classmethod
    def none(cls, kind: Kind) -> CurrentRows:
        """No row of ``kind``, with all its columns."""
        types = {column.name: TYPES[column.form] for column in kind.columns} | PLACE
        return cls({name: pa.array([], form) for name, form in types.items()}, 0)

    @classmethod
    def of_lists(
        cls, columns: Mapping[str, Sequence[Any]], forms: Mapping[str, Any]
    ) -> CurrentRows:
        """The rows of plain lists; ``forms`` gives the type of each column, as of ``TYPES``."""
        made = {name: pa.array(columns[name], form) for name, form in forms.items()}
        return cls(made, max((len(one) for one in made.values()), default=0))

    @classmethod
    def of_frame(cls, frame: pd.DataFrame) -> CurrentRows:
        """The rows of a frame."""
        return cls.of_table(pa.Table.from_pandas(frame, preserve_index=False))

    def __len__(self) -> int:
        return self._length

    @property
    def names(self) -> tuple[str, ...]:
        """The columns in order."""
        return tuple(self._columns)

    def values(self, name: str) -> Array:
        """A column of numbers, days or moments; NaN or NaT where nothing is recorded.

        Whole numbers are whole as long as none is missing.
        """
        found: Array = self._columns[name].array.to_numpy(zero_copy_only=False)
        return found

    def codes(self, name: str) -> Array:
        """Per row the place of its text in ``texts``, -1 where nothing is recorded."""
        indices = self._columns[name].array.indices
        found: Array = (indices.fill_null(-1) if indices.null_count else indices).to_numpy()
        return found

    def texts(self, name: str) -> list[str]:
        """The distinct texts of a column; rows chosen from others may use only some of them."""
        found: list[str] = self._columns[name].array.dictionary.to_pylist()
        return found

    def distinct(self, name: str) -> pa.Array:
        """The same as Arrow keeps them."""
        return self._columns[name].array.dictionary

    def dictionary(self, name: str) -> tuple[int, Array, list[str]]:
        """How many distinct texts a column keeps; places and texts of those that rows may have.

        Of a few rows chosen from many, the texts that they have.
        """
        kept = self._columns[name].array.dictionary
        if len(self) >= len(kept):
            return len(kept), np.arange(len(kept)), kept.to_pylist()
        codes = np.unique(self.codes(name))
        used = codes[codes >= 0]
        return len(kept), used, kept.take(pa.array(used)).to_pylist()

    def used(self, name: str) -> list[str]:
        """The distinct texts that rows have, in the order of their first row."""
        codes = self.codes(name)
        first = pa.array(pd.unique(codes[codes >= 0]))
        found: list[str] = self.distinct(name).take(first).to_pylist()
        return found

    def is_text(self, name: str, text: str) -> Array:
        """Whether each row has exactly ``text``."""
        code = self._columns[name].array.dictionary.index(text).as_py()
        found: Array = self.codes(name) == (code if code >= 0 else -2)
        return found

    def text(self, name: str, row: int) -> str:
        """The text of one row, empty where nothing is recorded."""
        return self._columns[name].array[row].as_py() or ""

    def contains_text(self, name: str) -> bool:
        """Whether a column holds text."""
        return bool(pa.types.is_dictionary(self._columns[name].type))

    def has(self, name: str) -> Array:
        """Whether each row has anything recorded under ``name``; a NaN is nothing."""
        column = self._columns[name].array
        found: Array = column.is_valid().to_numpy(zero_copy_only=False)
        if pa.types.is_floating(column.type):
            found = found & ~np.isnan(self.values(name))
        return found

    def is_true(self, name: str) -> Array:
        """Whether each row has a yes; a column of yes and no, a missing one is none."""
        found: Array = self._columns[name].array.fill_null(False).to_numpy(zero_copy_only=False)
        return found

    def take(self, places: Array) -> CurrentRows:
        """The rows at ``places``, in their order; -1 is a row in which nothing is recorded."""
        if len(places) == self._length and np.array_equal(places, np.arange(self._length)):
            return self
        indices = pa.array(places, pa.int64(), mask=places < 0)
        columns = {name: _Column((one, indices)) for name, one in self._columns.items()}
        return CurrentRows(columns, len(places))

    def where(self, mask: Array) -> CurrentRows:
        """The rows of which ``mask`` is true."""
        return self.take(np.flatnonzero(mask))

    def only(self, names: Iterable[str]) -> CurrentRows:
        """The columns ``names``, in this order."""
        return CurrentRows({name: self._columns[name] for name in names}, self._length)

    def renamed(self, names: Mapping[str, str]) -> CurrentRows:
        """These rows with columns under other names: the new one by the old one."""
        columns = {names.get(name, name): column for name, column in self._columns.items()}
        return CurrentRows(columns, self._length)

    def above(self, other: CurrentRows) -> CurrentRows:
        """These rows and below them ``other``, with these columns; empty where ``other`` has none.

        Whole numbers above or below other numbers become numbers.
        """
        columns = {}
        for name, column in self._columns.items():
            own, form = column.array, column.type
            below = pa.nulls(len(other), form)
            if name in other._columns:
                below = other._columns[name].array
            if below.type != form and pa.types.is_integer(form):
                form = below.type
            columns[name] = _settled(pa.chunked_array([own.cast(form), below.cast(form)], form))
        return CurrentRows(columns, self._length + len(other))

    def beside(self, other: CurrentRows, names: Iterable[str]) -> CurrentRows:
        """These rows with the columns ``names`` of as many ``other`` rows."""
        return self._with({name: other._columns[name] for name in names})

    def with_integer(self, name: str, values: Array, known: Array | None = None) -> CurrentRows:
        """These rows with a column of whole numbers, empty where not ``known``."""
        mask = None if known is None else ~known
        return self._with({name: pa.array(values, pa.int64(), mask=mask)})

    def with_number(self, name: str, values: Array) -> CurrentRows:
        """These rows with a column of numbers; NaN is none."""
        return self._with({name: pa.array(values, pa.float64(), from_pandas=True)})

    def with_timestamp(self, name: str, values: Array) -> CurrentRows:
        """These rows with a column of days or moments; NaT is none."""
        return self._with({name: pa.array(values.astype("datetime64[us]"), pa.timestamp("us"))})

    def with_flag(self, name: str, values: Array) -> CurrentRows:
        """These rows with a column of yes and no."""
        return self._with({name: pa.array(values, pa.bool_())})

    def with_text(self, name: str, codes: Array, texts: Sequence[str]) -> CurrentRows:
        """These rows with a column of text; code -1 is none."""
        indices = pa.array(codes, pa.int32(), mask=codes < 0)
        column = pa.DictionaryArray.from_arrays(indices, pa.array(texts, pa.string()))
        return self._with({name: column})

    def frame(self) -> pd.DataFrame:
        """The rows as a frame in the dtypes of ``records``; made once, never to be written to."""
        return self._frame

    @cached_property
    def _frame(self) -> pd.DataFrame:
        plain = {
            name: one.array.cast(pa.string()) if pa.types.is_dictionary(one.type) else one.array
            for name, one in self._columns.items()
        }
        whole = {pa.int64(): pd.Int64Dtype()}.get
        framed: pd.DataFrame = pa.table(plain).to_pandas(types_mapper=whole)
        return framed

    def _with(self, columns: Mapping[str, pa.Array | _Column]) -> CurrentRows:
        return CurrentRows({**self._columns, **columns}, self._length)


def _settled(column: pa.ChunkedArray) -> pa.Array:
    """A column in one piece and in one of the types of ``TYPES``."""
    form = column.type
    if pa.types.is_dictionary(form):
        return _whole(column)
    if pa.types.is_string(form) or pa.types.is_large_string(form) or pa.types.is_null(form):
        return _whole(column.cast(pa.string()).dictionary_encode())
    if pa.types.is_date(form) or pa.types.is_timestamp(form):
        column = column.cast(pa.timestamp("us"))
    elif pa.types.is_integer(form):
        column = column.cast(pa.int64())
    return _whole(column)


def _whole(column: pa.ChunkedArray) -> pa.Array:
    chunks = column.unify_dictionaries() if pa.types.is_dictionary(column.type) else column
    one = chunks.combine_chunks()
    return one.chunk(0) if isinstance(one, pa.ChunkedArray) else one


def common_codes(*columns: tuple[CurrentRows, str]) -> tuple[list[Array], list[str]]:
    """Codes of text columns of several rows, the same text under the same code; and the texts."""
    place: dict[str, int] = {}
    found = []
    for rows, name in columns:
        codes = rows.codes(name)
        size, used, texts = rows.dictionary(name)
        own = np.full(size + 1, -1, dtype=np.int64)
        own[used] = [place.setdefault(text, len(place)) for text in texts]
        found.append(own[codes])
    return found, list(place)


def joined_codes(parts: Sequence[Array]) -> Array:
    """One code per row for the codes that it has in ``parts``; -1 where it lacks one of them."""
    key = parts[0].astype(np.int64)
    lacks = key < 0
    for part in parts[1:]:
        lacks |= part < 0
        span = int(part.max(initial=0)) + 1
        if int(key.max(initial=0)) >= np.iinfo(np.int64).max // span:
            key = pd.factorize(key)[0].astype(np.int64)
        key = key * span + part
    return np.where(lacks, -1, key)
