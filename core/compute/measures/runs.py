"""Which runs are closed, and what an open one still lacks."""

from __future__ import annotations

import numpy as np
import pandas as pd

LACKS = {
    (True, True): "no toe depth and no reason for stopping",
    (True, False): "no toe depth",
    (False, True): "no reason for stopping",
    (False, False): "",
}


def with_open(runs: pd.DataFrame, readings: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """``runs`` with closed; open_run, has readings and is not closed; and what it lacks.

    A run with readings is closed by its toe depth and its reason for stopping, or by the toe
    alone where the type declares the reason not required. The toe is never taken from the last
    reading. A run without a reading is closed by its reason; it measures nothing. ``piles``
    gives pile_id and reason_required.
    """
    key = ["pile_id", "run_no"]
    read = pd.MultiIndex.from_frame(runs[key]).isin(
        pd.MultiIndex.from_frame(readings[key].drop_duplicates())
    )
    asked = runs["pile_id"].map(piles.set_index("pile_id")["reason_required"])
    required = asked.ne(False).to_numpy(dtype=bool)  # an unknown type requires it
    no_toe = runs["toe_mm"].isna().to_numpy(dtype=bool)
    no_reason = runs["stop_reason"].isna().to_numpy(dtype=bool)
    lacking = np.where(read | ~required, no_toe, False) | (no_reason & required)
    pairs = zip(no_toe & lacking, no_reason & required, strict=True)
    return runs.assign(
        closed=~lacking,
        open_run=lacking & read,
        lacks=pd.array([LACKS[bool(toe), bool(reason)] for toe, reason in pairs], dtype="str"),
    )
