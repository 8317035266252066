"""Numbers as people type them, read by the decimal mark that the file is said to use."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd

from core.readers.distinct import by_distinct

_LARGEST = 1e15  # beyond it doubles no longer hold every whole number
_NOTHING = float("nan")
_SPACES = dict.fromkeys("\u00a0\u2007\u2009\u202f", " ")
_SIGNS = str.maketrans({**_SPACES, "\u2212": "-", "\u2019": "'"})
_POWER = r"([eE][+-]?[0-9]{1,3})?"
_PLAIN = re.compile(rf"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+){_POWER}")
_COMMA = re.compile(rf"[+-]?([0-9]+,?[0-9]*|,[0-9]+){_POWER}")
# Thousands stand in groups of exactly three behind one and the same mark.
_GROUPS = r"[+-]?[1-9][0-9]{{0,2}}(?P<mark>[{marks}])[0-9]{{3}}((?P=mark)[0-9]{{3}})*"
_POINT_GROUPED = re.compile(_GROUPS.format(marks=" ',") + r"(\.[0-9]*)?")
_COMMA_GROUPED = re.compile(_GROUPS.format(marks=" '.") + r"(,[0-9]*)?")


def numbers(texts: pd.Series, decimal: str = "") -> np.ndarray:
    """Numbers in the style of ``decimal``, NaN where a text is none.

    ``point`` takes 1234.5, 1,234.5 and 1 234.5; ``comma`` takes 0,6, 1.234,5 and 1 234,5; when
    nobody has said, only a plain number with a point, or with no mark at all, is sure.
    """
    read = {"": _plain, "point": _with_point, "comma": _with_comma}[decimal]
    found: np.ndarray = by_distinct(texts, read, _NOTHING, "float64")
    return found


def style(text: str) -> str:
    """``point`` or ``comma`` when the number reads in that style alone, ``either``, or empty."""
    point, comma = _is_number(_with_point(text)), _is_number(_with_comma(text))
    if point and comma:
        return "either"
    return "point" if point else "comma" if comma else ""


def _is_number(value: float) -> bool:
    return value == value  # only what is no number differs from itself


def _plain(text: str) -> float:
    if not _PLAIN.fullmatch(text):
        text = text.translate(_SIGNS).strip()
        if not _PLAIN.fullmatch(text):
            return _NOTHING
    value = float(text)
    return value if abs(value) <= _LARGEST else _NOTHING


def _with_point(text: str) -> float:
    value = _plain(text)
    if _is_number(value):
        return value
    text = text.translate(_SIGNS).strip()
    grouped = _POINT_GROUPED.fullmatch(text)
    return _plain(text.replace(grouped["mark"], "")) if grouped else _NOTHING


def _with_comma(text: str) -> float:
    text = text.translate(_SIGNS).strip()
    if _COMMA.fullmatch(text):
        return _plain(text.replace(",", "."))
    grouped = _COMMA_GROUPED.fullmatch(text)
    if not grouped:
        return _NOTHING
    return _plain(text.replace(grouped["mark"], "").replace(",", "."))
