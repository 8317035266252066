"""Text to words and to the values of its form, whole columns at a time."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core.readers.distinct import by_distinct


def whole(values: np.ndarray) -> np.ndarray:
    """Values rounded to whole ones, half to even; the sixth decimal is noise of conversion."""
    rounded: np.ndarray = np.rint(np.round(values, 6))
    return rounded


def words(texts: pd.Series, allowed: dict[str, str]) -> np.ndarray:
    """The allowed word that each text means, by its plain form; None where it means none."""
    found: np.ndarray = by_distinct(texts, lambda text: allowed.get(plain(text)), None, object)
    return found


def plain(text: str) -> str:
    """A word ready for comparison: lower case, no blanks."""
    return "".join(text.casefold().split())
