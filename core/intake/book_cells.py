"""Values of a sheet, as a spreadsheet holds them, to the text that a person would have written."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from datetime import date, datetime, time, timedelta
from typing import Any

import numpy as np
import pandas as pd

from core.intake.book_marks import FAULTS, PERCENT, SCIENTIFIC, Marks
from core.intake.grid import DAY, FAULT, NUMBER, TEXT, TIME, Grid

_EXACT = 1e15  # whole numbers from here on have lost digits in a spreadsheet: shown with exponent
_DURATION = re.compile(r"PT(\d+)H(\d+)M(\d+)(?:[.,]\d+)?S")
Area = tuple[tuple[int, int], tuple[int, int]]


def grid(
    sheet: str, rows: list[list[Any]], areas: Sequence[Area], marks: Marks, **about: Any
) -> Grid:
    """A sheet's values from row 1 and column A as a Grid; blank rows are left out."""
    height = max([len(rows), *(row for row, _ in marks.faults)])
    width = max([len(rows[0]) if rows else 0, *(column + 1 for _, column in marks.faults)])
    texts: list[np.ndarray] = []
    forms: list[np.ndarray] = []
    for values in _columns(rows, width):
        text, form = _column(values, height)
        texts.append(text)
        forms.append(form)
    for (row, column), shown in marks.shown.items():
        if row <= height and column < width and forms[column][row - 1] == NUMBER:
            texts[column][row - 1] = _as_shown(rows[row - 1][column], shown)
    for (row, column), fault in marks.faults.items():
        texts[column][row - 1], forms[column][row - 1] = fault, FAULT
    written = np.zeros(height, dtype="bool")
    for text in texts:
        written |= text != None  # noqa: E711 (cell by cell)
    row_no = np.flatnonzero(written) + 1
    cells = {at: pd.Series(text[written], dtype="str") for at, text in enumerate(texts)}
    known = set(row_no.tolist())
    merged = [(top + 1, left, bottom + 1, right) for (top, left), (bottom, right) in areas]
    return Grid(
        sheet=sheet,
        cells=pd.DataFrame(cells, index=pd.RangeIndex(len(row_no))),
        row_no=row_no.astype("int64"),
        forms=np.column_stack([form[written] for form in forms])
        if forms
        else np.zeros((0, 0), dtype="uint8"),
        merged=(*merged, *marks.merged),
        hidden=frozenset(marks.hidden & known),
        struck=frozenset(marks.struck & known),
        **about,
    )


def _columns(rows: list[list[Any]], width: int) -> list[tuple[Any, ...]]:
    by_column = list(zip(*rows, strict=True)) if rows else []
    return by_column + [()] * (width - len(by_column))


def _column(values: tuple[Any, ...], height: int) -> tuple[np.ndarray, np.ndarray]:
    """Texts of one column, None where empty, and how each was held."""
    texts = np.full(height, None, dtype=object)
    forms = np.zeros(height, dtype="uint8")
    kinds = [type(value) for value in values]
    texts[: len(values)] = [
        _TEXT_OF[kind](value) for kind, value in zip(kinds, values, strict=True)
    ]
    for kind in set(kinds) & _FORM_OF.keys():
        forms[: len(values)][[found is kind for found in kinds]] = _FORM_OF[kind]
    _odd_texts(texts, forms)
    return texts, forms


def _odd_texts(texts: np.ndarray, forms: np.ndarray) -> None:
    """Faults written as text, and lengths of time as an OpenDocument file spells them."""
    for odd in {text for text in texts if text} & set(FAULTS):
        forms[texts == odd] = FAULT
    for odd in {text for text in texts if text and text.startswith("PT")}:
        spell = _DURATION.fullmatch(odd)
        if spell:
            hours, minutes, seconds = map(int, spell.groups())
            forms[texts == odd] = TIME
            texts[texts == odd] = f"{hours:02d}:{minutes:02d}:{seconds:02d}"


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


def _as_shown(value: float, shown: str) -> str:
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
_FORM_OF = {float: NUMBER, int: NUMBER, date: DAY, datetime: DAY, time: TIME, timedelta: TIME}
assert TEXT == 0  # what the forms start as
