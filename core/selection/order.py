"""The order in which rows of a kind stand, and the order of the work on a pile."""

from __future__ import annotations

import re

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from core import records
from core.records.current_rows import Array, CurrentRows

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


def ordered_runs(run: CurrentRows) -> CurrentRows:
    """Runs in the order of the work, with ``run_order`` that grows with it.

    By day, then by start where every run of that pile and day has one, then by number as people
    count.
    """
    pile, day = ranks(run, "pile_id"), run.values("run_on")
    start, number = run.values("started_at"), ranks(run, "run_no")
    same_day = np.lexsort((day, pile))
    first = np.ones(len(run), dtype=bool)
    first[1:] = (pile[same_day][1:] != pile[same_day][:-1]) | (
        day[same_day][1:] != day[same_day][:-1]
    )
    group = np.empty(len(run), dtype=np.int64)
    group[same_day] = np.cumsum(first) - 1
    untimed = np.bincount(group, weights=np.isnat(start), minlength=len(run)) > 0
    start = np.where(untimed[group], np.datetime64("NaT"), start)
    order = np.lexsort((number, start, day, pile))
    return run.take(order).with_whole("run_order", np.arange(1, len(run) + 1))
