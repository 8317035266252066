"""Which piles pass the filters, and the order in which people count them."""

from __future__ import annotations

import pandas as pd

from dashboard.filters.choices import DAYS, FILTERS, now


def mask(piles: pd.DataFrame) -> pd.Series:
    """Which rows of ``piles`` the filters let through."""
    choices = now()
    columns = {"area": "area", "state": "state", "rig": "rig", "type": "pile_type"}
    shown = pd.Series(True, index=piles.index)
    for name, column in columns.items():
        if wanted := getattr(choices, name):
            shown &= piles[column].isin(wanted)
    return shown


def run_mask(piles: pd.DataFrame) -> pd.Series:
    """Which rows of ``piles`` had their last run between the days chosen, both included."""
    choices = now()
    shown = pd.Series(True, index=piles.index)
    if choices.run_from:
        shown &= piles["run_on"] >= pd.Timestamp(choices.run_from)
    if choices.run_to:
        shown &= piles["run_on"] <= pd.Timestamp(choices.run_to)
    return shown


def in_use() -> list[str]:
    """Words for the filters that leave something out."""
    words = {"run_from": "from a day", "run_to": "to a day"}
    return [words.get(name, name) for name in (*FILTERS, *DAYS) if getattr(now(), name)]


def neighbour(numbers: list[str], place: int | None, step: int) -> str | None:
    """The pile number ``step`` places on; the first when none is chosen; None past the end."""
    if place is None:
        return numbers[0] if step > 0 else None
    return numbers[place + step] if 0 <= place + step < len(numbers) else None


def natural(text: str) -> tuple[tuple[bool, int | str], ...]:
    """Sort key: P-2 before P-10."""
    parts: list[str] = [""]
    for sign in text:
        if sign.isdecimal() == parts[-1].isdecimal():
            parts[-1] += sign
        else:
            parts.append(sign)
    return tuple((part.isdecimal(), int(part) if part.isdecimal() else part) for part in parts)
