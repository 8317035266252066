"""Notices of the notes on cells of a workbook: a note is no value and is not read."""

from __future__ import annotations

from collections.abc import Sequence

from core.readers.book_limits import LIMITS
from core.readers.grid import Grid, letters
from core.readers.ownfiles import header_notes
from core.readers.problems import Problems, listed, shortened

_NAMED = 20  # notes of a file with a notice of their own; more are counted
_LENGTH = 100  # characters of a note in its notice


def remark_notes(grids: Sequence[Grid], problems: Problems) -> None:
    """A notice of each of the first notes of a file, and one that counts the others by sheet."""
    own = {text[: LIMITS.note] for text in header_notes()}
    room, others = _NAMED, {}
    for grid in grids:
        notes = [note for note in grid.notes if note[2] not in own]
        for row, column, text in notes[:room]:
            quoted = f"“{shortened(text, _LENGTH)}”" if text else "without text"
            problems.remark(f"Note on cell {letters(column)}{row}: {quoted}.", row, grid.sheet)
        others[grid.sheet] = max(len(notes) - room, 0) + grid.more_notes
        room -= min(room, len(notes))
    more = [f"{sheet} ({count})" for sheet, count in others.items() if count]
    if more:
        count = sum(others.values())
        what = "1 more cell has a note" if count == 1 else f"{count} more cells have notes"
        problems.remark(f"{what}, not listed here, on sheet {listed(more)}.")
