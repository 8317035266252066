"""Loads the named blocks of ``sql/``. SQL text lives there and nowhere else.

A block that must hold for every record kind carries placeholders such as ``{kind}``, and lines
marked ``-- for each key`` (or ``column``, ``value``) that are repeated once per column with
``{column}`` and ``{form}`` filled. Placeholders take nothing but identifiers of ``core.records``
(or, when old entries are verified, of the tables themselves); values are always bound.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path

from core import records
from core.errors import WrongUse
from core.records import SQL_TYPES, Column, Kind

_SQL = Path(__file__).parent / "sql"
_NAME = re.compile(r"^-- name: (\w+)$", re.MULTILINE)
_EACH = re.compile(r"^(?P<line>.*\S)\s*-- for each (?P<what>[\w ]+)$")
_IDENTIFIER = re.compile(r"[a-z][a-z0-9_]*")


@cache
def blocks() -> dict[str, str]:
    """Every named block by its name."""
    found: dict[str, str] = {}
    for path in sorted(_SQL.glob("*.sql")):
        pieces = _NAME.split(path.read_text(encoding="utf-8"))
        for name, text in zip(pieces[1::2], pieces[2::2], strict=True):
            if name in found:
                raise WrongUse(f"The question {name} stands twice, the second time in {path.name}.")
            found[name] = text.strip()
    return found


def block(name: str) -> str:
    """The text of one block. Raises WrongUse when there is none of that name."""
    try:
        return blocks()[name]
    except KeyError:
        known = ", ".join(sorted(blocks()))
        raise WrongUse(f"There is no question {name!r}; there are: {known}.") from None


def filled(
    name: str,
    names: Mapping[str, str],
    each: Mapping[str, Sequence[Mapping[str, str]]],
) -> str:
    """A block with its placeholders filled and its marked lines repeated."""
    lines: list[str] = []
    for line in block(name).splitlines():
        marked = _EACH.match(line)
        if marked is None:
            lines.append(_with(line, names))
        else:
            repeats = each[marked["what"]]
            lines += [_with(marked["line"], {**names, **one}) for one in repeats]
    return "\n".join(lines)


def question(name: str) -> str:
    """A block that is asked by name; ``-- for each run column`` lists the columns of a kind."""
    each: dict[str, Sequence[Mapping[str, str]]] = {
        f"{kind.name} column": [named(column) for column in kind.columns] for kind in records.KINDS
    }
    return filled(name, {}, each)


def for_kind(name: str, kind: Kind, **names: str) -> str:
    """A block filled for one record kind."""
    each = {
        "column": [named(column) for column in kind.columns],
        "key": [named(kind.column(key)) for key in kind.key],
        "value": [named(kind.column(value)) for value in kind.values],
    }
    return filled(name, {"kind": kind.name, **names}, each)


def named(column: Column) -> dict[str, str]:
    """What a marked line may be filled with for one column."""
    sql = SQL_TYPES[column.form].lower()
    return {"column": column.name, "form": column.form, "type": sql}


def _with(line: str, names: Mapping[str, str]) -> str:
    for placeholder, identifier in names.items():
        if not _IDENTIFIER.fullmatch(identifier):
            raise WrongUse(f"{identifier!r} is not the name of a table or column.")
        line = line.replace("{" + placeholder + "}", identifier)
    return line
