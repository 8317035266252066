"""Cells of date and timestamp columns to values; an order of dates that is not given is asked."""

from __future__ import annotations

import re
from datetime import date, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from core.readers.options import Locale
from core.readers.table import Table, map_unique, unread
from core.settings import Project

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
    found: np.ndarray = map_unique(texts, lambda text: as_day(text, order), _NO_DAY, "M8[us]")
    return found


def days_of(texts: pd.Series, conventions: Locale) -> np.ndarray:
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


_OFFSET = re.compile(r"\s*(Z|[+-][0-9]{2}:[0-9]{2})$")
_TIME = re.compile(
    r"(?P<hours>[0-9]{1,2}):(?P<minutes>[0-5][0-9])"
    r"(:(?P<seconds>[0-5][0-9])(?P<fraction>\.[0-9]{1,6})?)?(\s*(?P<half>[ap])\.?m\.?)?",
    re.IGNORECASE,
)
_FOUR_FIGURES = re.compile(r"(?P<hours>[0-9]{2})(?P<minutes>[0-5][0-9])")
_DAY_AND_TIME = re.compile(r"(?P<day>.*\S)(?:\s+|(?<=[0-9])T)(?P<time>[0-9]{1,2}:[^T]*)")
_COUNTED_TIME = re.compile(r"(?P<day>[0-9]{5,6})(?P<part>\.[0-9]+)")
_FRACTION = re.compile(r"0?[.,][0-9]+")
_NO_MOMENT = np.datetime64("NaT", "us")
_NO_SHIFT = np.timedelta64(0, "us")
_DAY_US = 24 * 3600 * 1_000_000


def only_time(texts: pd.Series) -> np.ndarray:
    """Whether a text is a time of day without its date."""
    found: np.ndarray = map_unique(texts, lambda text: _alone(text) is not None, False, "bool")
    return found


def fraction_of_day(texts: pd.Series) -> np.ndarray:
    """Whether a text is a time as a spreadsheet counts it: a part of a day."""
    found: np.ndarray = map_unique(
        texts, lambda text: _FRACTION.fullmatch(text) is not None, False, "bool"
    )
    return found


def timestamps(
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
        counted = _COUNTED_TIME.fullmatch(text)
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


_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_ORDER = "Say the order of dates on Import, or import with --date-order."


def date_order(table: Table, conventions: Locale) -> str:
    """The order that is said, else the one that the table's own dates prove, with a notice."""
    if conventions.date_order:
        return conventions.date_order
    written = [
        (column.name, _days_written(table.texts[column.name], column.form))
        for column in table.kind.columns
        if column.form in ("date", "timestamp") and table.given(column.name).any()
    ]
    distinct = [texts for _, texts in written]
    order = proven_order(pd.concat(distinct)) if distinct else ""
    if order:
        _report_proof(table, order, written)
    return order


def date_values(table: Table, name: str, order: str) -> np.ndarray:
    """Days of a column, NaT where missing or a problem."""
    found = dates(table.texts[name], order)
    wrong = unread(table, name, np.isnat(found))
    if wrong.any():
        wrong &= ~_ask_order(table, name, wrong, order, table.texts[name])
        table.fault(wrong, name, "not a date", lambda at: _no_date(table, name, at, order))
    return found


def timestamp_values(
    table: Table, name: str, project: Project, days: np.ndarray, order: str
) -> np.ndarray:
    """Moments of a column in UTC, NaT where missing or a problem."""
    zone = project.tables.project.timezone
    texts = table.texts[name]
    lone = only_time(texts) & np.isnat(days)
    found, unclear = timestamps(texts, zone, order, days)
    table.fault(
        lone & ~table.bad,
        name,
        "no date",
        lambda at: (
            f"{table.name(name)} is {table.text(name, at)}, a time without a day.",
            "Add a column date, or write 2026-03-04 07:30.",
        ),
    )
    table.fault(
        unclear,
        name,
        "clock change",
        lambda at: (
            f"{table.name(name)} {table.text(name, at)} happens twice or never in {zone.key}: "
            "the clock changes.",
            "Write it with its offset from UTC, as in 2026-10-25 02:30+01:00.",
        ),
    )
    wrong = unread(table, name, np.isnat(found)) & ~lone & ~unclear
    if wrong.any():
        parts = pd.Series(map_unique(texts, day_part, None, object), dtype="str")
        wrong &= ~_ask_order(table, name, wrong, order, parts)
        _report_no_times(table, name, wrong)
    return found


def _report_no_times(table: Table, name: str, wrong: np.ndarray) -> None:
    parts = wrong & fraction_of_day(table.texts[name])

    def say(at: int) -> tuple[str, str]:
        text = f"{table.name(name)} is {table.text(name, at)}"
        if parts[at]:
            return (
                f"{text}, a time as a part of the day.",
                "Format the column as time, save it again and import that.",
            )
        return f"{text}, which is not read as a time.", "Write it as in 2026-03-04 07:30."

    table.fault(wrong, name, "not a time", say)


def _days_written(texts: pd.Series, form: str) -> pd.Series:
    """The distinct days of a column as written, without those whose year stands in front."""
    distinct = pd.Series(texts.dropna().unique(), dtype="str")
    distinct = distinct[~distinct.str.match("[0-9]{4}-").to_numpy(dtype="bool")]
    return distinct if form == "date" else distinct.map(day_part).astype("str")


def _report_proof(table: Table, order: str, written: list[tuple[str, pd.Series]]) -> None:
    """One notice, with a date that can be nothing else when a single one proves the order."""
    start = f"Dates are read as {order}, because"
    for name, texts in written:
        proof = next((text for text in texts if list(readings(str(text))) == [order]), None)
        if proof is not None:
            holds = table.texts[name].str.startswith(proof, na=False).to_numpy(dtype="bool")
            row = table.row(name, int(np.flatnonzero(holds)[0]))
            table.problems.notice(f"{start} {proof} can be nothing else.", row)
            return
    table.problems.notice(f"{start} no other order fits all of them.")


def _ask_order(
    table: Table, name: str, wrong: np.ndarray, order: str, days: pd.Series
) -> np.ndarray:
    """Where a day can be two days and nobody has said which: one problem for the column."""
    if order:
        return np.zeros(len(wrong), dtype="bool")
    numbered: np.ndarray = wrong & map_unique(days, lambda t: bool(readings(t)), False, "bool")
    if not numbered.any():
        return numbered
    two_ways = numbered & map_unique(days, lambda t: len(readings(t)) > 1, False, "bool")
    first = np.zeros(len(wrong), dtype="bool")
    first[np.flatnonzero(two_ways if two_ways.any() else numbered)[0]] = True
    table.fault(
        first,
        name,
        "date order",
        lambda at: (
            f"{table.name(name)} is {table.text(name, at)}: {_either(str(days.iloc[at]))}?",
            _ORDER,
        ),
    )
    table.bad |= numbered
    return numbered


def _either(text: str) -> str:
    """The days that ``text`` may be, as a person tells them apart."""
    days = sorted(set(readings(text).values()), key=lambda day: (day.year, -day.month))
    years = len({day.year for day in days}) > 1
    told = [_day_text(day, years) for day in days]
    if len(told) == 1:
        return f"{told[0]}, while other rows are in another order"
    return f"{', '.join(told[:-1])} or {told[-1]}"


def _day_text(day: date, with_year: bool) -> str:
    year = f" {day.year}" if with_year else ""
    return f"{day.day} {MONTHS[day.month - 1]}{year} ({_WEEKDAYS[day.weekday()]})"


def _no_date(table: Table, name: str, at: int, order: str) -> tuple[str, str]:
    text = table.text(name, at)
    problem = f"{table.name(name)} is {text}, which is not read as a date"
    if is_count(text):
        return (
            f"{problem}: a spreadsheet's count of days?",
            "Format the column as a date, or set the date order to day numbers.",
        )
    if order and readings(text):
        return f"{problem} in the order {order}.", "Correct it, or the date order that was set."
    if not np.isnat(as_day(text.split(" ")[0])):
        return f"{problem}: it has a time.", "Write the day alone, as in 2026-03-04."
    return f"{problem}.", "Write year, month and day as in 2026-03-04."
