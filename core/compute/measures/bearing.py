"""The least of several resistances, with the one that governs. Frames in, frames out."""

from __future__ import annotations

import numpy as np
import pandas as pd

# Source: IBC 1810.3.3.1.9: the ultimate load of a helical pile is the least of these.
SIX = {
    "helix_bearing_kn": "bearing of the helices",
    "torque_correlation_kn": "correlation with torque",
    "load_test_kn": "load test",
    "shaft_kn": "shaft",
    "coupling_kn": "coupling",
    "helix_plates_kn": "helix plates",
}


def least_of(limits: pd.DataFrame) -> pd.DataFrame:
    """One row per row of ``limits``, whose columns are resistances: the least and its column.

    ``least``: the least that is known, NaN when none is; ``governed_by``: its column; ``unknown``:
    columns without a value, so that a least of few is not taken for the least of all.
    """
    known = limits.notna().to_numpy()
    names = limits.columns.to_numpy(dtype=object)
    place = np.where(known, limits.to_numpy(dtype=float), np.inf).argmin(axis=1)
    unknown = [tuple(names[~row]) for row in known]
    return pd.DataFrame(
        {
            "least": limits.min(axis=1),
            "unknown": pd.Series(unknown, limits.index, dtype=object),
            "governed_by": np.where(known.any(axis=1), names[place], None),
        },
        index=limits.index,
    )
