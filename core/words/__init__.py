"""Words of the trade that the program shows: states, stages and results, once."""

from core.words.cautions import CAUTIONS, STEEL_CAUTIONS
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
    "CAUTIONS",
    "OPEN_RESULTS",
    "RESULTS",
    "RESULT_STATE",
    "SATISFIED",
    "STAGES",
    "STAGE_ORDER",
    "STATE",
    "STATES",
    "STATE_ORDER",
    "STEEL_CAUTIONS",
    "Stage",
    "State",
]
