"""The list of what is wrong with one file, gathered while it is read."""

from __future__ import annotations

import pandas as pd

from core.records import PROBLEM_COLUMNS, REMARK_COLUMNS

_WHOLE_FILE = 0  # row of a problem that no single row holds


class Problems:
    """Problems of one sheet of one file, in the order of the file's rows when asked for."""

    def __init__(self, file: str, sheet: str = "") -> None:
        self.file = file
        self.sheet = sheet
        self._rows: list[tuple[str, int, str, str, str, str]] = []
        self._remarks: list[tuple[int, str]] = []

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

    def remark(self, remark: str, row: int = _WHOLE_FILE) -> None:
        """Say something that stops nothing, once."""
        if (row, remark) not in self._remarks:
            self._remarks.append((row, remark))

    def remarks(self) -> pd.DataFrame:
        """One row per remark with the columns of ``records.REMARK_COLUMNS``."""
        frame = pd.DataFrame(self._remarks, columns=pd.Index(["row", "remark"]))
        frame["row"] = frame["row"].astype("Int64").mask(frame["row"] == _WHOLE_FILE)
        frame = frame.assign(file=self.file, sheet=self.sheet)
        texts = dict.fromkeys(("file", "sheet", "remark"), "str")
        return frame[list(REMARK_COLUMNS)].astype(texts)

    def frame(self) -> pd.DataFrame:
        """One row per problem with the columns of ``records.PROBLEM_COLUMNS``."""
        names = ["kind", "row", "column", "value", "problem", "remedy"]
        frame = pd.DataFrame(self._rows, columns=pd.Index(names))
        frame = frame.sort_values("row", kind="stable", ignore_index=True)
        frame["row"] = frame["row"].astype("Int64").mask(frame["row"] == _WHOLE_FILE)
        frame["file"], frame["sheet"] = self.file, self.sheet
        texts = {name: "str" for name in PROBLEM_COLUMNS if name != "row"}
        return frame[list(PROBLEM_COLUMNS)].astype(texts)


def shortened(text: str, length: int = 40) -> str:
    """A value as quoted in a problem: one line, cut when long."""
    line = " ".join(text.split())
    return line if len(line) <= length else line[: length - 1] + "…"


def listed(words: list[str], most: int = 8) -> str:
    """Words for a problem's text, the first few when they are many."""
    mark = "; " if any("," in word for word in words) else ", "
    shown = [shortened(word, 30) for word in words[:most]]
    return mark.join(shown if len(words) <= most else [*shown, "…"])
