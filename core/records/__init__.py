"""Record kinds: columns, keys, references, checks. The single source for readers, ledger, forms."""

from __future__ import annotations

import pandas as pd

from core.records.events import EVENT, EVENTS, JUDGED_EVENTS, OTHER_TEXT, Event, events_in
from core.records.kinds import (
    CONVERSION_NOISE,
    SQL_TYPES,
    Check,
    Column,
    Form,
    Kind,
    Reference,
    Rows,
    Stated,
    declared,
    typed,
)
from core.records.measures import MEASURE, MEASURES, Measure
from core.records.mill_papers import (
    CERTIFICATE_TYPES,
    ELEMENTS,
    IN_QUARANTINE,
    LIFTED,
    pattern_fault,
)
from core.records.piles import OUTSIDE_PRODUCTION
from core.records.survey import SURVEY_STAGES

# Every kind that a module of this package declares; parents come before what refers to them.
KINDS: tuple[Kind, ...] = declared(__name__, __path__)
KIND: dict[str, Kind] = {kind.name: kind for kind in KINDS}

# One row is one thing wrong with data that came in.
PROBLEM_COLUMNS = ("kind", "file", "sheet", "row", "column", "value", "problem", "remedy")
# One row is one thing said about data that came in and stops nothing.
NOTICE_COLUMNS = ("file", "sheet", "row", "notice")
# One row is one column of a file that is not read, with up to three of its values.
NOT_READ_COLUMNS = ("file", "sheet", "column", "heading", "values")
# In the first cell of the sheet that describes a template, and the version of its columns.
TEMPLATE_MARK = "Pilewright template"
SCHEMA_VERSION = 1


def no_problems() -> pd.DataFrame:
    """An empty frame of problems."""
    return pd.DataFrame(columns=pd.Index(PROBLEM_COLUMNS))


__all__ = [
    "CERTIFICATE_TYPES",
    "CONVERSION_NOISE",
    "ELEMENTS",
    "EVENT",
    "EVENTS",
    "IN_QUARANTINE",
    "JUDGED_EVENTS",
    "KIND",
    "KINDS",
    "LIFTED",
    "MEASURE",
    "MEASURES",
    "NOT_READ_COLUMNS",
    "OTHER_TEXT",
    "OUTSIDE_PRODUCTION",
    "PROBLEM_COLUMNS",
    "REMARK_COLUMNS",
    "SCHEMA_VERSION",
    "SQL_TYPES",
    "SURVEY_STAGES",
    "TEMPLATE_MARK",
    "Check",
    "Column",
    "Event",
    "Form",
    "Kind",
    "Measure",
    "Reference",
    "Rows",
    "Stated",
    "events_in",
    "no_problems",
    "pattern_fault",
    "typed",
]
