"""Files in, typed frames and problems out. Knows no ledger and no limits."""

from __future__ import annotations

from core.intake.answers import (
    NO_ANSWERS,
    Answers,
    answer_fault,
    answers_of,
    answers_text,
    remembered_answers,
)
from core.intake.conventions import DATE_ORDERS, DECIMALS, Conventions
from core.intake.how import How
from core.intake.layout_check import layout_faults
from core.intake.layouts import Layout, Origin, Remembered, layout_of
from core.intake.looking import Looked, SheetLook, kind_columns, look
from core.intake.pile_numbers import continuing, match_key, renamed, slips
from core.intake.taking import Taken, take

__all__ = [
    "DATE_ORDERS",
    "DECIMALS",
    "NO_ANSWERS",
    "Answers",
    "Conventions",
    "How",
    "Layout",
    "Looked",
    "Origin",
    "Remembered",
    "SheetLook",
    "Taken",
    "answer_fault",
    "answers_of",
    "answers_text",
    "continuing",
    "kind_columns",
    "layout_faults",
    "layout_of",
    "look",
    "match_key",
    "remembered_answers",
    "renamed",
    "slips",
    "take",
]
