"""Quantities as people write them: a number with its unit, such as 3 ft, 3'-6" or 8000 ft·lbf.

The unit is looked up in the closed table by the role of the column that the quantity is for.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from math import ceil, isfinite

from core import units
from core.units import feet_inches
from core.units.spellings import FEET_AND_INCHES, SLOPE

_QUANTITY = re.compile(
    r"([+-]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)\s*([^\s0-9].*|1/[^0-9].*)?"
)
_SEPARATED = re.compile(r"[+-]?[0-9][0-9.]*[,_’ \u00a0\u202f][0-9]")
_TWO_SIZES = re.compile(r"[+-]?[0-9]{1,3}\.000(?![0-9])")
_LENGTHS = ("length", "coordinate")
_UNLISTED = (FEET_AND_INCHES, SLOPE)


@dataclass(frozen=True)
class Quantity:
    """A quantity: the column that it is for, and its value in the store unit of that column.

    ``expression`` is the unit that it was written in, for the registry.
    """

    column: str
    value: float
    expression: str = field(default="", compare=False)


def read(text: str, columns: Sequence[str]) -> Quantity:
    """The quantity in ``text``, for the first of ``columns`` whose role knows its unit.

    Raises ValueError with a sentence that says what to write.
    """
    written = " ".join(text.split())
    if _TWO_SIZES.match(written):
        raise ValueError(
            "may be meant with a point or with a thousands separator; write the number without "
            f"the zeros behind the point ({units_for(columns)})"
        )
    found = _QUANTITY.fullmatch(written)
    number, unit = (found[1], found[2]) if found else ("", None)
    for column in columns:
        expression = units.accepted(unit or "", _role(column))
        if expression and expression != FEET_AND_INCHES:
            return _in_store_unit(float(number), expression, column)
        inches = feet_inches.inches(written) if _role(column) in _LENGTHS else None
        if inches is not None:
            return _in_store_unit(inches, "inch", column)
    if _SEPARATED.match(written) and "/" not in written:
        raise ValueError(
            "write the number with a decimal point and without thousands separators, "
            f"and one unit behind it ({units_for(columns)})"
        )
    if unit:
        raise ValueError(_unknown(unit, columns))
    if number:
        raise ValueError(f"has no unit; {what_to_write(columns, number)}")
    raise ValueError(f"is not a number with a unit; {what_to_write(columns)}")


def _in_store_unit(number: float, expression: str, column: str) -> Quantity:
    value = float(units.to_store(number, expression, column))
    if not isfinite(value):
        raise ValueError("is too large a number")
    return Quantity(column, value, expression)


def whole(quantity: Quantity, *, up: bool = False) -> int:
    """The value in whole store units; a length is rounded to the nearest millimetre, or ``up``.

    Raises ValueError for anything else that is not whole, such as 1.5 days.
    """
    value = round(quantity.value, 6)  # the sixth decimal is noise of conversion
    if _role(quantity.column) not in _LENGTHS and value != round(value):
        raise ValueError(f"must be a whole number of {_role(quantity.column)}")
    return ceil(value) if up else round(value)


def shown(text: str, column: str, system: str) -> str:
    """A quantity as written; behind it its value where ``system`` shows another unit.

    In SI ``3 ft`` is ``3 ft (0.91 m)``.
    """
    quantity, unit = read(text, [column]), units.shown_unit(column, system)
    if unit is None or unit.expression == quantity.expression:
        return text
    return f"{text} ({units.text(quantity.value, column, system)})"


def units_for(columns: Sequence[str]) -> str:
    """Units that a quantity for one of ``columns`` may be written in, for a message."""
    usual = [
        spelling
        for column in columns
        for expression, spelling in units.usual_spellings(_role(column)).items()
        if expression not in _UNLISTED
    ]
    *others, last = dict.fromkeys(usual)
    return f"{', '.join(others)} or {last}" if others else last


def what_to_write(columns: Sequence[str], number: str = "10") -> str:
    """What to write for one of ``columns``: a text with a number and one of the units."""
    text = f'"{number} {_store_spelling(columns[0])}"'
    return f"write a text with number and unit ({units_for(columns)}), such as {text}"


def _store_spelling(column: str) -> str:
    """The unit that ends ``column``, spelled as a quantity may have it."""
    suffix = units.suffix_of(column)
    assert suffix is not None
    return units.usual_spellings(suffix.role)[suffix.expression]


def _role(column: str) -> str:
    role = units.role_of(column)
    if role is None:
        raise LookupError(f"{column} has no unit")
    return role


def _unknown(unit: str, columns: Sequence[str]) -> str:
    two = units.AMBIGUOUS.get(units.folded(unit))
    roles = [_role(column) for column in columns]
    if two and any(units.accepted(two.split(" or ")[0], role) for role in roles):
        return f"the unit {unit} names two different things; write {two}"
    kinds = " or ".join(dict.fromkeys(roles))
    return f"{unit} is not a known unit of {kinds}; write one of: {units_for(columns)}"
