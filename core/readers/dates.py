"""Days as people type them: clear ones, and three numbers whose order somebody must say."""

from __future__ import annotations

import re
from datetime import date, timedelta
from functools import lru_cache

import numpy as np
import pandas as pd

from core.readers.conventions import Conventions
from core.readers.distinct import by_distinct

ORDERS = ("year month day", "day month year", "month day year")
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip
_FIRST_YEAR, _LAST_YEAR = 1950, 2199  # days of a job, and of certificates, lie between them
# A spreadsheet's day 1 is 1 January 1900 and its day 60 a 29 February that the year did not have;
# from day 61 on, which is all that counts here, the days are those after 30 December 1899.
_DAY_ZERO = date(1899, 12, 30)
_NO_TIME = re.compile(r"[T ]00:00(:00(\.0+)?)?$")
_ISO = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_YEAR_FIRST = re.compile(r"([0-9]{4})\s*([./\- ])\s*([0-9]{1,2})\s*\2\s*([0-9]{1,2})")
_THREE = re.compile(r"([0-9]{1,2})\s*([./\- ])\s*([0-9]{1,2})\s*\2\s*([0-9]{4}|[0-9]{2})")
_GAP = r"[\s./-]*"
_NAMED = (
    re.compile(rf"(?P<d>[0-9]{{1,2}})(st|nd|rd|th)?{_GAP}(?P<m>[a-z]+)[.,]?{_GAP}(?P<y>[0-9]+)"),
    re.compile(rf"(?P<m>[a-z]+)\.?{_GAP}(?P<d>[0-9]{{1,2}})(st|nd|rd|th)?,?\s+(?P<y>[0-9]{{4}})"),
    re.compile(rf"(?P<y>[0-9]{{4}}){_GAP}(?P<m>[a-z]+)\.?{_GAP}(?P<d>[0-9]{{1,2}})"),
)
_COUNTED = re.compile(r"([0-9]{5,6})(\.[0-9]+)?")
_NO_DAY = np.datetime64("NaT")


def dates(texts: pd.Series, order: str = "") -> np.ndarray:
    """Days; NaT where a text is none, or is three numbers that can be two days in no ``order``."""
    found: np.ndarray = by_distinct(texts, lambda text: as_day(text, order), _NO_DAY, "M8[us]")
    return found


def days_of(texts: pd.Series, conventions: Conventions) -> np.ndarray:
    """Days in the order that is said, or that the texts themselves prove."""
    order = conventions.date_order or proven_order(texts)
    return dates(texts, order)


def proven_order(texts: pd.Series) -> str:
    """The only order in which all three-number dates of ``texts`` are days; empty without one."""
    fits = set(ORDERS)
    undecided = False
    for text in texts.dropna().unique():
        possible = readings(str(text))
        if not possible:
            continue
        undecided = True
        fits &= possible.keys()
    return fits.pop() if undecided and len(fits) == 1 else ""


@lru_cache(maxsize=8192)
def as_day(text: str, order: str = "") -> np.datetime64:
    """The day that ``text`` says by itself or in ``order``; NaT when it says none or several."""
    text = _NO_TIME.sub("", text.strip())
    found = _clear(text)
    if found is None and order == "day number":
        found = _counted(text)
    elif found is None:
        possible = readings(text)
        found = possible.get(order) if order else _only(possible)
    return np.datetime64(found, "us") if found else _NO_DAY


@lru_cache(maxsize=8192)
def readings(text: str) -> dict[str, date]:
    """The day of three numbers by each order in which they are one; empty for other texts."""
    parts = _THREE.fullmatch(_NO_TIME.sub("", text.strip()))
    if not parts:
        return {}
    first, second, third = parts[1], parts[3], parts[4]
    possible = {
        "year month day": _day(first, second, third) if len(first) == len(third) == 2 else None,
        "day month year": _day(third, second, first),
        "month day year": _day(third, first, second),
    }
    return {order: day for order, day in possible.items() if day}


def is_count(text: str) -> bool:
    """Whether ``text`` may be a spreadsheet's count of days."""
    return _counted(text) is not None


def _only(possible: dict[str, date]) -> date | None:
    days = set(possible.values())
    return days.pop() if len(days) == 1 and len(possible) > 1 else None


def _clear(text: str) -> date | None:
    """A day that is clear by itself: its year in front, or its month in letters."""
    parts = _ISO.fullmatch(text)
    if parts:
        return _day(*parts.groups())
    parts = _YEAR_FIRST.fullmatch(text)
    if parts:
        return _day(parts[1], parts[3], parts[4])
    for pattern in _NAMED:
        named = pattern.fullmatch(text.lower())
        if named:
            return _day(named["y"], str(_month(named["m"])), named["d"])
    return None


def _month(word: str) -> int:
    names = [name.lower() for name in MONTHS]
    if word == "sept":
        return 9
    return next(
        (at for at, name in enumerate(names, 1) if word in (name, name[:3])),
        0,
    )


def _day(year: str, month: str, day: str) -> date | None:
    if len(year) not in (2, 4):
        return None
    whole_year = int(year) + (2000 if len(year) == 2 else 0)
    try:
        found = date(whole_year, int(month), int(day))
    except ValueError:
        return None
    return found if _FIRST_YEAR <= found.year <= _LAST_YEAR else None


def _counted(text: str) -> date | None:
    parts = _COUNTED.fullmatch(text)
    if not parts:
        return None
    found = _DAY_ZERO + timedelta(days=int(parts[1]))
    return found if _FIRST_YEAR <= found.year <= _LAST_YEAR else None
