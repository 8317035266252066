"""Guesses for a sheet that nobody has laid out yet. A person confirms them; none is applied."""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence

from core import units
from core.readers.chains import CHAINS
from core.readers.grid import Grid, letters
from core.readers.headers import folded, meaning, meanings, vocabulary
from core.readers.known_words import header_place
from core.readers.laying_out import combined_headers
from core.readers.layouts import Origin
from core.records import KIND

_NEAR = 0.7  # how alike two words must be for a guess, as difflib counts
_NUMBER = re.compile(r"[-+]?[0-9]+([.,][0-9]+)?")
_LABEL = re.compile(r"^(?P<label>[^:]{2,30}):\s*(?P<value>.*)$")
_TAB = re.compile(
    r"^(pile|anchor|position|mark|sheet)?[\s_]*(no\.?|nr\.?|number)?[\s:#_]*(?=\S*\d)",
    re.IGNORECASE,
)


def header_rows(grid: Grid) -> tuple[int, int]:
    """First and last row of the header: around the row of most known words, whatever helps."""
    at = header_place(grid)
    best = (int(grid.row_no[at]), int(grid.row_no[at]))
    most = len(_known(combined_headers(grid, best)))
    for above, below in ((0, 1), (1, 0), (1, 1), (0, 2)):
        first, last = at - above, at + below
        if first < 0 or last >= len(grid.row_no):
            continue
        rows = (int(grid.row_no[first]), int(grid.row_no[last]))
        if rows[1] - rows[0] != above + below or _has_numbers(grid, first, last):
            continue
        known = len(_known(combined_headers(grid, rows)))
        if known > most:
            best, most = rows, known
    return best


def _known(headers: Sequence[str]) -> set[str]:
    """Headers that mean something and state their unit where they need one."""
    found = set()
    for text in headers:
        for kind, heading in meanings(text).items():
            if heading.unit or not KIND[kind].column(heading.column).role:
                found.add(text)
    return found


def _has_numbers(grid: Grid, first: int, last: int) -> bool:
    block = grid.cells.iloc[first : last + 1].stack()
    return any(_NUMBER.fullmatch(str(text)) for text in block)


def kinds(headers: Sequence[str]) -> tuple[str, ...]:
    """The kinds that most of the headers are words of, in one chain."""

    def known(chain: tuple[str, ...]) -> int:
        return len({text for text in headers for kind in chain if meaning(text, kind)})

    best = max(CHAINS, key=known)
    used = tuple(
        kind
        for kind in best
        if any(
            (heading := meaning(text, kind)) and heading.column not in KIND[kind].key
            for text in headers
        )
    )
    return used or best[-1:]


def origins(
    grid: Grid, headers: Sequence[str], first_row: int, chosen: Sequence[str]
) -> dict[str, Origin]:
    """Where each column of the ``chosen`` kinds may come from: header, labelled cell, tab."""
    found: dict[str, Origin] = {}
    for kind in reversed(chosen):
        for text in headers:
            heading = meaning(text, kind)
            if heading:
                found.setdefault(heading.column, Origin(header=text, unit=heading.unit or ""))
    for name, origin in _labelled(grid, first_row, chosen).items():
        found.setdefault(name, origin)
    pile = "pile_id"
    numbered = _TAB.match(grid.sheet) if any(ch.isdigit() for ch in grid.sheet) else None
    if numbered and pile not in found and any(pile in KIND[kind].key for kind in chosen):
        found[pile] = Origin(tab=True, before=numbered[0])
    used = {origin.header for origin in found.values()}
    for text in headers:
        if text and text not in used:
            near = _nearest(text, chosen, found)
            if near:
                found[near[0]] = Origin(header=text, unit=near[1])
    return found


def _labelled(grid: Grid, first_row: int, chosen: Sequence[str]) -> dict[str, Origin]:
    """Cells above the table beside a label that is a known word: ``Rig: | 2``, ``Rig: 2``."""
    found: dict[str, Origin] = {}
    for at in range(int((grid.row_no < first_row).sum())):
        row = int(grid.row_no[at])
        for column in range(grid.cells.shape[1]):
            text = grid.text(row, column)
            split = _LABEL.match(text)
            label = split["label"] if split else text
            heading = next((h for kind in chosen if (h := meaning(label, kind))), None)
            if heading is None:
                continue
            if split and split["value"]:
                before = text[: len(text) - len(split["value"])]
                origin = Origin(cell=f"{letters(column)}{row}", before=before)
            else:
                beside = _first_beside(grid, row, column)
                if beside is None:
                    continue
                origin = Origin(cell=f"{letters(beside)}{row}", unit=heading.unit or "")
            found.setdefault(heading.column, origin)
    return found


def _first_beside(grid: Grid, row: int, column: int) -> int | None:
    columns = range(column + 1, min(column + 5, grid.cells.shape[1]))
    return next((at for at in columns if grid.text(row, at)), None)


def _nearest(text: str, chosen: Sequence[str], found: dict[str, Origin]) -> tuple[str, str] | None:
    """The column whose word is nearest to a header, and the unit that the header states."""
    name = folded(re.split(r"[(\[,]", text)[0])
    words = {
        word: column
        for kind in chosen
        for word, (column, _) in vocabulary().by_kind[kind].items()
        if column not in found
    }
    near = difflib.get_close_matches(name, list(words), n=1, cutoff=_NEAR)
    if not near:
        inside = [word for word in words if word in name.split() and len(word) > 2]
        near = inside[:1]
    if not near:
        return None
    column = words[near[0]]
    role = units.role_of(column)
    stated = re.findall(r"[(\[]([^()\[\]]+)[)\]]", text) + text.split()[-1:]
    unit = next((part for part in stated if role and units.accepted(part, role)), "")
    return column, unit
