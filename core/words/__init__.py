"""Words of the trade that the program shows: states, stages, results and finding kinds, once."""

from core.words.cautions import CAUTIONS, STEEL_CAUTIONS
from core.words.findings import (
    BLOCKS,
    EDITION,
    FINDING_KIND,
    FINDING_KINDS,
    OWNERS,
    FindingKind,
)
from core.words.states import (
    OPEN_RESULTS,
    RESULT_STATE,
    RESULTS,
    SATISFIED,
    STAGE_ORDER,
    STAGES,
    STATE,
    STATE_ORDER,
    STATES,
    Stage,
    State,
)

__all__ = [
    "BLOCKS",
    "CAUTIONS",
    "EDITION",
    "FINDING_KIND",
    "FINDING_KINDS",
    "OPEN_RESULTS",
    "OWNERS",
    "RESULTS",
    "RESULT_STATE",
    "SATISFIED",
    "STAGES",
    "STAGE_ORDER",
    "STATE",
    "STATES",
    "STATE_ORDER",
    "STEEL_CAUTIONS",
    "FindingKind",
    "Stage",
    "State",
]
