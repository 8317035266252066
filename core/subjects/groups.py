"""Groups of piles that are set side by side: those of one area and type."""

from __future__ import annotations

import pandas as pd

FEWEST_PILES = 5  # with fewer a share of ten in a hundred means nothing; trade practice, no source


def with_group(piles: pd.DataFrame) -> pd.DataFrame:
    """``piles`` with group: area and type in words."""
    area = piles["area"].astype("str").fillna("no area")
    return piles.assign(group=area + " · " + piles["pile_type"].astype("str").fillna("no type"))
