"""Files in, typed frames and problems out. Knows no ledger and no limits."""

from __future__ import annotations

from core.readers.layouts import layout_faults
from core.readers.options import (
    DATE_ORDERS,
    DECIMALS,
    NO_ANSWERS,
    Answers,
    Layout,
    Locale,
    Origin,
    ReadOptions,
    StoredLayout,
    answer_fault,
    answers_of,
    answers_text,
    layout_of,
    remembered_answers,
)
from core.readers.parse import ParsedFile, parse_file
from core.readers.pile_numbers import continuing, match_key, near_matches, renamed
from core.readers.preview import FilePreview, SheetPreview, kind_columns, preview_file

__all__ = [
    "DATE_ORDERS",
    "DECIMALS",
    "NO_ANSWERS",
    "Answers",
    "FilePreview",
    "Layout",
    "Locale",
    "Origin",
    "ParsedFile",
    "ReadOptions",
    "SheetPreview",
    "StoredLayout",
    "answer_fault",
    "answers_of",
    "answers_text",
    "continuing",
    "kind_columns",
    "layout_faults",
    "layout_of",
    "match_key",
    "near_matches",
    "parse_file",
    "preview_file",
    "remembered_answers",
    "renamed",
]
