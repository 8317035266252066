"""What a stamp says of itself, read by a pattern with named groups; nothing is assumed of a maker.

The pattern is one of RE2: it is read in time that grows with the text alone, whatever it says.
"""

from __future__ import annotations

import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from core.records import pattern_fault
from core.subjects.steel.heats import folded


def read(stamps: pd.Series, pattern: str) -> pd.DataFrame:
    """One row per row of ``stamps``: ``reads``, and a column of text for each named group.

    The whole stamp must fit. Raises ValueError for a pattern that `pattern_fault` faults.
    """
    if fault := pattern_fault(pattern):
        raise ValueError(fault)
    texts = pa.array(stamps.to_list(), pa.string())
    found = pc.extract_regex(texts, pattern=f"^(?:{pattern})$")
    reads = pd.Series(found.is_valid().to_pylist(), index=stamps.index, dtype=bool)
    columns = {
        field.name: pd.Series(found.field(at).to_pylist(), index=stamps.index, dtype="str")
        for at, field in enumerate(found.type)
    }
    parts = {name: values.where(reads & values.ne("")) for name, values in columns.items()}
    return pd.DataFrame({"reads": reads, **parts})


def differing(said: pd.Series, recorded: pd.Series) -> pd.Series:
    """Whether the heat that a stamp says is none of those recorded, signs that look alike equal.

    ``recorded``: heats of the component's pieces, joined by commas; nothing differs from none.
    """
    pairs = zip(said, recorded, strict=True)
    found = [
        isinstance(one, str)
        and isinstance(others, str)
        and folded(one) not in {folded(other) for other in others.split(", ")}
        for one, others in pairs
    ]
    return pd.Series(found, index=said.index, dtype=bool)
