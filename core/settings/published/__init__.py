"""Tables that standards and handbooks print, offered for comparison and never used silently.

A value goes into a project only when a person writes it into project.toml with its source.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pandas as pd

from core.errors import WrongUse

FOLDER = Path(__file__).parent
# One line per table; the files beside give the rows, each with standard, edition and source.
TABLES = {
    "torque_factors": "Torque factors Kt by shaft",
    "safety_factors": "Safety factors by direction and nature of load",
    "load_test_correlation": "Correlation factors by number of static load tests",
    "steel_grades": "Minimum yield and tensile strength by grade of steel",
    "zinc_of_shapes": "Minimum zinc by category and thickness of steel",
    "zinc_of_hardware": "Minimum zinc of fasteners and hardware by class",
    "corrosion_by_ground": "Loss by corrosion over the years, by ground",
    "corrosion_by_coating": "Loss by corrosion over the years, by coating",
    "bond": "Bond of grout by ground and way of grouting",
    "grout_strength": "Strength of grout",
}
OF_SOURCE = ("standard", "edition", "source", "evidence")


@cache
def published(table: str) -> pd.DataFrame:
    """Rows of one table as printed, with OF_SOURCE last; the same frame each time.

    ``evidence`` says whether the printed source was read or the value comes from memory or trade
    practice. Raises WrongUse naming the tables when there is none of this name.
    """
    if table not in TABLES:
        raise WrongUse(f"There is no published table {table}. There are: {', '.join(TABLES)}.")
    return pd.read_csv(FOLDER / f"{table}.csv", dtype=dict.fromkeys(OF_SOURCE, "str"))


def tables() -> pd.DataFrame:
    """One row per table: its name, what it holds, and how many rows."""
    rows = [(name, words, len(published(name))) for name, words in TABLES.items()]
    return pd.DataFrame(rows, columns=pd.Index(["table", "holds", "rows"]))
