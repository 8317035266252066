"""Numbers of piles as people write them: which two are the same, and which may be a slip."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import pandas as pd
from rapidfuzz import process
from rapidfuzz.distance import OSA

_DASHES = dict.fromkeys(map(ord, "\u2010\u2011\u2012\u2013\u2014\u2212"), "-")
_NOT_BETWEEN_DIGITS = re.compile(r"(?<!\d) | (?!\d)")
_LETTERS_AROUND = re.compile(r"([^\W\d_]*)(.*?)([^\W\d_]*)", re.DOTALL)
_LAST_COUNT = re.compile(r"(.*?)(\d{1,9})(\D*)", re.DOTALL)
_AT_ONCE = 500  # numbers compared with all others in one step


def match_key(number: str) -> str:
    """What two spellings of one number have in common: letter case and spacing do not matter.

    A blank between two digits stays, because 12 1 may mean 121 or 12-1.
    """
    text = " ".join(number.casefold().translate(_DASHES).split())
    return _NOT_BETWEEN_DIGITS.sub("", text)


@dataclass
class Spellings:
    """How one file spells each number: every later spelling is read as the first."""

    first: dict[str, str] = field(default_factory=dict)

    def unified(
        self, texts: pd.Series[str], rows: np.ndarray
    ) -> tuple[pd.Series[str], list[tuple[int, str, str]]]:
        """``texts`` in the first spelling, and what was changed: row, text, first spelling."""
        codes, distinct = pd.factorize(texts)
        named, places = np.unique(codes, return_index=True)
        order = places[named >= 0][np.argsort(places[named >= 0])]
        changed = []
        for place in order:
            text = str(distinct[codes[place]])
            first = self.first.setdefault(match_key(text), text)
            if first != text:
                changed.append((int(rows[place]), text, first))
        if changed:
            texts = renamed(texts, {text: first for _, text, first in changed})
        return texts, changed


def renamed(texts: pd.Series[str], changed: Mapping[str, str]) -> pd.Series[str]:
    """``texts`` with those that are ``changed`` replaced."""
    return texts.map(dict(changed)).fillna(texts).astype(texts.dtype)


def near_matches(numbers: Sequence[str], among: Sequence[str]) -> dict[str, list[str]]:
    """Per number those ``among`` others that are one character, or one swapped pair, away.

    Letters in front name a series and letters at the end another pile (TP-1, 101A), so they are
    never a slip.
    """
    found: dict[str, list[str]] = {}
    keys, others = [match_key(one) for one in numbers], [match_key(one) for one in among]
    for start in range(0, len(keys) if others else 0, _AT_ONCE):
        part = keys[start : start + _AT_ONCE]
        apart = process.cdist(part, others, scorer=OSA.distance, score_cutoff=1, dtype=np.uint8)
        for own, other in zip(*np.nonzero(apart == 1), strict=True):
            if _around(part[own]) == _around(others[other]):
                found.setdefault(numbers[start + own], []).append(among[other])
    return found


def _around(key: str) -> tuple[str, str]:
    parts = _LETTERS_AROUND.fullmatch(key)
    assert parts is not None
    return parts[1], parts[3]


def continuing(
    numbers: Iterable[str], scheduled: Iterable[str], known: Collection[str]
) -> set[str]:
    """``numbers`` that count on where the schedule ends: extra piles, not slips.

    None of the schedule is higher in their series, and the number before each is ``known``.
    """
    highest: dict[tuple[str, str], int] = {}
    for one in scheduled:
        series, count = _counted(one)
        highest[series] = max(count, highest.get(series, -1))
    held = {_counted(one) for one in known}
    found = set()
    for number in numbers:
        series, count = _counted(number)
        if series in highest and count > highest[series] and (series, count - 1) in held:
            found.add(number)
    return found


def _counted(number: str) -> tuple[tuple[str, str], int]:
    """The series of a number and its last count, -1 when it has none."""
    key = match_key(number)
    parts = _LAST_COUNT.fullmatch(key)
    return ((parts[1], parts[3]), int(parts[2])) if parts else ((key, ""), -1)
