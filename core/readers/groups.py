"""Records that several rows of a sheet share: one run beside its readings, one certificate."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core.readers.table import Table, numbered


def grouped(wide: Table) -> tuple[Table, np.ndarray]:
    """One record per key of ``wide``, the sheet's rows, and each row's place among them.

    The first row that writes a cell gives its value; a later row that writes another is a
    problem, except in columns that the finer kind holds by row. Rows without key have place -1.
    """
    places = _places(wide, wide.kind.key)
    keyed = places >= 0
    firsts = _first(places, keyed)
    count = len(firsts)
    narrow = Table(
        wide.kind, wide.headings, pd.DataFrame(index=pd.RangeIndex(count)), wide.rows[firsts],
        wide.problems, wide.bad[firsts], settings=wide.settings,
    )  # fmt: skip
    columns: dict[str, pd.Series] = {}
    for name in wide.texts.columns:
        texts = wide.texts[name]
        given = wide.given(name) & keyed
        source = firsts.copy()
        written = _first(places, given)
        source[places[written]] = written
        cells = texts.take(source).reset_index(drop=True)
        plain = _plain(texts)
        differs = given.copy()
        differs[given] = plain[given] != plain[source][places[given]]
        if name in wide.kind.shared_columns:
            cells = cells.mask(np.isin(np.arange(count), places[differs]))
        else:
            _say_differs(narrow, wide, name, source, places, differs)
        columns[name] = cells
        narrow.cell_rows[name] = wide.rows[source]
        if name in wide.forms:
            narrow.forms[name] = wide.forms[name][source]
    narrow.texts = pd.DataFrame(columns)
    return narrow, places


def days_within(days: np.ndarray, wide: Table, key: tuple[str, ...]) -> np.ndarray:
    """The day of each row; where it has none of its own, the first day of its ``key``."""
    places = _places(wide, key)
    own = ~np.isnat(days)
    known = _first(places, own & (places >= 0))
    by_key = np.full(int(places.max(initial=-1)) + 2, np.datetime64("NaT"), days.dtype)
    by_key[places[known]] = days[known]
    found: np.ndarray = np.where(own, days, by_key[places])  # place -1 is the last: no day
    return found


def _places(wide: Table, key: tuple[str, ...]) -> np.ndarray:
    keys = {}
    for name in key:
        absent = wide.kind.column(name).absent
        texts = wide.texts[name]
        keys[name] = texts if absent is None else texts.fillna(absent)
    frame = pd.DataFrame(keys)
    return numbered(frame)


def _first(places: np.ndarray, where: np.ndarray) -> np.ndarray:
    """The first row of each place among the rows of ``where``, in order of place."""
    rows = np.flatnonzero(where)
    _, first = np.unique(places[rows], return_index=True)
    found: np.ndarray = rows[first]
    return found


def _plain(texts: pd.Series) -> np.ndarray:
    """A number per text, equal where the texts differ in letter case alone; -1 where missing."""
    codes, distinct = pd.factorize(texts)
    alike, _ = pd.factorize(pd.Series([" ".join(text.casefold().split()) for text in distinct]))
    found: np.ndarray = np.append(alike, -1)[codes]
    return found


def _say_differs(
    narrow: Table,
    wide: Table,
    name: str,
    source: np.ndarray,
    places: np.ndarray,
    differs: np.ndarray,
) -> None:
    """One problem per record and column: the first row that disagrees with the first value."""
    subject = wide.kind.word
    for at in _first(places, differs):
        place = places[at]
        before = source[place]
        key = ", ".join(wide.text(column, int(at)) for column in wide.kind.key)
        wide.problems.add(
            f"two values in one {subject}",
            f"{subject.capitalize()} {key.rstrip(', ')}: {wide.name(name)} is "
            f"{wide.text(name, int(at))} here and {wide.text(name, int(before))} "
            f"in row {wide.rows[before]}.",
            f"Write one value on all rows of the {subject}, or on its first row only.",
            int(wide.rows[at]), wide.name(name), wide.text(name, int(at)),
        )  # fmt: skip
        narrow.bad[place] = True
