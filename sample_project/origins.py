"""Where a layout finds the values of a column: under a header, or in a cell."""

from __future__ import annotations

Origin = dict[str, object]


def header(text: str, unit: str = "") -> Origin:
    """Under the header ``text``."""
    return {"header": text, **({"unit": unit} if unit else {})}


def cell(address: str, before: str = "", unit: str = "") -> Origin:
    """In the cell at ``address``, behind the text ``before``."""
    said = {"cell": address, "before": before, "unit": unit}
    return {name: value for name, value in said.items() if value}


def text(value: str) -> Origin:
    """One text for all rows."""
    return {"text": value}
