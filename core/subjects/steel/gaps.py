"""The first thing that each piece of steel lacks of what its kind asks, as one word."""

from __future__ import annotations

import pandas as pd

# From the pile towards the certificate; '' is nothing.
GAPS = ("delivery", "kind", "heat", "certificate", "type")


def with_gaps(chain: pd.DataFrame) -> pd.DataFrame:
    """``chain`` with ``gap``: the first of `GAPS` that is missing; '' where nothing is.

    The faults are those that `judge.chains` finds, so that a list agrees with the findings. A
    component that several deliveries may have brought, and a kind that project.toml does not
    name, stand apart: nobody can say what is asked of them.
    """
    missing = {
        "delivery": ~chain["on_register"],
        "kind": chain["traceability"].isna(),
        "heat": chain["untraced"],
        "certificate": chain["uncertified"] | chain["unlisted"],
        "type": chain["low_type"],
    }
    gap = pd.Series("", index=chain.index)
    for name in GAPS:
        gap = gap.mask(gap.eq("") & missing[name].astype(bool), name)
    return chain.assign(gap=gap)
