"""The corridor of comparing: an assessment to its torque profiles side by side, group by group."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from core.assessment.assess import Assessment
from core.subjects.groups import with_group
from core.subjects.torque import profiles


@dataclass(frozen=True)
class Comparison:
    """Piles set beside their groups, standing readings, and bands by what they run along."""

    piles: pd.DataFrame
    readings: pd.DataFrame
    bands: dict[str, pd.DataFrame]


def compared(assessment: Assessment) -> Comparison:
    """Every pile of ``assessment`` beside the piles of its area and type."""
    piles = with_group(assessment.piles.reset_index(drop=True))
    readings = profiles.standing_readings(assessment.measured.profile, piles)
    parts = {along: profiles.stretches(readings, along) for along in profiles.STRETCH}
    bands = {along: profiles.bands(part, along) for along, part in parts.items()}
    share = profiles.outside_share(parts["depth_mm"], bands["depth_mm"])
    return Comparison(
        piles=profiles.against_group(piles, assessment.measured.profile, share),
        readings=readings,
        bands=bands,
    )
