"""What a header means: the column of a record kind and the unit that it states."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from core import units
from core.intake.problems import Problems, listed, shortened
from core.records import KIND, Column

_BRACKETS = re.compile(r"^(?P<name>[^()\[\]]+)[(\[](?P<inside>[^()\[\]]*)[)\]]\s*$")
_SEPARATORS = re.compile(r"[\s._\-#/:‐-―−]+")
_DATE_HINTS = ("yyyy mm dd", "iso")
_MOMENT_HINTS = ("local", "local time", "hh mm", "hh mm ss", "yyyy mm dd hh mm")


@dataclass(frozen=True)
class Heading:
    """A header read as a column of a kind: where it stands, how it is written, its unit.

    ``rank`` is 0 for the column's own name, then the place among its aliases; ``unit`` is the
    spelling in the file, None when none is stated.
    """

    column: str
    at: int
    text: str
    rank: int
    unit: str | None = None


def folded(text: str) -> str:
    """A name ready for comparison: lower case, separators as one space."""
    plain = unicodedata.normalize("NFKC", text).casefold()
    return _SEPARATORS.sub(" ", plain).strip()


@lru_cache(maxsize=64)
def vocabulary(kind: str) -> dict[str, tuple[str, int]]:
    """Folded names that ``kind`` knows, each with its column and rank."""
    known: dict[str, tuple[str, int]] = {}
    for column in KIND[kind].columns:
        for rank, name in enumerate((column.name, *column.aliases)):
            known.setdefault(folded(name), (column.name, rank))
    return known


@lru_cache(maxsize=4096)
def meaning(text: str, kind: str) -> Heading | None:
    """``text`` read as a header of ``kind``, at place 0, or None when it is no word of it."""
    known = vocabulary(kind)
    for name, unit, sure in _ways(text):
        if folded(name) not in known:
            continue
        column, rank = known[folded(name)]
        if unit is None and question(text, kind):
            return None
        if unit is None or _belongs(KIND[kind].column(column), unit, sure):
            own = _unit_of(text, KIND[kind].column(column)) if unit is None else unit.strip()
            return Heading(column, 0, text, rank, own)
    return None


@lru_cache(maxsize=4096)
def question(text: str, kind: str) -> tuple[str, str] | None:
    """The column of ``kind`` that ``text`` may mean and what must be asked; None when clear.

    The column's own name, written as such, is always clear.
    """
    for column in KIND[kind].columns:
        unclear = {folded(word): asked for word, asked in column.unclear.items()}
        if not unclear or text.strip() == column.name:
            continue
        for name, unit, _ in _ways(text):
            stated = unit is None or units.accepted(unit, column.role or "") is not None
            if stated and folded(name) in unclear:
                return column.name, unclear[folded(name)]
    return None


def _unit_of(text: str, column: Column) -> str | None:
    """The unit in a header that is a column's own name in words, such as Easting (m)."""
    if not column.role or text.strip() == column.name:
        return None
    ends = (unit.strip() for _, unit, _ in _ways(text) if unit is not None)
    return next((unit for unit in ends if units.accepted(unit, column.role)), None)


def names_of(text: str) -> list[str]:
    """The names that a header may hold: whole, and without a unit at its end."""
    return [
        name
        for name, unit, sure in _ways(text)
        if unit is None or sure or any(units.accepted(unit, role) for role in units.SPELLINGS)
    ]


def _ways(text: str) -> Iterator[tuple[str, str | None, bool]]:
    """Name and unit as ``text`` may be split; ``sure`` when brackets or a comma set them apart."""
    yield text, None, True
    brackets = _BRACKETS.match(text)
    if brackets:
        yield f"{brackets['name']} {brackets['inside']}", None, True
        yield brackets["name"], brackets["inside"], True
    if "," in text:
        name, unit = text.rsplit(",", 1)
        yield name, unit, True
    words = folded(text).split()
    for cut in range(1, min(4, len(words))):
        yield " ".join(words[:-cut]), " ".join(words[-cut:]), False


def _belongs(column: Column, inside: str, sure: bool) -> bool:
    """Whether ``inside`` can stand beside ``column``'s name as its unit or a hint."""
    if column.role:
        return sure or units.accepted(inside, column.role) is not None
    if column.form == "date":
        return sure and folded(inside) in _DATE_HINTS
    return sure and (column.form == "moment" or bool(column.one_of))


def expression(heading: Heading, column: Column, row: int, problems: Problems) -> str | None:
    """Registry expression of the unit in which ``heading``'s cells are written; None without one.

    A missing, unknown or contradicted unit is a problem at the header's row.
    """
    suffix = units.suffix_of(column.name)
    if suffix is None:
        _check_hint(heading, column, row, problems)
        return None
    if heading.unit is None:
        if heading.rank == 0:
            return suffix.expression
        examples = " or ".join(f"{heading.text} ({unit})" for unit in _examples(suffix))
        problems.add(
            "unit not stated",
            f"The header {shortened(heading.text)} states no unit.",
            f"Write it with its unit, such as {examples}.",
            row, heading.text,
        )  # fmt: skip
        return None
    found = units.accepted(heading.unit, suffix.role)
    if found is None:
        _unknown_unit(heading, suffix, row, problems)
    elif heading.rank == 0 and units.factor(found, suffix.expression) != 1:
        problems.add(
            "two units",
            f"The header {shortened(heading.text)} names two units.",
            f"Keep one: write {column.aliases[0] if column.aliases else 'it'} ({heading.unit}).",
            row, heading.text, heading.unit,
        )  # fmt: skip
        return None
    return found


def _examples(suffix: units.Suffix) -> list[str]:
    usual = units.usual_spellings(suffix.role)
    wanted = [suffix.si.expression, suffix.us.expression]
    wanted += [units.SLOPE] if suffix.role == "angle" else []
    return list(dict.fromkeys(usual[one] for one in wanted if one in usual))


def _unknown_unit(heading: Heading, suffix: units.Suffix, row: int, problems: Problems) -> None:
    unit = heading.unit or ""
    two = units.AMBIGUOUS.get(units.folded(unit))
    if two:
        problem, remedy = f"The unit {unit} names two different things.", f"Write {two}."
    else:
        words = list(units.usual_spellings(suffix.role).values())
        problem = f"{shortened(unit) or 'An empty bracket'} is not a known unit of {suffix.role}."
        remedy = f"Write one of: {listed(words, 10)}."
    problems.add("unknown unit", problem, remedy, row, heading.text, unit)


def _check_hint(heading: Heading, column: Column, row: int, problems: Problems) -> None:
    if column.form != "moment" or heading.unit is None:
        return
    if folded(heading.unit) not in _MOMENT_HINTS:
        problems.add(
            "unknown unit",
            f"{shortened(heading.unit)} in the header {shortened(heading.text)} is not read.",
            "Write times in the project's zone and leave the bracket out.",
            row, heading.text, heading.unit,
        )  # fmt: skip
