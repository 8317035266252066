"""The same marks for an OpenDocument workbook, which writes beside each value what is seen.

Read from the part itself: odfdo unfolds what is repeated, so that 1,000 rows of ten cells become
1,048,576 rows of 16,384, of which the first thousand take more than a minute.
"""

from __future__ import annotations

import re

from core.readers.book_limits import Limits, Unreadable
from core.readers.book_marks import FAULTS, PERCENT, SCIENTIFIC, Marks, read_through

_FAULT = re.compile("|".join(map(re.escape, FAULTS)) + r"|Err:\d{3}")
_SCIENTIFIC = re.compile(r"-?\d[\d.,]*E[+-]?\d+", re.IGNORECASE)
_ZEROS = re.compile(r"0\d+")
_MARKED = re.compile(
    rb"(?:value-type|visibility|line-through-style|spanned)=\"(?:error|collapse|filter|solid|"
    rb"percentage|dotted|dash|wave|[2-9]|1\d)|<office:annotation|<text:p>(?:0\d+<|-?\d[\d.,]*E|#|Err:)"
)


def marks_of_tables(content: bytes, limits: Limits) -> dict[str, Marks]:
    """Marks of every sheet of a content.xml by name.

    Raises ExpatError when it is garbled, Unreadable when what is repeated exceeds ``limits``.
    """
    if not _MARKED.search(content):
        return {}
    scan = _Scan(limits)
    read_through(content, scan)
    return scan.sheets


class _Scan:
    """Reads the sheets in order; a repeated row or cell counts as often as it is repeated."""

    def __init__(self, limits: Limits) -> None:
        self._limits = limits
        self.sheets: dict[str, Marks] = {}
        self._marks = Marks()
        self._struck_styles: set[str] = set()
        self._style, self._sheet = "", ""
        self._row, self._rows, self._at = 1, 1, 0
        self._hidden = False
        self._cell: dict[str, str] = {}
        self._value: str | None = None
        self._column, self._note, self._paragraph = 0, "", False
        self._in_note = False
        self._struck: list[bool] = []

    def start(self, name: str, given: dict[str, str]) -> None:
        if name == "style:style":
            self._style = given.get("style:name", "")
        elif name == "style:text-properties":
            if given.get("style:text-line-through-style", "none") != "none":
                self._struck_styles.add(self._style)
        elif name == "table:table":
            self._sheet = given.get("table:name", "")
            self._marks = self.sheets.setdefault(self._sheet, Marks())
            self._row, self._rows, self._column = 1, 0, 0
        elif name == "table:table-column":
            self._add_columns(given)
        elif name == "table:table-row":
            self._row += self._rows
            self._rows = int(given.get("table:number-rows-repeated", "1"))
            self._at, self._struck = 0, []
            self._hidden = given.get("table:visibility") in ("collapse", "filter")
        elif name in ("table:table-cell", "table:covered-table-cell"):
            self._cell, self._value = given, ""
        else:
            self._start_in_note(name)

    def _start_in_note(self, name: str) -> None:
        """A note has its author and day beside its paragraphs, which alone are kept."""
        if name == "office:annotation":
            self._note, self._in_note = "", True
        elif self._in_note and name in ("text:p", "text:s"):
            self._note, self._paragraph = f"{self._note} ", True

    def _add_columns(self, given: dict[str, str]) -> None:
        first = self._column
        self._column += int(given.get("table:number-columns-repeated", "1"))
        if given.get("table:visibility") in ("collapse", "filter"):
            self._marks.hide_columns(first, self._column - 1, self._limits)

    def text(self, data: str) -> None:
        if self._in_note:
            if self._paragraph and len(self._note) < self._limits.note:
                self._note += data
        elif self._value is not None:
            self._value += data

    def end(self, name: str) -> None:
        if name in ("table:table-cell", "table:covered-table-cell"):
            self._keep((self._value or "").strip())
            self._value = None
        elif name == "office:annotation":
            self._in_note = False
            self._marks.add_note((self._row, self._at), self._note, self._limits)
        elif name == "text:p":
            self._paragraph = False
        elif name == "table:table-row" and self._struck:
            rows = range(self._row, self._row + self._rows)
            if self._hidden:
                self._marks.hidden.update(rows)
            if all(self._struck):
                self._marks.struck.update(rows)

    def _keep(self, text: str) -> None:
        given, first = self._cell, self._at
        repeated = int(given.get("table:number-columns-repeated", "1"))
        self._at += repeated
        across = int(given.get("table:number-columns-spanned", "1"))
        down = int(given.get("table:number-rows-spanned", "1"))
        if across > 1 or down > 1:
            self._marks.merged.append((self._row, first, self._row + down - 1, first + across - 1))
        if not text:
            return
        self._note_last(self._row + self._rows - 1, first + repeated - 1)
        self._struck.append(given.get("table:style-name", "") in self._struck_styles)
        error = given.get("calcext:value-type") == "error" or bool(_FAULT.fullmatch(text))
        shown = "" if error else _shown(text, given.get("office:value-type", ""))
        if not error and not shown:
            return
        for row in range(self._row, self._row + self._rows):
            for column in range(first, first + repeated):
                if error:
                    self._marks.faults[row, column] = text
                else:
                    self._marks.shown[row, column] = shown

    def _note_last(self, row: int, column: int) -> None:
        """Keep the last place written. Raises Unreadable before anything is repeated too often."""
        last = self._marks.last
        self._marks.last = max(last[0], row), max(last[1], column)
        if column >= self._limits.columns:
            raise Unreadable("columns", column + 1, self._sheet)
        if row * (column + 1) > self._limits.cells:
            raise Unreadable("cells", row, self._sheet)


def _shown(text: str, value_type: str) -> str:
    """The format of a number that changes what it looks like, as the XLSX reader names it."""
    if value_type == "percentage":
        return PERCENT
    if value_type == "float" and _SCIENTIFIC.fullmatch(text):
        return SCIENTIFIC
    return "0" * len(text) if value_type == "float" and _ZEROS.fullmatch(text) else ""
