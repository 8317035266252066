"""Which row of one kind belongs to a row of another: places in columns, no numbers."""

from __future__ import annotations

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
