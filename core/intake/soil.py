"""Rules of the layers of a borehole that one file can break by itself."""

from __future__ import annotations

import numpy as np

from core.intake.table import Table
from core.intake.torque import row_before


def check_layer(table: Table) -> None:
    """A layer goes down from its top, and begins where the one above it ends or lower."""
    top, bottom = table.values["from_mm"], table.values["to_mm"]
    table.fault(
        bottom <= top,
        "to_mm",
        "depths out of order",
        lambda at: (
            f"{_layer(table, at)} ends at {table.text('to_mm', at)}. A layer ends below its top.",
            "Correct the depths.",
        ),
    )
    hole = table.group(("borehole_id",))
    before = row_before(hole, ~np.isnan(top) & ~np.isnan(bottom) & ~table.bad)
    overlaps = (before >= 0) & (top < bottom[before])

    def say(at: int) -> tuple[str, str]:
        upper = int(before[at])
        return (
            f"{_layer(table, at)} begins above the end of the layer before it at "
            f"{table.text('to_mm', upper)} (row {table.rows[upper]}).",
            "Put the layers in order from the ground down, or correct the depths.",
        )

    table.fault(overlaps, "from_mm", "layers out of order", say)


def _layer(table: Table, at: int) -> str:
    hole, top = table.text("borehole_id", at), table.text("from_mm", at)
    return f"Borehole {hole}: the layer from {top}"
