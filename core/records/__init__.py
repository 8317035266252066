"""Record kinds: columns, units, keys, aliases. The single source for intake, store and forms."""

from __future__ import annotations

import pandas as pd

from core.records.events import EVENT, EVENTS, JUDGED_EVENTS, OTHER_TEXT, Event, events_in
from core.records.examples import EXAMPLES
from core.records.grout import (
    GROUT_BATCH,
    GROUT_PLACEMENT,
    GROUT_SPECIMEN,
    SAMPLE_GROUP_MEMBER,
)
from core.records.intake import MAPPING
from core.records.kinds import (
    CONVERSION_NOISE,
    SQL_TYPES,
    Column,
    Form,
    Kind,
    Reference,
    Stated,
    typed,
)
from core.records.measures import MEASURE, MEASURES, Measure
from core.records.mill_papers import (
    CERTIFICATE,
    CERTIFICATE_FILE,
    CERTIFICATE_TYPES,
    ELEMENTS,
    HEAT_ON_CERTIFICATE,
    IN_QUARANTINE,
    LIFTED,
    QUARANTINE,
)
from core.records.piles import (
    OUTSIDE_PRODUCTION,
    PILE,
    RUN,
    SIGN_OFF,
    STAGE_RECORD,
)
from core.records.schedule import SCHEDULE
from core.records.soil import BOREHOLE, BOREHOLE_LAYER
from core.records.stamp_patterns import pattern_fault
from core.records.steel import COMPONENT, COMPONENT_PLACED, DELIVERY, LOT, PIECE
from core.records.survey import SURVEY, SURVEY_STAGES
from core.records.torque import CALIBRATION, CALIBRATION_POINT, INSTRUMENT, TORQUE_READING

KINDS: tuple[Kind, ...] = (  # dependency order: a kind stands after the kinds it refers to
    SCHEDULE,
    PILE,
    INSTRUMENT,
    CALIBRATION,
    CALIBRATION_POINT,
    RUN,
    TORQUE_READING,
    GROUT_BATCH,
    GROUT_PLACEMENT,
    GROUT_SPECIMEN,
    SAMPLE_GROUP_MEMBER,
    DELIVERY,
    LOT,
    COMPONENT,
    PIECE,
    COMPONENT_PLACED,
    CERTIFICATE,
    HEAT_ON_CERTIFICATE,
    CERTIFICATE_FILE,
    QUARANTINE,
    SURVEY,
    BOREHOLE,
    BOREHOLE_LAYER,
    STAGE_RECORD,
    SIGN_OFF,
    MAPPING,
)
KIND: dict[str, Kind] = {kind.name: kind for kind in KINDS}

# One row is one thing wrong with data that came in.
PROBLEM_COLUMNS = ("kind", "file", "sheet", "row", "column", "value", "problem", "remedy")
# One row is one thing said about data that came in and stops nothing.
REMARK_COLUMNS = ("file", "sheet", "row", "remark")
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
    "EXAMPLES",
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
    "Column",
    "Event",
    "Form",
    "Kind",
    "Measure",
    "Reference",
    "Stated",
    "events_in",
    "no_problems",
    "pattern_fault",
    "typed",
]
