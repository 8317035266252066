"""Columns of tables as pandas frames for screens, exports and the notebook; groups of piles."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd

from core.subjects.columns import Column
from core.subjects.tables import Table, Texts


def frame_of(columns: Mapping[str, Any]) -> pd.DataFrame:
    """Columns of one length by name as a frame: arrays as they are, ``Texts`` as text.

    A text that is none is missing.
    """
    return pd.DataFrame({name: _series(values) for name, values in columns.items()}, copy=False)


def frame_of_table(table: Table) -> pd.DataFrame:
    """Every declared column of a table; a recorded or set one under its own name."""
    return frame_of(dict(table.columns()))


def _series(values: Any) -> Any:
    if isinstance(values, Texts):
        words = np.array([*values.words, None], dtype=object)
        return pd.array(words[values.codes], dtype="str")
    return values.values if isinstance(values, Column) else values


MIN_GROUP_PILES = (
    5  # with fewer a share of ten in a hundred means nothing; trade practice, no source
)


def with_group(piles: pd.DataFrame) -> pd.DataFrame:
    """``piles`` with group: area and type in words."""
    area = piles["area"].astype("str").fillna("no area")
    return piles.assign(group=area + " · " + piles["pile_type"].astype("str").fillna("no type"))
