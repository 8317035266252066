"""The list of what is wrong with one file, gathered while it is read."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pandas as pd

from core.records import NOTICE_COLUMNS, PROBLEM_COLUMNS

_WHOLE_FILE = 0  # row of a problem that no single row holds


class Problems:
    """Problems of one sheet of one file, in the order of the file's rows when asked for."""

    def __init__(self, file: str, sheet: str = "") -> None:
        self.file = file
        self.sheet = sheet
        self._rows: list[tuple[str, int, str, str, str, str]] = []
        self._notices: list[tuple[int, str, str]] = []

    def __len__(self) -> int:
        return len(self._rows)

    def add(
        self,
        kind: str,
        problem: str,
        remedy: str,
        row: int = _WHOLE_FILE,
        column: str = "",
        value: str = "",
    ) -> None:
        """Note one problem; without a row it concerns the whole file."""
        self._rows.append((kind, row, column, value, problem, remedy))

    def notice(self, text: str, row: int = _WHOLE_FILE, sheet: str = "") -> None:
        """Add a notice, which stops nothing, once; of another ``sheet`` where one is named."""
        notice = (row, text, sheet or self.sheet)
        if notice not in self._notices:
            self._notices.append(notice)

    def notices(self) -> pd.DataFrame:
        """One row per notice with the columns of ``records.NOTICE_COLUMNS``."""
        return self._typed(("row", "notice", "sheet"), self._notices)[list(NOTICE_COLUMNS)]

    def frame(self) -> pd.DataFrame:
        """One row per problem with the columns of ``records.PROBLEM_COLUMNS``."""
        names = ("kind", "row", "column", "value", "problem", "remedy")
        ordered = sorted(self._rows, key=lambda told: told[1])
        return self._typed(names, ordered)[list(PROBLEM_COLUMNS)]

    def _typed(self, names: Sequence[str], rows: Sequence[tuple[Any, ...]]) -> pd.DataFrame:
        """``rows`` as columns, with file and sheet; no row number where the whole file is meant."""
        columns = {name: [told[at] for told in rows] for at, name in enumerate(names)}
        numbers = [row if row != _WHOLE_FILE else None for row in columns.pop("row")]
        same = {"file": [self.file] * len(rows), "sheet": [self.sheet] * len(rows)}
        columns = same | columns
        texts = {name: pd.array(values, dtype="str") for name, values in columns.items()}
        return pd.DataFrame({"row": pd.array(numbers, dtype="Int64"), **texts})


def shortened(text: str, length: int = 40) -> str:
    """A value as quoted in a problem: one line, cut when long."""
    line = " ".join(text.split())
    return line if len(line) <= length else line[: length - 1] + "…"


def listed(words: list[str], most: int = 8) -> str:
    """Words for a problem's text, the first few when they are many."""
    mark = "; " if any("," in word for word in words) else ", "
    shown = [shortened(word, 30) for word in words[:most]]
    return mark.join(shown if len(words) <= most else [*shown, "…"])
