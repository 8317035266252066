"""How a frame that crosses rooms is declared: what one row is, and what each of its columns is.

A column has its meaning from where it is declared: a record kind, a table of a subject, a table of
project.toml. Only what is declared nowhere else has its meaning beside the frame.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from core import units
from core.records import KIND
from core.subjects.tables import Declared, Table, measure, recorded

Form = Literal["text", "texts", "integer", "number", "flag", "date", "timestamp"]


@dataclass(frozen=True)
class Column:
    """One column of a frame; ``origin``: the record kind or the key of project.toml that gives it.

    ``texts`` are several texts in one cell; a ``number`` may be whole, a ``flag`` unknown.
    """

    name: str
    form: Form
    meaning: str
    origin: str = ""

    @property
    def unit(self) -> str:
        """The unit by the ending of the name, empty without one."""
        return units.unit_word(self.name)


@dataclass(frozen=True)
class Frame:
    """One frame: its name, what one row is, and its columns in any order."""

    name: str
    description: str
    columns: tuple[Column, ...]


Columns = Mapping[str, Column]
Frames = Mapping[str, tuple[str, Columns]]  # by name: what one row is, and the columns


def own(form: Form, **matches: str) -> Columns:
    """Columns that are declared nowhere else."""
    return {name: Column(name, form, meaning) for name, meaning in matches.items()}


def of_kind(kind: str, *names: str, **renamed: str) -> Columns:
    """Columns of a record kind, all of them or those in ``names``.

    ``renamed``: what one is called in the frame, where that is another name.
    """
    found = {}
    for one in KIND[kind].columns:
        if not names or one.name in names:
            name = renamed.get(one.name, one.name)
            found[name] = Column(name, one.form, one.meaning, kind)
    return found


def number(columns: Columns) -> Columns:
    """``columns`` as numbers, where whole ones are kept so that they may be unknown."""
    return {name: replace(one, form="number") for name, one in columns.items()}


def of_table(table: type[Table], *names: str) -> Columns:
    """Columns that a table declares, all of them or those in ``names``.

    Those that it only takes over from its rows are declared elsewhere.
    """
    return {
        name: Column(name, _form_of(one), _meaning_of(one))
        for name, one in table.declared.items()
        if one.kind is not None and (name in names if names else not isinstance(one, recorded))
    }


def _form_of(declared: Declared) -> Form:
    if declared.kind == "day":
        return "timestamp" if declared.name.endswith("_at") else "date"
    assert declared.kind is not None
    return declared.kind


def _meaning_of(declared: Declared) -> str:
    return declared.word if isinstance(declared, measure) else declared.meaning


def without(columns: Columns, *names: str) -> Columns:
    return {name: one for name, one in columns.items() if name not in names}


PLACE = {
    **own("integer", entry_no="entry of the ledger that gave the row"),
    **own("integer", row_no="row of the sheet, or line of the file"),
    **own("text", sheet="sheet of the workbook; empty for a file without sheets"),
}
ORDER = own("integer", run_order="place of the run in the order of the work")
