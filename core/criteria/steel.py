"""Criteria of steel."""

from __future__ import annotations

from core.criteria.base import Criterion, Length


class LengthReconciliation(Criterion):
    """Greatest difference between the length placed and the recorded depth."""

    greatest_difference_mm: Length
