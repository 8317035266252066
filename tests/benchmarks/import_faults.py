"""How long a log of 300,000 rows with 300 planted faults takes, against a bare insert of the file.

``python tests/benchmarks/import_faults.py`` writes an invented log of 5,000 piles, plants faults of
six kinds on 300 rows, takes it in without them, and prints the times, their ratio, and whether
exactly the planted rows were found.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

import duckdb
import numpy as np
import pandas as pd

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from core import services
from tests.services.small import small_project

PILES, DEPTHS, FAULTS = 5000, 60, 300
ROUNDS = 3
PLANTED = (  # column, what is written there, the problem it makes
    ("Differential pressure (bar)", "l20", "not a number"),
    ("Differential pressure (bar)", "-4", "impossible value"),
    ("Depth (m)", "", "missing value"),
    ("Direction", "sideways", "unknown word"),
    ("Time", "25:10", "not a time"),
    ("Flag", "guessed", "unknown word"),
)


def log() -> pd.DataFrame:
    """One reading per row, its run beside it, as a rig's log has them."""
    number = np.arange(PILES * DEPTHS)
    pile, depth = number // DEPTHS, number % DEPTHS + 1
    minute = 7 * 60 + depth
    return pd.DataFrame(
        {
            "Date": (pd.Timestamp("2025-01-01") + pd.to_timedelta(pile // 12, "D")).strftime(
                "%Y-%m-%d"
            ),
            "Rig": "Rig " + pd.Series(pile % 2 + 1).astype(str),
            "Pile": "P-" + pd.Series(pile).astype(str),
            "Run": "1",
            "Instrument": "G-1",
            "Time": [f"{at // 60:02d}:{at % 60:02d}" for at in minute],
            "Depth (m)": [f"{one * 0.3:.1f}" for one in depth],
            "Differential pressure (bar)": [f"{40 + (at * 7919) % 1200 / 10:.1f}" for at in number],
            "Advance (mm/turn)": [f"{70 + at % 9}" for at in number],
            "Direction": "advancing",
            "Flag": "measured",
        }
    )


def plant(frame: pd.DataFrame) -> set[tuple[int, str]]:
    """Writes the faults into ``frame``; their rows in the file and the problems they make."""
    rows = np.random.default_rng(26).choice(len(frame), FAULTS, replace=False)
    planted = set()
    for place, row in enumerate(sorted(int(row) for row in rows)):
        column, text, kind = PLANTED[place % len(PLANTED)]
        frame.loc[row, column] = text
        planted.add((row + 2, kind))
    return planted


def bare_insert(path: Path, folder: Path) -> float:
    """Seconds to read the file into a table of a new database and close it."""
    start = time.perf_counter()
    with duckdb.connect(folder / "bare.duckdb") as con:
        con.read_csv(str(path), all_varchar=False).create("log")
    return time.perf_counter() - start


def main() -> None:
    """Build, run, print."""
    frame = log()
    planted = plant(frame)
    ratios, found = [], set()
    for _ in range(ROUNDS):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            path = folder / "log.csv"
            frame.to_csv(path, index=False)
            bare = bare_insert(path, folder)
            job = small_project(folder / "job")
            choice = services.ImportChoice(skip_bad_rows=True)
            start = time.perf_counter()
            report = services.import_files(job, [path], by="Bo Invented", choice=choice)
            taken = time.perf_counter() - start
        ratios.append(taken / bare)
        found = set(zip(report.problems["row"], report.problems["kind"], strict=True))
        print(f"bare insert {bare:.2f} s, import {taken:.2f} s, ratio {taken / bare:.1f}")
        print(f"rows {report.rows}")
    print(f"median ratio {sorted(ratios)[ROUNDS // 2]:.1f}")
    print(f"planted {len(planted)}, found {len(found & planted)}, besides {len(found - planted)}")
    if found != planted:
        sys.exit("The problems found are not the faults planted.")


if __name__ == "__main__":
    main()
