"""Frames of one file's sheets put together; a key that stands on two of them is a problem."""

from __future__ import annotations

import pandas as pd

from core.readers.problems import Problems
from core.records import KIND

Part = tuple[Problems, dict[str, pd.DataFrame]]


def joined(parts: list[Part]) -> tuple[dict[str, pd.DataFrame], int]:
    """One frame per kind over all sheets, and how many rows two sheets disagree about.

    Neither of two rows of one key is taken.
    """
    frames: dict[str, pd.DataFrame] = {}
    lost: set[tuple[str, int]] = set()
    for kind in KIND:
        found = [part[1][kind] for part in parts if kind in part[1]]
        if not found:
            continue
        whole = pd.concat(found, ignore_index=True) if len(found) > 1 else found[0]
        if len(found) > 1:
            whole = _without_repeats(whole, kind, {one.sheet: one for one, _ in parts}, lost)
        frames[kind] = whole
    return frames, len(lost)


def _without_repeats(
    whole: pd.DataFrame, kind: str, problems: dict[str, Problems], lost: set[tuple[str, int]]
) -> pd.DataFrame:
    """The rows whose key stands once, the others in ``lost``; equal rows stand for one."""
    key = list(KIND[kind].key)
    whole = whole[~whole.duplicated(list(KIND[kind].names))].reset_index(drop=True)
    again = whole.duplicated(key, keep=False)
    for values, rows in whole[again].groupby(key, sort=False):
        places = list(zip(rows["sheet"], rows["row_no"], strict=True))
        for sheet, row in places:
            other = next(place for place in places if place != (sheet, row))
            problems[sheet].add(
                "repeated key",
                f"Sheet {other[0]}, row {other[1]} holds the same {KIND[kind].word} "
                f"({' / '.join(map(str, values))}) with other values.",
                "Correct one of the two, or take one out.",
                int(row),
            )
            lost.add((sheet, int(row)))
    return whole[~again].reset_index(drop=True)
