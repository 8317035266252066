"""The data dictionary of all record kinds or of one."""

from __future__ import annotations

import pandas as pd

from core.errors import WrongUse
from core.records import KIND, KINDS
from core.report.dictionary import dictionary


def data_dictionary(kind: str | None = None) -> pd.DataFrame:
    """One row per column. Raises WrongUse for a record kind that there is not."""
    if kind is None:
        return dictionary(KINDS)
    if kind not in KIND:
        raise WrongUse(f"There is no record kind {kind!r}; there are: {', '.join(KIND)}.")
    return dictionary([KIND[kind]])
