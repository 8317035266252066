"""Files in, typed frames and problems out. Knows no ledger and no limits."""

from __future__ import annotations

from core.intake.conventions import DATE_ORDERS, DECIMALS, Conventions
from core.intake.how import How
from core.intake.layout_check import layout_faults
from core.intake.layouts import Layout, Origin, Remembered, layout_of
from core.intake.looking import Looked, SheetLook, kind_columns, look
from core.intake.taking import Taken, take

__all__ = [
    "DATE_ORDERS",
    "DECIMALS",
    "Conventions",
    "How",
    "Layout",
    "Looked",
    "Origin",
    "Remembered",
    "SheetLook",
    "Taken",
    "kind_columns",
    "layout_faults",
    "layout_of",
    "look",
    "take",
]
