"""What a pattern that reads stamps may be: an expression of RE2 whose groups all have a name."""

from __future__ import annotations

import pyarrow as pa
import pyarrow.compute as pc

# Columns that stand beside the groups.
TAKEN = frozenset(
    ("reads", "differs", "stamp", "delivery_id", "component_kind", "supplier", "heats")
)


def pattern_fault(pattern: str) -> str:
    """What is wrong with ``pattern``, as one short text; empty when stamps can be read by it."""
    try:
        names = [field.name for field in pc.extract_regex(pa.array([""]), pattern=pattern).type]
    except pa.ArrowInvalid as error:
        return str(error).partition(":")[2].strip() or str(error)
    if taken := TAKEN.intersection(names):
        return f"a group cannot be called {', '.join(sorted(taken))}"
    return "" if names else "it names no group"
