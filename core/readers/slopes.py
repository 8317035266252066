"""Batters written as slopes: 1:5, 1 in 5 and 20 % are horizontal parts over vertical ones."""

from __future__ import annotations

import re

_NUMBER = r"([0-9]+(?:\.[0-9]+)?)"
_PAIR = re.compile(rf"{_NUMBER}\s*(?::|in|/)\s*{_NUMBER}", re.IGNORECASE)
_ACROSS_FIRST = re.compile(rf"{_NUMBER}\s*H\s*[:/]\s*{_NUMBER}\s*V", re.IGNORECASE)
_UP_FIRST = re.compile(rf"{_NUMBER}\s*V\s*[:/]\s*{_NUMBER}\s*H", re.IGNORECASE)
_PERCENT = re.compile(rf"{_NUMBER}\s*%")


def ratio(text: str) -> float | None:
    """Horizontal over vertical of a marked slope; None when it is none.

    Without letters a pair leans less than 45°: nobody can tell which way round 5:1 is meant.
    """
    percent = _PERCENT.fullmatch(text)
    if percent:
        return float(percent[1]) / 100
    for pattern in (_PAIR, _ACROSS_FIRST):
        pair = pattern.fullmatch(text)
        if pair:
            found = _quotient(pair[1], pair[2])
            return None if pattern is _PAIR and found is not None and found > 1 else found
    pair = _UP_FIRST.fullmatch(text)
    return _quotient(pair[2], pair[1]) if pair else None


def _quotient(above: str, below: str) -> float | None:
    return float(above) / float(below) if float(below) else None
