"""Which remembered layout fits a sheet, and the sheet cut as it says.

A layout is checked against the record kinds that it names.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pandas as pd

from core import units
from core.readers.headers import Heading, folded
from core.readers.options import Layout, Origin, StoredLayout
from core.readers.problems import Problems, listed
from core.readers.recognise import KIND_GROUPS, KindMatch, missing_columns, word
from core.readers.sheet import Grid, Sheet, cut, in_words
from core.records import KIND, KINDS, SCHEMA_VERSION, TEMPLATE_MARK, Column


def layout_faults(layout: Layout) -> list[str]:
    """What is wrong with ``layout``, in sentences; none when it can be used."""
    chain = next((chain for chain in KIND_GROUPS if set(layout.kinds) <= set(chain)), None)
    if chain is None:
        return [f"One sheet cannot hold {listed(list(layout.kinds))} together; choose one of them."]
    faults = []
    first, last = layout.header_rows
    if not 1 <= first <= last or last - first > 5:
        faults.append("The header rows are a first and a last row, at most six in all.")
    for kind in layout.kinds:
        lacking = missing_columns(kind, layout.columns)
        if lacking:
            faults.append(f"A {KIND[kind].word} needs also: {listed(lacking)}.")
    for name, origin in layout.columns.items():
        found = [kind for kind in layout.kinds if name in KIND[kind].names]
        if not found:
            faults.append(f"{name} is no column of {listed(list(layout.kinds))}.")
            continue
        faults += _origin_faults(origin, KIND[found[0]].column(name), word(found[0], name))
    if not any(origin.header for origin in layout.columns.values()):
        faults.append("At least one column must come from a header of the sheet.")
    unknown = [name for name in layout.fill_down if name not in layout.columns]
    if unknown:
        faults.append(f"To be filled down but not mapped: {listed(unknown)}.")
    return faults


def _origin_faults(origin: Origin, column: Column, name: str) -> list[str]:
    """Exactly one place, and a known unit where the column has one."""
    places = sum((bool(origin.header), bool(origin.cell), origin.tab, bool(origin.text)))
    if places != 1:
        return [f"Give one origin for {name}: a header, a cell, the sheet's name, or one text."]
    if column.role is None:
        return []
    if not origin.unit:
        return [f"Give the unit of {name}."]
    if units.accepted(origin.unit, column.role) is None:
        known = listed(units.accepted_spellings(column.role), 12)
        return [f"{origin.unit} is no known unit of {name}. Known: {known}."]
    return []


def combined_headers(grid: Grid, rows: tuple[int, int]) -> tuple[str, ...]:
    """The header of each column: its texts in ``rows`` joined, merged cells over all they cover.

    A header that stands twice is told apart by a number: ``Torque``, ``Torque (2)``.
    """
    columns = grid.cells.shape[1]
    parts: list[list[str]] = [[] for _ in range(columns)]
    for row in range(rows[0], rows[1] + 1):
        for at in range(columns):
            text = _spread(grid, row, at)
            if text and (not parts[at] or parts[at][-1] != text):
                parts[at].append(text)
    seen: dict[str, int] = {}
    headers = []
    for texts in parts:
        text = " ".join(" ".join(texts).split())
        seen[text] = seen.get(text, 0) + 1
        headers.append(f"{text} ({seen[text]})" if text and seen[text] > 1 else text)
    while headers and not headers[-1]:
        headers.pop()
    return tuple(headers)


def _spread(grid: Grid, row: int, at: int) -> str:
    """The text of a cell; that of the merged area's first cell where the cell lies in one."""
    for top, left, bottom, right in grid.merged:
        if top <= row <= bottom and left <= at <= right:
            return grid.text(top, left) if row == top else ""
    return grid.text(row, at)


def fits(layout: Layout, grid: Grid) -> bool:
    """Whether all that ``layout`` names is in the sheet where it says."""
    headers = {folded(text) for text in combined_headers(grid, layout.header_rows)}
    return all(_is_there(origin, grid, headers) for origin in layout.columns.values())


def _is_there(origin: Origin, grid: Grid, headers: set[str]) -> bool:
    if origin.header:
        return folded(origin.header) in headers
    if origin.cell:
        return _starts(cell_text(grid, origin.cell), origin.before)
    return not origin.tab or _starts(grid.sheet, origin.before)


def _starts(text: str, before: str) -> bool:
    return bool(text) and text.casefold().startswith(before.casefold())


def cell_text(grid: Grid, address: str) -> str:
    """The text of a cell by its address, such as B3; a merged area answers in all its cells."""
    letters, digits = re.findall(r"[A-Z]+|[0-9]+", address)
    at = 0
    for letter in letters:
        at = at * 26 + ord(letter) - 64
    return grid.text(int(digits), at - 1)


def fitting(
    grid: Grid, layouts: tuple[StoredLayout, ...], problems: Problems
) -> StoredLayout | None:
    """The layout to use: the last remembered of those that fit.

    When one of another sender reads the sheet differently, a problem asks for the sender.
    """
    found = [one for one in layouts if fits(one.layout, grid)]
    if not found:
        return None
    best = found[-1]
    for other in found:
        if other.sender != best.sender and _contradicts(best.layout, other.layout):
            problems.add(
                "two layouts fit",
                f"Layouts of {best.sender} and {other.sender} both fit and read it differently.",
                "Select the sender of the file.",
            )
            return None
    return best


def _contradicts(one: Layout, other: Layout) -> bool:
    shared = one.columns.keys() & other.columns.keys()
    same = all(one.columns[name] == other.columns[name] for name in shared)
    return not (same and (one.conventions, one.fill_down) == (other.conventions, other.fill_down))


def by_layout(
    grid: Grid, layout: Layout, problems: Problems
) -> tuple[Sheet, list[KindMatch], bool]:
    """The sheet cut as ``layout`` says, its kinds, and whether nothing needed is missing."""
    headers = combined_headers(grid, layout.header_rows)
    sheet = cut(_table_only(grid, layout, problems), headers, layout.header_rows, problems)
    sheet = replace(sheet, conventions=layout.conventions)
    sheet, places = _with_fixed(sheet, grid, layout)
    sheet = replace(sheet, cells=_filled(sheet.cells, layout, places))
    found = _members(layout, places)
    lacking = [
        word for member in found for word in missing_columns(member.kind.name, member.headings)
    ]
    if lacking:
        problems.add(
            "missing column",
            f"The layout does not say where to find: {listed(lacking)}.",
            "Say it on Import and remember the layout again.",
            sheet.header_row,
        )
    return sheet, found, not lacking


def _table_only(grid: Grid, layout: Layout, problems: Problems) -> Grid:
    """The grid without the rows that are no records: under the table, totals and notes."""
    under = grid.row_no > layout.header_rows[1]
    gone = np.zeros(len(under), dtype="bool")
    if layout.ends == "blank row":
        ends = np.flatnonzero(under & grid.tables_end)
        first = np.flatnonzero(under)
        ends = ends[ends > first[0]] if len(first) else ends
        if len(ends):
            gone[ends[0] :] = True
            rows = [int(row) for row in grid.row_no[gone]]
            problems.notice(f"Under the table, {in_words(rows)} passed over.", rows[0])
    starts = grid.cells.bfill(axis=1).iloc[:, 0] if grid.cells.shape[1] else pd.Series(dtype="str")
    words = tuple(folded(word) for word in layout.passed_over if word.strip())
    if words:
        named = starts.map(lambda text: folded(str(text)).startswith(words)).to_numpy("bool")
        named = named & under & ~gone
        for at in np.flatnonzero(named):
            row = int(grid.row_no[at])
            problems.notice(f"Row {row} ({starts.iloc[at]}) is no record; passed over.", row)
        gone |= named
    kept = ~gone
    return replace(
        grid,
        cells=grid.cells[kept].reset_index(drop=True),
        row_no=grid.row_no[kept],
        width=None if grid.width is None else grid.width[kept],
        forms=None if grid.forms is None else grid.forms[kept],
    )


def _with_fixed(sheet: Sheet, grid: Grid, layout: Layout) -> tuple[Sheet, dict[str, Heading]]:
    """The sheet with a column for each value that needs one of its own, and every heading."""
    places: dict[str, Heading] = {}
    by_text = {folded(text): at for at, text in reversed(list(enumerate(sheet.headers))) if text}
    kinds = [KIND[kind] for kind in layout.kinds]
    numbers = {column.name for kind in kinds for column in kind.columns if column.is_pile_number}
    for name, origin in layout.columns.items():
        prefix = layout.number_prefix if name in numbers else ""
        if not origin.header:
            text, value = _fixed(origin, grid)
            sheet = sheet.with_column(text, prefix + _cut(value, origin.before))
            at = len(sheet.headers) - 1
        else:
            at, text = by_text[folded(origin.header)], origin.header
            if origin.before or prefix:
                changed = prefix + _without(sheet.cells[at], origin.before)
                sheet = sheet.with_column(text, changed, forms_of=at)
                at = len(sheet.headers) - 1
        places[name] = Heading(name, at, text, 1, origin.unit or None)
    return sheet, places


def _fixed(origin: Origin, grid: Grid) -> tuple[str, str]:
    if origin.cell:
        return f"cell {origin.cell}", cell_text(grid, origin.cell)
    return ("sheet name", grid.sheet) if origin.tab else ("said once", origin.text)


def _cut(text: str, before: str) -> str:
    return text[len(before) :].strip() if _starts(text, before) else text


def _without(texts: pd.Series[str], before: str) -> pd.Series[str]:
    """``texts`` with the text ``before`` taken off in front."""
    return texts.map(lambda text: _cut(text, before), na_action="ignore").astype("str")


def _filled(cells: pd.DataFrame, layout: Layout, places: dict[str, Heading]) -> pd.DataFrame:
    """``cells`` with blanks of the named columns filled from above."""
    filled = [places[name].at for name in layout.fill_down if name in places]
    if not filled:
        return cells
    changed = cells.copy()
    changed[filled] = cells[filled].ffill()
    return changed


def _members(layout: Layout, places: dict[str, Heading]) -> list[KindMatch]:
    """The kinds of the layout, coarse before fine; a column goes to the finest that knows it."""
    members: list[KindMatch] = []
    taken: set[str] = set()
    chain = next((one for one in KIND_GROUPS if set(layout.kinds) <= set(one)), layout.kinds)
    for kind in (KIND[name] for name in reversed(chain) if name in layout.kinds):
        shared = (*kind.key, *kind.shared_columns)
        own = {
            name: heading
            for name, heading in places.items()
            if name in kind.names and (name in shared or name not in taken)
        }
        members.insert(0, KindMatch(kind, own, grouped=bool(members)))
        taken |= own.keys()
    return members


def is_template_about_sheet(grid: Grid, problems: Problems) -> bool:
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
