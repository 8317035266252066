"""Small tables of cells, read without a file: what the parsers of values see."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from core.readers.headers import Heading
from core.readers.options import Locale
from core.readers.parse import read_values
from core.readers.problems import Problems
from core.readers.table import Table
from core.records import KIND
from tests.readers.files import PROJECT


@dataclass
class Read:
    """What reading made of a table."""

    values: dict[str, np.ndarray]
    bad: np.ndarray
    problems: pd.DataFrame
    notices: pd.DataFrame

    @property
    def said(self) -> str:
        """All problems as one text."""
        return "\n".join(self.problems["problem"] + " " + self.problems["remedy"])


def table(kind, headers=None, forms=None, **columns):
    """A table of ``kind`` with the texts of ``columns``; its first row is row 2."""
    rows = len(next(iter(columns.values())))
    texts = pd.DataFrame(
        {
            name: pd.Series(columns.get(name, [None] * rows), dtype="str")
            for name in KIND[kind].names
        }
    )
    words = headers or {}
    headings = {
        name: Heading(name, at, words.get(name, (name,))[0], 0, *words.get(name, ("", None))[1:])
        for at, name in enumerate(columns)
    }
    return Table(
        KIND[kind], headings, texts, np.arange(2, rows + 2), Problems("file.csv"),
        np.zeros(rows, dtype="bool"), forms=forms or {},
    )  # fmt: skip


def read(cells, expressions=None, order="", decimal=""):
    """``cells`` read in the expressions given by column, with the conventions that are said."""
    days = np.full(len(cells.rows), np.datetime64("NaT"), dtype="datetime64[us]")
    read_values(cells, expressions or {}, PROJECT, days, Locale(order, decimal))
    return Read(cells.values, cells.bad, cells.problems.frame(), cells.problems.notices())


def faulted(result):
    """Kind and row of every problem."""
    return list(zip(result.problems["kind"], result.problems["row"], strict=True))
