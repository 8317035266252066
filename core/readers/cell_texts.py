"""Values of cells, as a spreadsheet holds them, to the text that a person would have written.

A CSV holds text alone.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from datetime import date, datetime, time, timedelta
from typing import Any

NO_VALUE = "#NO VALUE"  # a formula that the program which wrote the file did not work out
FAULTS = ("#REF!", "#DIV/0!", "#N/A", "#NAME?", "#VALUE!", "#NUM!", "#NULL!", "#SPILL!", "#CALC!")
VISIBLE, HIDDEN, VERY_HIDDEN = "visible", "hidden", "very hidden"  # sheets; no menu shows the last
SCIENTIFIC, PERCENT = "E", "%"  # formats that change what is seen; zeros stand for themselves


TEXT, NUMBER, DAY, TIME, FAULT = 0, 1, 2, 3, 4


_EXACT = 1e15  # whole numbers from here on have lost digits in a spreadsheet: shown with exponent
_DURATION = re.compile(r"PT(\d+)H(\d+)M(\d+)(?:[.,]\d+)?S")


def column(values: Sequence[Any]) -> tuple[list[str | None], bytearray]:
    """Texts of a column's cells, None where empty, and how each was held."""
    kinds = list(map(type, values))
    texts = [_TEXT_OF[kind](value) for kind, value in zip(kinds, values, strict=True)]
    forms = bytearray(map(_FORM_OF.__getitem__, kinds))
    _odd_texts(texts, forms)
    return texts, forms


def _odd_texts(texts: list[str | None], forms: bytearray) -> None:
    """Faults written as text, and lengths of time as an OpenDocument file spells them."""
    distinct = {text for text in texts if text}
    odd = distinct & _FAULTS | {text for text in distinct if text.startswith("PT")}
    if not odd:
        return
    for at, text in enumerate(texts):
        if text not in odd:
            continue
        spell = _DURATION.fullmatch(text)
        if text in _FAULTS:
            forms[at] = FAULT
        elif spell:
            hours, minutes, seconds = map(int, spell.groups())
            forms[at], texts[at] = TIME, f"{hours:02d}:{minutes:02d}:{seconds:02d}"


def _text(value: str) -> str | None:
    return value.strip() or None


def _number(value: float) -> str:
    if not math.isfinite(value):
        return str(value)
    if abs(value) >= _EXACT:
        return _scientific(value)
    whole = int(value)
    return str(whole) if whole == value else format(value, ".15g")


def _scientific(value: float) -> str:
    """With an exponent, all digits kept: 1E+05, 1.2345E+03."""
    mantissa, exponent = format(value, ".14E").split("E")
    return f"{mantissa.rstrip('0').rstrip('.')}E{exponent}"


def as_shown(value: float, shown: str) -> str:
    """A number as a format shows it that changes what it looks like."""
    if shown == SCIENTIFIC:
        return _scientific(value)
    if shown == PERCENT:
        return f"{_number(round(value * 100, 12))}%"
    whole = value >= 0 and value == int(value)
    return _number(value).zfill(len(shown)) if whole else _number(value)


def _moment(value: datetime) -> str:
    """To the whole second: a spreadsheet's fraction of a day does not hold one exactly."""
    return (value + timedelta(microseconds=500_000)).strftime("%Y-%m-%d %H:%M:%S")


def _time(value: time) -> str:
    return _moment(datetime.combine(date(2000, 1, 1), value)).partition(" ")[2]


def _spell(value: timedelta) -> str:
    """Hours, minutes and seconds; the hours may be more than a day's."""
    seconds = round(abs(value.total_seconds()))
    sign = "-" if value < timedelta(0) else ""
    return f"{sign}{seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"


def _word(value: bool) -> str:
    return "TRUE" if value else "FALSE"


_FAULTS = frozenset(FAULTS)
_TEXT_OF: dict[type, Callable[[Any], str | None]] = {
    str: _text,
    float: _number,
    int: str,
    bool: _word,
    date: date.isoformat,
    datetime: _moment,
    time: _time,
    timedelta: _spell,
}
_FORM_OF = {
    str: TEXT,
    bool: TEXT,
    float: NUMBER,
    int: NUMBER,
    date: DAY,
    datetime: DAY,
    time: TIME,
    timedelta: TIME,
}
