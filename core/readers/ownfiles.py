"""Sheets that the program's own files carry beside their table."""

from __future__ import annotations

from functools import cache

from core.readers.grid import Grid
from core.readers.problems import Problems
from core.records import KINDS, SCHEMA_VERSION, TEMPLATE_MARK


def is_about(grid: Grid, problems: Problems) -> bool:
    """Whether the sheet is a template's own description, which holds no records.

    A template of a newer schema is a problem: its columns may mean something else.
    """
    if grid.text(1, 0) != TEMPLATE_MARK:
        return False
    version = grid.text(3, 1)
    if not version.isdecimal() or int(version) > SCHEMA_VERSION:
        problems.add(
            "template too new",
            f"The template has schema version {version or 'none'}; "
            f"this program knows up to {SCHEMA_VERSION}.",
            "Install the newer program, or fill in a template of this one.",
        )
    return True


@cache
def header_notes() -> frozenset[str]:
    """Notes that a template has on its header cells, each in one line."""
    return frozenset(
        " ".join(column.header_note.split()) for kind in KINDS for column in kind.columns
    )
