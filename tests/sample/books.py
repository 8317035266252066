"""Reads the sample project's workbooks cell by cell, where their makers put things."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pandas as pd

RAW = Path(__file__).parents[2] / "sample_project" / "raw"
READINGS = (
    "Depth (ft)",
    "Differential pressure (psi)",
    "Torque (ft-lb)",
    "Advance",
    "Rpm",
    "Instrument",
    "Gear",
)
BadRows = Callable[[str, str], set[int]]


def sheets(file: str) -> dict[str, pd.DataFrame]:
    """Cells of every sheet as text; the index is the row's number, the columns count from 0."""
    found = pd.read_excel(RAW / file, sheet_name=None, header=None, dtype=str, engine="calamine")
    for cells in found.values():
        cells.index = cells.index + 1
    return {sheet: cells.fillna("") for sheet, cells in found.items()}


def pile_sheets(bad_rows: BadRows) -> Iterator[pd.DataFrame]:
    """One week of rig 2, a sheet per pile: depths in feet and inches."""
    file = "rig2_week_38.xlsx"
    for sheet, cells in sheets(file).items():
        if sheet == "Summary":
            continue
        rows = _until_total(cells, 8).drop(index=list(bad_rows(file, sheet)))
        frame = rows.iloc[:, :7].set_axis(list(READINGS), axis=1)
        frame["Depth (ft)"] = frame["Depth (ft)"].map(_feet)
        yield frame.assign(
            Pile=sheet.removeprefix("Pile "),
            Run="1",
            Date=_day(cells.at[4, 1]),
            toe=str(_feet(cells.at[5, 4].removeprefix("Toe:").strip())),
        )


def day_sheets(bad_rows: BadRows) -> Iterator[pd.DataFrame]:
    """Another week of rig 2, a sheet per day: blank cells of the pile mean the one above."""
    file = "rig2_week_39.xlsx"
    for sheet, cells in sheets(file).items():
        rows = _until_total(cells, 6)
        of_run = rows[[0, 3]].mask(rows[0].eq("")).ffill()
        frame = rows.iloc[:, 9:16].set_axis(list(READINGS), axis=1)
        frame = frame.assign(Pile=of_run[0], Run="1", Date=_day(cells.at[2, 1]), toe=of_run[3])
        yield frame.drop(index=list(bad_rows(file, sheet)))


def certificates() -> Iterator[pd.DataFrame]:
    """The certificates of the laboratory's workbook, one frame each."""
    for cells in sheets("certificates_2026.xlsx").values():
        rows = cells.loc[12:]
        rows = rows[rows[1].ne("")]
        shown = [f"{cells.at[10, at]} {cells.at[11, at]}" for at in (2, 3)]
        frame = rows.iloc[:, :4].set_axis(["Gear", "Point", *shown], axis=1)
        frame["Gear"] = frame["Gear"].replace("", None).ffill().fillna("")
        yield frame.assign(**{"Instrument": cells.at[4, 1], "Valid from": cells.at[7, 1][:10]})


def schedule_c(bad: set[int]) -> pd.DataFrame:
    """Revision C under the header of its second line; blank bents and structures as above."""
    cells = sheets("schedule_rev_C.xlsx")["Schedule"]
    rows = _until_total(cells, 6).drop(index=list(bad)).set_axis(cells.loc[5].tolist(), axis=1)
    filled = ["Bent", "Structure"]
    rows[filled] = rows[filled].replace("", None).ffill()
    return rows


def instructions(bad: set[int]) -> pd.DataFrame:
    """The instructed piles under their header."""
    cells = sheets("instructions.ods")["Instructions"]
    return cells.loc[4:].drop(index=list(bad)).set_axis(cells.loc[3].tolist(), axis=1)


def _until_total(cells: pd.DataFrame, first: int) -> pd.DataFrame:
    totals = cells.index[(cells[0] + cells[1]).str.startswith("Total")]
    return cells.loc[first : totals[0] - 1].copy()


def _feet(text: str) -> float:
    """24'-6" in feet; other texts stand in bad rows or mean nothing."""
    feet, mark, inches = text.partition("'-")
    return int(feet) + int(inches.rstrip('"')) / 12 if mark else float("nan")


def _day(text: str) -> str:
    """The American day of a sheet, year first."""
    month, day, year = text.split("/")
    return f"{year}-{month}-{day}"
