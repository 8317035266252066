"""Whole columns worked out text by text, each distinct text once."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd


def by_distinct(texts: pd.Series, value_of: Callable[[str], Any], empty: Any, dtype: Any) -> Any:
    """An array of ``value_of`` each text; ``empty`` where the text is missing."""
    codes, distinct = pd.factorize(texts)
    values = [value_of(str(text)) for text in distinct]
    return np.array([*values, empty], dtype=dtype)[codes]  # code -1, missing, is the last place
