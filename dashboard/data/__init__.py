"""The only reader: what the screens show, as frames in store units, cached by the ledger's stamp.

A `View` is one assessment with the key it was read under. Nothing here changes a frame that is
cached: every session reads the same one.
"""

from dashboard.data.one_pile import evidence, findings, pile, readings, reasons, replacements
from dashboard.data.overview import areas, attention, attention_kinds, states, totals
from dashboard.data.site_plan import plan, unplaced
from dashboard.data.views import (
    View,
    drawn,
    folder,
    has_moved,
    opened,
    options,
    piles,
    subjects,
)

__all__ = [
    "View", "areas", "attention", "attention_kinds", "drawn", "evidence", "findings", "folder",
    "has_moved", "opened", "options", "pile", "piles", "plan", "readings", "reasons",
    "replacements", "states", "subjects", "totals", "unplaced",
]  # fmt: skip
