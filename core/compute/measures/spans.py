"""Spans of time as numbers."""

from __future__ import annotations

import pandas as pd

from core import units


def hours(span: pd.Series) -> pd.Series:
    """Each span of time in hours."""
    found: pd.Series = span.dt.total_seconds() * units.factor("second", "hour")
    return found
