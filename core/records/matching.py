"""Rows of record kinds matched by codes and put in the order that people count in."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from core import records
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


_NUMBERS, _WITH_ZEROS = r"([0-9]+)", r"000000000\1"
_PADDED = r"[0-9]*([0-9]{9})([^0-9]|$)"

# Columns by which the rows of a kind stand where its key alone does not order them. Text is
# ordered as people count, or letter by letter where its column is marked so with ``PLAIN``.
PLAIN = "plain "
ORDERS: dict[str, tuple[str, ...]] = {
    "stage_record": ("pile_id", "stage_on", f"{PLAIN}stage"),
    "sign_off": ("subject", f"{PLAIN}role"),
    "calibration": (f"{PLAIN}instrument_id", "valid_from_on", f"{PLAIN}certificate"),
    "grout_batch": ("mixed_on", "mixed_at", "batch_id"),
    "grout_specimen": ("sample_group_id", "age_days", "specimen_id"),
    "component": ("stamp", f"{PLAIN}delivery_id"),
    "piece": ("stamp", f"{PLAIN}delivery_id", f"{PLAIN}piece"),
    "heat_on_certificate": (f"{PLAIN}mill", "heat", "certificate"),
    "quarantine": (f"{PLAIN}mill", "heat"),
    "certificate_file": ("certificate", "entry_no"),
    "survey": ("pile_id", "surveyed_on", f"{PLAIN}survey_stage"),
}


def counting_order(text: str) -> str:
    """Text that sorts as people count: every number in it padded to nine digits.

    The macro of this name in the store sorts alike.
    """
    return re.sub(_PADDED, r"\1\2", re.sub(_NUMBERS, _WITH_ZEROS, text))


def ranks(rows: CurrentRows, name: str) -> Array:
    """Per row the rank of its text, as people count; what is not recorded comes last."""
    texts = rows.distinct(name)
    padded = pc.replace_substring_regex(texts, _NUMBERS, _WITH_ZEROS)
    padded = pc.replace_substring_regex(padded, _PADDED, r"\1\2")
    return _ranks(rows, name, pa.table({"padded": padded, "text": texts}))


def plain_ranks(rows: CurrentRows, name: str) -> Array:
    """Per row the rank of its text, letter by letter; what is not recorded comes last."""
    return _ranks(rows, name, pa.table({"text": rows.distinct(name)}))


def _ranks(rows: CurrentRows, name: str, keys: pa.Table) -> Array:
    """Per row the rank of its text by ``keys``, one row per text."""
    order = pc.sort_indices(keys, sort_keys=[(key, "ascending") for key in keys.column_names])
    rank = np.full(keys.num_rows + 1, keys.num_rows)
    rank[order.to_numpy()] = np.arange(keys.num_rows)
    found: Array = rank[rows.codes(name)]
    return found


def sorted_by(rows: CurrentRows, *keys: Array) -> CurrentRows:
    """``rows`` by the first of ``keys``, then the next; equal rows stay as they are.

    A number or moment that is not recorded comes last.
    """
    return rows.take(np.lexsort(keys[::-1]))


def in_order(kind: str, rows: CurrentRows) -> CurrentRows:
    """Rows of a kind in the order of ``ORDERS``, otherwise by their key."""
    if len(rows) < 2:
        return rows
    forms = {column.name: column.form for column in records.KIND[kind].columns}
    keys = []
    for name in ORDERS.get(kind, records.KIND[kind].key):
        bare = name.removeprefix(PLAIN)
        if forms.get(bare) != "text":
            keys.append(rows.values(bare))
        else:
            keys.append(plain_ranks(rows, bare) if bare != name else ranks(rows, bare))
    return sorted_by(rows, *keys)
