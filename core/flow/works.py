"""What the ledger holds of grout, steel and the survey, at one entry."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import pandas as pd


@dataclass(frozen=True)
class Works:
    """Standing rows of grout, steel and survey; each frame as the question of its name says."""

    grout_batches: pd.DataFrame
    grout_placements: pd.DataFrame
    grout_specimens: pd.DataFrame
    sample_group_members: pd.DataFrame
    components: pd.DataFrame
    components_placed: pd.DataFrame
    pieces: pd.DataFrame
    steel_certificates: pd.DataFrame
    heats_on_certificates: pd.DataFrame
    deliveries: pd.DataFrame
    lots: pd.DataFrame
    quarantines: pd.DataFrame
    surveys: pd.DataFrame


def works(ask: Callable[[str], pd.DataFrame]) -> Works:
    """All of it, each frame as ``ask`` answers the question of its name."""
    return Works(**{name: ask(name) for name in Works.__dataclass_fields__})
