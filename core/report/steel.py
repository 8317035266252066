"""The chain of steel as a file."""

from __future__ import annotations

import pandas as pd

# Columns of the chain as they go out, with the heading of each.
CHAIN = {
    "pile_id": "pile",
    "run_no": "run",
    "place": "place",
    "component": "component",
    "piece": "piece",
    "stamp": "stamp",
    "component_kind": "kind",
    "length_mm": "length_mm",
    "lot": "lot",
    "mill": "mill",
    "heat": "heat",
    "certificate": "certificate",
    "certificate_type": "certificate_type",
    "break": "break",
}


def chain_csv(chain: pd.DataFrame) -> bytes:
    """Pieces of steel in the ground as CSV in store units, one line per piece."""
    frame = chain[list(CHAIN)].rename(columns=CHAIN)
    return frame.to_csv(index=False, lineterminator="\n").encode()
