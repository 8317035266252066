"""What a header means: the column of a record kind and the unit that it states."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache

from core import units
from core.readers.problems import Problems, listed, shortened
from core.records import KINDS, Column

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


@dataclass(frozen=True)
class Vocabulary:
    """What headers may say of the kinds that files may hold, each name folded once.

    ``known`` has by name every kind, column and rank that it means; ``unclear`` every kind and
    column that it may mean, with the question to ask; ``by_kind`` the names of one kind in the
    order of its columns.
    """

    known: dict[str, list[tuple[str, Column, int]]]
    unclear: dict[str, list[tuple[str, Column, str]]]
    by_kind: dict[str, dict[str, tuple[str, int]]]


@cache
def vocabulary() -> Vocabulary:
    """The words of every kind that files may hold."""
    found = Vocabulary({}, {}, {})
    for kind in KINDS:
        if not kind.from_files:
            continue
        own = found.by_kind.setdefault(kind.name, {})
        for column in kind.columns:
            for rank, text in enumerate((column.name, *column.aliases)):
                name = folded(text)
                if name not in own:
                    own[name] = column.name, rank
                    found.known.setdefault(name, []).append((kind.name, column, rank))
            for text, asked in column.unclear.items():
                found.unclear.setdefault(folded(text), []).append((kind.name, column, asked))
    return found


@lru_cache(maxsize=4096)
def meanings(text: str) -> dict[str, Heading]:
    """``text`` read as a header, at place 0, of every kind of which it is a word."""
    known, asked = vocabulary().known, questions(text)
    found: dict[str, Heading] = {}
    for name, unit, sure in _folded_ways(text):
        for kind, column, rank in known.get(name, ()):
            if kind in found or (unit is None and kind in asked):
                continue
            if unit is None:
                found[kind] = Heading(column.name, 0, text, rank, _unit_of(text, column))
            elif _belongs(column, unit, sure):
                found[kind] = Heading(column.name, 0, text, rank, unit.strip())
    return found


@lru_cache(maxsize=4096)
def questions(text: str) -> dict[str, tuple[str, str]]:
    """By kind the column that ``text`` may mean and what must be asked; none when it is clear.

    The column's own name, written as such, is always clear.
    """
    unclear = vocabulary().unclear
    found: dict[str, tuple[str, str]] = {}
    for name, unit, _ in _folded_ways(text):
        for kind, column, asked in unclear.get(name, ()):
            stated = unit is None or units.accepted(unit, column.role or "") is not None
            if stated and text.strip() != column.name:
                found.setdefault(kind, (column.name, asked))
    return found


def meaning(text: str, kind: str) -> Heading | None:
    """``text`` read as a header of ``kind``, at place 0, or None when it is no word of it."""
    return meanings(text).get(kind)


def question(text: str, kind: str) -> tuple[str, str] | None:
    """The column of ``kind`` that ``text`` may mean and what must be asked; None when clear."""
    return questions(text).get(kind)


def is_known(text: str) -> bool:
    """Whether ``text`` means a column of some kind, or may."""
    return bool(meanings(text) or questions(text))


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


@lru_cache(maxsize=4096)
def _folded_ways(text: str) -> tuple[tuple[str, str | None, bool], ...]:
    return tuple((folded(name), unit, sure) for name, unit, sure in _ways(text))


def _belongs(column: Column, inside: str, sure: bool) -> bool:
    """Whether ``inside`` can stand beside ``column``'s name as its unit or a hint."""
    if column.role:
        return sure or units.accepted(inside, column.role) is not None
    if column.form == "date":
        return sure and folded(inside) in _DATE_HINTS
    return sure and (column.form == "timestamp" or bool(column.choices))


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
    if column.form != "timestamp" or heading.unit is None:
        return
    if folded(heading.unit) not in _MOMENT_HINTS:
        problems.add(
            "unknown unit",
            f"{shortened(heading.unit)} in the header {shortened(heading.text)} is not read.",
            "Write times in the project's time zone and omit the bracket.",
            row, heading.text, heading.unit,
        )  # fmt: skip
