"""Equations as worksheets print them, worked out from numbers with units by nothing else.

Read are sums, products, powers, roots, amounts, functions of angles, and the few words of the
worksheet (minimum of, greater of, sum of, mod, where … else). Whatever else is written is refused.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from typing import Any

from core.units import REGISTRY

Number = Any  # a quantity of the registry

POWERS = {"²": 2, "³": 3, "⁴": 4}
LOWERED = "₀₁₂₃₄₅₆₇₈₉ₙ"
_SIGNS = {"²": "**2", "³": "**3", "⁴": "**4", "·": "*", "°": "degree"}
_NAMES = {"L": "litre", "h": "hour", "s": "second"}
_MANY = re.compile(r"([^\s+()·]+)₁(?:·([^\s+()·]+)₁)? \+ … \+ \1ₙ(?:·\2ₙ)?")
_OF_ALL = re.compile(r"(?:\S+ = )?(minimum|maximum) of (\S+)₁ … \2ₙ")
_CASES = re.compile(r"(.+) where (.+) ≤ (.+), else the greater of (.+) and (.+)")


class Unreadable(ValueError):
    """An equation, or a part of one, that nobody knows how to work out."""


@cache
def unit(printed: str) -> Number:
    """One of a unit as a worksheet prints it."""
    text = _NAMES.get(printed, printed)
    for sign, written in _SIGNS.items():
        text = text.replace(sign, written)
    return REGISTRY.Quantity(1.0, text or "dimensionless")


def quantity(value: float, printed: str = "") -> Number:
    """A number with a unit as printed."""
    return value * unit(printed)


def result(equation: str, given: Sequence[tuple[str, Number]]) -> Number:
    """What ``equation`` comes to with numbers under their symbols. Raises Unreadable."""
    symbols = dict(given)
    if len(symbols) != len(given):
        raise Unreadable(f"{equation}: two numbers under one symbol")
    if found := _OF_ALL.fullmatch(equation):
        members = _members(symbols, found[2])
        return min(members) if found[1] == "minimum" else max(members)
    if equation.startswith("sum of "):
        return sum(_members(symbols, equation.removeprefix("sum of "))[1:], start=given[0][1])
    left, equals, right = equation.partition(" = ")
    if not equals:
        raise Unreadable(equation)
    if found := _CASES.fullmatch(right):
        first, value, limit, one, other = (_worked(part, symbols) for part in found.groups())
        return first if value <= limit else _greatest(one, other)
    found = re.fullmatch(r"greater of (.+) and (.+)", right)
    if found:
        return _greatest(*(_worked(part, symbols) for part in found.groups()))
    worked = _worked(right, symbols)
    return _arc(math.acos, worked) if left.startswith("cos") else worked


def _members(symbols: Mapping[str, Number], family: str) -> list[Number]:
    """The numbers under ``family`` with a number below the line, all of those given."""
    found = [one for name, one in symbols.items() if name.rstrip(LOWERED) == family]
    if not found or len(found) != len(symbols):
        raise Unreadable(f"{family}₁ … {family}ₙ of {', '.join(symbols)}")
    return found


def _worked(text: str, symbols: Mapping[str, Number]) -> Number:
    number = 0

    def written_out(found: re.Match[str]) -> str:
        nonlocal number
        family = [name for name in symbols if name.rstrip(LOWERED) == found[1]]
        number = len(family)
        beside = [f"·{found[2]}{one[len(found[1]) :]}" if found[2] else "" for one in family]
        return " + ".join(one + other for one, other in zip(family, beside, strict=True))

    whole = _MANY.sub(written_out, text)
    known = dict(symbols)
    if number and "n" not in known:
        known["n"] = quantity(float(number))
    return _Reader(whole, known).all()


def _scalar(value: Number) -> float:
    return float(value.to("dimensionless").magnitude)


def _of_angle(function: Callable[[float], float], value: Number) -> Number:
    return quantity(function(float(value.to("radian").magnitude)))


def _arc(function: Callable[..., float], *values: Number) -> Number:
    numbers = [_scalar(value) for value in values]
    if function is math.acos:  # a last bit above 1
        numbers = [max(-1.0, min(1.0, one)) for one in numbers]
    return REGISTRY.Quantity(function(*numbers), "radian")


def _greatest(*values: Number) -> Number:
    """The maximum; a bare 0 is nothing of any unit."""
    main = next((one for one in values if not one.dimensionless), values[0])
    same = [0 * main if not one.magnitude and one.dimensionless else one for one in values]
    return max(same)


def _least(*values: Number) -> Number:
    return min(values)


FUNCTIONS: dict[str, Callable[..., Number]] = {
    "arctan": lambda one: _arc(math.atan, one),
    "atan2": lambda one, other: _arc(math.atan2, one, other),
    "sin": lambda one: _of_angle(math.sin, one),
    "cos": lambda one: _of_angle(math.cos, one),
    "tan": lambda one: _of_angle(math.tan, one),
    "max": _greatest,
    "min": _least,
}


class _Reader:
    """Reads a text from left to right and works it out on the way."""

    def __init__(self, text: str, symbols: Mapping[str, Number]) -> None:
        self.text, self.symbols, self.at = text, symbols, 0

    def all(self) -> Number:
        found = self._sum()
        if self.at < len(self.text):
            raise self._unreadable()
        return found

    def _unreadable(self) -> Unreadable:
        return Unreadable(f"{self.text}: not understood from {self.text[self.at :]!r} on")

    def _takes(self, sign: str) -> bool:
        taken = self.text.startswith(sign, self.at)
        self.at += len(sign) if taken else 0
        return taken

    def _sum(self) -> Number:
        found = self._product()
        while True:
            if self._takes(" + "):
                found = found + self._product()
            elif self._takes(" − "):
                found = found - self._product()
            else:
                return found

    def _product(self) -> Number:
        found = self._power()
        while True:
            if self._takes("·"):
                found = found * self._power()
            elif self._takes("/"):
                found = found / self._power()
            elif self._takes(" mod "):
                found = found.to("degree") % self._power()
            else:
                return found

    def _power(self) -> Number:
        found = self._atom()
        for sign, exponent in POWERS.items():
            if self._takes(sign):
                return found**exponent
        return found

    def _closed(self, sign: str) -> Number:
        found = self._sum()
        if not self._takes(sign):
            raise self._unreadable()
        return found

    def _atom(self) -> Number:
        self._takes(" ")
        if self._takes("("):
            return self._closed(")")
        if self._takes("|"):
            return abs(self._closed("|"))
        if self._takes("√"):
            return self._atom() ** 0.5
        if self._takes("e^("):
            return quantity(math.exp(_scalar(self._closed(")"))))
        if self._takes("π"):
            return quantity(math.pi)
        for name, function in FUNCTIONS.items():
            if self._takes(name):
                return self._applied(function)
        return self._number()

    def _number(self) -> Number:
        if number := re.compile(r"\d+(\.\d+)?").match(self.text, self.at):
            self.at = number.end()
            return quantity(float(number[0]), "°" if self._takes("°") else "")
        for name in sorted(self.symbols, key=len, reverse=True):
            if self._takes(name):
                return self.symbols[name]
        raise self._unreadable()

    def _applied(self, function: Callable[..., Number]) -> Number:
        exponent = next((power for sign, power in POWERS.items() if self._takes(sign)), 1)
        if not self._takes("("):
            return function(self._atom()) ** exponent
        given = [self._sum()]
        while self._takes(", "):
            given.append(self._sum())
        if not self._takes(")"):
            raise self._unreadable()
        return function(*given) ** exponent
