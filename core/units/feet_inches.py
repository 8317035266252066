"""Lengths in feet and inches as people type them; a text is read to its last character or not."""

from __future__ import annotations

import re
from fractions import Fraction
from math import gcd

INCHES_IN_A_FOOT = 12
PARTS_OF_AN_INCH = (2, 4, 8, 16, 32, 64)  # as a tape has them; 8/10 in are two sizes
_ALIKE = {
    **dict.fromkeys("’‘′´`ʹ", "'"),
    **dict.fromkeys("”“″‶ʺ", '"'),
    **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212", "-"),
    **dict.fromkeys("\u00a0\u2007\u2009\u202f", " "),
    "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
    "⁄": "/",
}  # fmt: skip
_PLAIN_SIGNS = str.maketrans(_ALIKE)
_FOOT = r"\s*(?:'|(?:feet|foot|ft)(?![a-z])\.?)"
_INCH = r"\s*(?:\"|(?:inches|inch|ins|in)\.?)"
_INCHES = (
    r"(?:(?P<part_only>[0-9]+/[0-9]+)"
    r"|(?P<whole>[0-9]+)[\s-]\s*(?P<part>[0-9]+/[0-9]+)"
    r"|(?P<inches>[0-9]+(?:\.[0-9]+)?))"
)
_MINUS = r"(?P<minus>-?)\s*"
_BETWEEN = r"(?:\s*|-\s*|\s+-\s+)"  # a dash with a blank before it alone would be a second minus
_MARKED = (
    re.compile(rf"{_MINUS}(?P<feet>[0-9]+){_FOOT}{_BETWEEN}{_INCHES}(?:{_INCH})?", re.IGNORECASE),
    re.compile(rf"{_MINUS}(?P<feet>[0-9]+(?:\.[0-9]+)?){_FOOT}", re.IGNORECASE),
    re.compile(rf"{_MINUS}{_INCHES}{_INCH}", re.IGNORECASE),
)
_PAIR = re.compile(
    rf"{_MINUS}(?P<feet>[0-9]+)(?:\s+|-\s*|\s+-\s+)"
    r"(?:(?P<whole>[0-9]+)[\s-]\s*(?P<part>[0-9]+/[0-9]+)|(?P<inches>[0-9]+(?:\.[0-9]+)?))"
)
_WHOLE_FEET = re.compile(rf"{_MINUS}(?P<feet>[0-9]+)")


def inches(text: str) -> float | None:
    """Inches of a text with marks, such as 24'-6 1/2", 24 ft 6 in or 6"; None when it is none."""
    return _first_fit(text, _MARKED)


def unmarked_pair(text: str) -> float | None:
    """Inches of feet and inches without marks, such as 24-6 or 24 6 1/2; None when it is none."""
    return _first_fit(text, (_PAIR,))


def stated(text: str) -> float | None:
    """Inches of a text in a column of feet and inches, where 24 is 24 ft; None when it is none."""
    return _first_fit(text, (*_MARKED, _PAIR, _WHOLE_FEET))


def _first_fit(text: str, patterns: tuple[re.Pattern[str], ...]) -> float | None:
    plain = text.translate(_PLAIN_SIGNS).replace("''", '"').strip()
    for pattern in patterns:
        found = pattern.fullmatch(plain)
        if found:
            return _length(found.groupdict())
    return None


def _length(parts: dict[str, str | None]) -> float | None:
    """Inches of the parts of a length; None when a part is more than its unit holds.

    A fraction is one that a tape has, and alone only in its lowest terms.
    """
    feet = Fraction(parts.get("feet") or 0)
    rest = Fraction(parts.get("whole") or parts.get("inches") or 0)
    fraction = parts.get("part") or parts.get("part_only")
    if fraction:
        above, below = (int(figure) for figure in fraction.split("/"))
        if above >= below or below not in PARTS_OF_AN_INCH:
            return None
        if parts.get("part_only") and gcd(above, below) > 1:  # 14/16 in may be two sizes, too
            return None
        rest += Fraction(above, below)
    if parts.get("feet") is not None and rest >= INCHES_IN_A_FOOT:
        return None
    length = float(feet * INCHES_IN_A_FOOT + rest)
    return -length if parts.get("minus") else length
