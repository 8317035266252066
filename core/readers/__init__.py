"""Files in, typed frames and problems out. Knows no ledger and no limits."""

from __future__ import annotations

from core.readers.answers import (
    NO_ANSWERS,
    Answers,
    answer_fault,
    answers_of,
    answers_text,
    remembered_answers,
)
from core.readers.conventions import DATE_ORDERS, DECIMALS, Conventions
from core.readers.how import How
from core.readers.layout_check import layout_faults
from core.readers.layouts import Layout, Origin, Remembered, layout_of
from core.readers.looking import Looked, SheetLook, kind_columns, look
from core.readers.pile_numbers import continuing, match_key, renamed, slips
from core.readers.taking import Taken, take

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
