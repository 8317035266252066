"""Times of day and moments as people type them, turned from the clock of a zone into UTC."""

from __future__ import annotations

import re
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from core.readers.dates import as_day
from core.readers.distinct import by_distinct

_OFFSET = re.compile(r"\s*(Z|[+-][0-9]{2}:[0-9]{2})$")
_TIME = re.compile(
    r"(?P<hours>[0-9]{1,2}):(?P<minutes>[0-5][0-9])"
    r"(:(?P<seconds>[0-5][0-9])(?P<fraction>\.[0-9]{1,6})?)?(\s*(?P<half>[ap])\.?m\.?)?",
    re.IGNORECASE,
)
_FOUR_FIGURES = re.compile(r"(?P<hours>[0-9]{2})(?P<minutes>[0-5][0-9])")
_DAY_AND_TIME = re.compile(r"(?P<day>.*\S)(?:\s+|(?<=[0-9])T)(?P<time>[0-9]{1,2}:[^T]*)")
_COUNTED = re.compile(r"(?P<day>[0-9]{5,6})(?P<part>\.[0-9]+)")
_FRACTION = re.compile(r"0?[.,][0-9]+")
_NO_MOMENT = np.datetime64("NaT", "us")
_NO_SHIFT = np.timedelta64(0, "us")
_DAY_US = 24 * 3600 * 1_000_000


def only_time(texts: pd.Series) -> np.ndarray:
    """Whether a text is a time of day without its date."""
    found: np.ndarray = by_distinct(texts, lambda text: _alone(text) is not None, False, "bool")
    return found


def fraction_of_day(texts: pd.Series) -> np.ndarray:
    """Whether a text is a time as a spreadsheet counts it: a part of a day."""
    found: np.ndarray = by_distinct(
        texts, lambda text: _FRACTION.fullmatch(text) is not None, False, "bool"
    )
    return found


def moments(
    texts: pd.Series, zone: ZoneInfo, order: str, days: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Moments in UTC, NaT where a text is none, and where the zone's clock makes it unclear.

    A time of day stands on its row's day of ``days``; days written as three numbers are read in
    ``order``.
    """
    codes, distinct = pd.factorize(texts)
    count = len(distinct) + 1  # code -1, missing, is the last place
    written = np.full(count, _NO_MOMENT, dtype="datetime64[us]")
    after = np.full(count, np.timedelta64("NaT"), dtype="timedelta64[us]")
    offset = np.zeros(count, dtype="timedelta64[us]")
    stated = np.zeros(count, dtype="bool")
    for at, text in enumerate(distinct):
        alone = _alone(str(text))
        if alone is None:
            written[at], offset[at], stated[at] = _local(str(text), order)
        else:
            after[at] = np.timedelta64(alone, "us")
    local = np.where(np.isnat(after[codes]), written[codes], days + after[codes])
    in_zone = _utc(local, zone)
    utc = np.where(stated[codes], local - offset[codes], in_zone)
    return utc.astype("datetime64[us]"), np.isnat(utc) & ~np.isnat(local)


def _utc(local: np.ndarray, zone: ZoneInfo) -> np.ndarray:
    """Clock readings of ``zone`` in UTC, NaT where the clock shows them twice or never."""
    codes, distinct = pd.factorize(local)
    clock = pd.Series(distinct).dt.tz_localize(zone, ambiguous="NaT", nonexistent="NaT")
    utc = clock.dt.tz_convert("UTC").dt.tz_localize(None).to_numpy("datetime64[us]")
    found: np.ndarray = np.append(utc, _NO_MOMENT)[codes]
    return found


def day_part(text: str) -> str:
    """The day of a moment as written; empty when the text has none."""
    parts = _DAY_AND_TIME.fullmatch(_OFFSET.sub("", text))
    return parts["day"] if parts else ""


def _local(text: str, order: str) -> tuple[np.datetime64, np.timedelta64, bool]:
    """Clock reading, its offset from UTC, and whether an offset is stated."""
    if order == "day number":
        counted = _COUNTED.fullmatch(text)
        if counted:
            after = round(float(counted["part"]) * _DAY_US / 1_000_000)
            return as_day(counted["day"], order) + np.timedelta64(after, "s"), _NO_SHIFT, False
    stated = _OFFSET.search(text)
    shift = _NO_SHIFT
    if stated:
        text = text[: stated.start()]
        if stated[1] != "Z":
            minutes = int(stated[1][1:3]) * 60 + int(stated[1][4:])
            shift = np.timedelta64(-minutes if stated[1][0] == "-" else minutes, "m")
    parts = _DAY_AND_TIME.fullmatch(text)
    after_us = _microseconds(parts["time"].strip()) if parts else None
    if parts is None or after_us is None:
        return _NO_MOMENT, _NO_SHIFT, False
    return as_day(parts["day"], order) + np.timedelta64(after_us, "us"), shift, stated is not None


def _alone(text: str) -> int | None:
    """Microseconds of a time that stands alone, where 0730 is one, too."""
    found = _microseconds(text)
    if found is None and (figures := _FOUR_FIGURES.fullmatch(text)):
        return _microseconds(f"{figures['hours']}:{figures['minutes']}")
    return found


def _microseconds(text: str) -> int | None:
    """Microseconds from midnight of a time of day; None when it is none."""
    parts = _TIME.fullmatch(text)
    if parts is None:
        return None
    hours = int(parts["hours"])
    if parts["half"]:
        if not 1 <= hours <= 12:
            return None
        hours = hours % 12 + (12 if parts["half"].lower() == "p" else 0)
    if hours > 23:
        return None
    seconds = hours * 3600 + int(parts["minutes"]) * 60 + int(parts["seconds"] or 0)
    return seconds * 1_000_000 + round(float(parts["fraction"] or 0) * 1_000_000)
