"""Text to numbers, dates, moments and words, whole columns at a time: each distinct text once."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

_NUMBER = re.compile(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]{1,3})?")
_LARGEST = 1e15  # beyond it doubles no longer hold every whole number
_DATE = re.compile(r"(19[5-9]|20[0-9]|21[0-9])[0-9]-[0-9]{2}-[0-9]{2}")
_TIME = re.compile(r"([01]?[0-9]|2[0-3]):([0-5][0-9])(:[0-5][0-9])?")
_OFFSET = re.compile(r"\s*(Z|[+-][0-9]{2}:[0-9]{2})$")


def by_distinct(texts: pd.Series, value_of: Callable[[str], Any], empty: Any, dtype: Any) -> Any:
    """An array of ``value_of`` each text; ``empty`` where the text is missing."""
    codes, distinct = pd.factorize(texts)
    values = [value_of(str(text)) for text in distinct]
    return np.array([*values, empty], dtype=dtype)[codes]  # code -1, missing, is the last place


def numbers(texts: pd.Series) -> np.ndarray:
    """Plain decimal numbers; NaN where a text is none."""
    found: np.ndarray = by_distinct(texts, _number, np.nan, "float64")
    return found


def _number(text: str) -> float:
    value = float(text) if _NUMBER.fullmatch(text) else float("nan")
    return value if abs(value) <= _LARGEST else float("nan")


def whole(values: np.ndarray) -> np.ndarray:
    """Values rounded to whole ones, half to even; the sixth decimal is noise of conversion."""
    rounded: np.ndarray = np.rint(np.round(values, 6))
    return rounded


def dates(texts: pd.Series) -> np.ndarray:
    """Days written yyyy-mm-dd; NaT where a text is none."""
    found: np.ndarray = by_distinct(texts, _date, np.datetime64("NaT"), "datetime64[us]")
    return found


def _date(text: str) -> np.datetime64:
    try:
        return np.datetime64(date.fromisoformat(text) if _DATE.fullmatch(text) else "NaT", "us")
    except ValueError:
        return np.datetime64("NaT")


def only_time(texts: pd.Series) -> np.ndarray:
    """Whether a text is a time of day without its date."""
    found: np.ndarray = by_distinct(
        texts, lambda text: _TIME.fullmatch(text) is not None, False, "bool"
    )
    return found


def with_date(texts: pd.Series, days: np.ndarray) -> pd.Series:
    """Times of day completed with their ``days``; what has its own date, or no day, stays."""
    lone = only_time(texts) & ~np.isnat(days)
    if not lone.any():
        return texts
    complete = texts.to_numpy(dtype=object, copy=True)
    written = np.datetime_as_string(days[lone], unit="D")
    complete[lone] = [f"{day} {time}" for day, time in zip(written, complete[lone], strict=True)]
    return pd.Series(complete, index=texts.index, dtype="str")


def moments(texts: pd.Series, zone: ZoneInfo) -> tuple[np.ndarray, np.ndarray]:
    """Moments in UTC, NaT where a text is none, and where the zone's clock makes it unclear."""
    codes, distinct = pd.factorize(texts)
    local = np.full(len(distinct), np.datetime64("NaT"), dtype="datetime64[us]")
    offset = np.zeros(len(distinct), dtype="timedelta64[us]")
    stated = np.zeros(len(distinct), dtype="bool")
    for at, text in enumerate(distinct):
        local[at], offset[at], stated[at] = _local(str(text))
    clock = pd.Series(local).dt.tz_localize(zone, ambiguous="NaT", nonexistent="NaT")
    in_zone = clock.dt.tz_convert("UTC").dt.tz_localize(None).to_numpy("datetime64[us]")
    utc = np.where(stated, local - offset, in_zone)
    unclear = np.isnat(utc) & ~np.isnat(local)
    return (
        np.append(utc, np.datetime64("NaT"))[codes].astype("datetime64[us]"),
        np.append(unclear, False)[codes],
    )


def _local(text: str) -> tuple[np.datetime64, np.timedelta64, bool]:
    """Clock reading, its offset from UTC, and whether an offset is stated."""
    stated = _OFFSET.search(text)
    shift = np.timedelta64(0, "us")
    if stated and stated[1] != "Z":
        hours, minutes = int(stated[1][1:3]), int(stated[1][4:])
        shift = np.timedelta64(hours * 60 + minutes, "m").astype("timedelta64[us]")
        shift = -shift if stated[1].startswith("-") else shift
    day, _, time = _OFFSET.sub("", text).replace("T", " ", 1).partition(" ")
    time = time.strip()
    if not _TIME.fullmatch(time) or np.isnat(_date(day)):
        return np.datetime64("NaT"), np.timedelta64(0, "us"), False
    hours, minutes, *seconds = (int(part) for part in time.split(":"))
    after = hours * 3600 + minutes * 60 + (seconds[0] if seconds else 0)
    return _date(day) + np.timedelta64(after, "s"), shift, stated is not None


def words(texts: pd.Series, allowed: dict[str, str]) -> np.ndarray:
    """The allowed word that each text means, by its plain form; None where it means none."""
    found: np.ndarray = by_distinct(texts, lambda text: allowed.get(plain(text)), None, object)
    return found


def plain(text: str) -> str:
    """A word ready for comparison: lower case, no blanks."""
    return "".join(text.casefold().split())
