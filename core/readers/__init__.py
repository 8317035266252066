"""Files in, typed frames and problems out. Knows no ledger and no limits."""

from __future__ import annotations

from core.readers.layout_fitting import layout_faults
from core.readers.options import (
    DATE_ORDERS,
    DECIMALS,
    NO_ANSWERS,
    Answers,
    Conventions,
    How,
    Layout,
    Origin,
    Remembered,
    answer_fault,
    answers_of,
    answers_text,
    layout_of,
    remembered_answers,
)
from core.readers.parse import Taken, take
from core.readers.pile_numbers import continuing, match_key, renamed, slips
from core.readers.preview import Looked, SheetLook, kind_columns, look

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
