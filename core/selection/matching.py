"""Which row of one kind belongs to a row of another: places in columns, no numbers."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from core.records.current_rows import Array, CurrentRows, common_codes, joined_codes


def places_of(
    rows: CurrentRows, names: tuple[str, ...], others: CurrentRows, theirs: tuple[str, ...]
) -> Array:
    """Per row the place in ``others`` of the row whose ``theirs`` are its ``names``, else -1.

    No two of ``others`` have the same.
    """
    codes = [
        common_codes((rows, name), (others, their))[0]
        for name, their in zip(names, theirs, strict=True)
    ]
    both = joined_codes([np.concatenate(pair) for pair in codes])
    own, held = both[: len(rows)], both[len(rows) :]
    index = pd.Index(np.where(held < 0, -2 - np.arange(len(held)), held))
    found: Array = index.get_indexer(pd.Index(np.where(own < 0, -1, own)))
    return found


def place_of_each(code: Array, number: int) -> Array:
    """The place of the last row that has each of ``number`` codes, -1 for none; one for code -1."""
    found = np.full(number + 1, -1)
    found[code] = np.arange(len(code))
    found[-1] = -1
    return found


def last_of_each(group: Array, *keys: Array) -> Array:
    """The place of the last row of each group by ``keys``; groups below 0 are none."""
    order = np.lexsort((*keys[::-1], group))
    ends = np.ones(len(order), dtype=bool)
    ends[:-1] = group[order][1:] != group[order][:-1]
    found: Array = order[ends & (group[order] >= 0)]
    return found


def key_codes(*parts: Sequence[Array]) -> list[Array]:
    """One code per row for several codes of several sets of rows; -1 where a row lacks one of them.

    Each part is the codes of all sets in one vocabulary.
    """
    joined = joined_codes([np.concatenate(part) for part in parts])
    ends = np.cumsum([len(own) for own in parts[0]])
    return np.split(joined, ends[:-1])


def rows_by_code(own: Array, held: Array) -> tuple[Array, Array]:
    """Every row of ``own`` beside each row of ``held`` with its code; -1 for one without any.

    Rows of ``own`` keep their order, and those of ``held`` within each.
    """
    own, held, size = _dense(own, held)
    count = np.bincount(held + 1, minlength=size + 1)
    starts = np.cumsum(count) - count
    number = np.where(own >= 0, count[own + 1], 0)
    order = np.argsort(held, kind="stable")
    rows = np.repeat(np.arange(len(own)), np.maximum(number, 1))
    before = np.cumsum(np.maximum(number, 1)) - np.maximum(number, 1)
    within = np.arange(len(rows)) - before[rows]
    at = np.append(order, -1)[np.where(number[rows] > 0, starts[own[rows] + 1] + within, -1)]
    return rows, at


def row_by_code(own: Array, held: Array) -> Array:
    """Per row of ``own`` the first row of ``held`` with its code; -1 for none."""
    own, held, size = _dense(own, held)
    place = np.full(size + 1, -1)
    place[held[::-1]] = np.arange(len(held))[::-1]
    place[-1] = -1
    found: Array = place[own]
    return found


def row_of(rows: CurrentRows, others: CurrentRows, name: str) -> Array:
    """Per row the first row of ``others`` whose ``name`` is the same text; -1 for none."""
    (own, held), _ = common_codes((rows, name), (others, name))
    return row_by_code(own, held)


def _dense(own: Array, held: Array) -> tuple[Array, Array, int]:
    """Codes that leave few gaps, and one more than the maximum."""
    size = int(max(own.max(initial=-1), held.max(initial=-1))) + 1
    if size > 8 * (len(own) + len(held)) + 1024:
        texts, codes = np.unique(np.concatenate([own, held]), return_inverse=True)
        codes = codes - int(np.searchsorted(texts, 0))
        own, held, size = codes[: len(own)], codes[len(own) :], len(texts)
    return own, held, size
