"""Steps of what is told of batches and specimens: the oldest at placement, the weakest result."""

from __future__ import annotations

import pandas as pd

from core.flow.worksheet.known import Known
from core.flow.worksheet.steps import Step, of_row, recorded

SUBJECT = "grout"


def steps(known: Known) -> list[Step]:
    """The greatest age of a batch at placement, and the least strength at the asked age."""
    return [*_oldest(known), *_weakest(known)]


def _oldest(known: Known) -> list[Step]:
    if pd.isna(known.row["batch_age_h"]):
        return []
    placed = known.assessment.measured.placed
    own = placed[placed["pile_id"].eq(known.row["pile_id"])]
    oldest = own.sort_values("batch_age_h", kind="stable", na_position="first").iloc[-1]
    source = f"from the mixing of batch {oldest['batch_id']} to the end of its placement"
    given = of_row(oldest, "batch_age_h", "grout_placement")
    return [recorded(SUBJECT, "batch_age_h", given, "h", source)]


def _weakest(known: Known) -> list[Step]:
    if pd.isna(known.row["grout_strength_mpa"]):
        return []
    found = known.assessment.measured.specimens
    named = "specimen " + found["specimen_id"] + " of group " + found["sample_group_id"]
    weakest = found[named.eq(known.row["weakest_specimen"])].iloc[0]
    given = of_row(weakest, "strength_mpa", "grout_specimen")
    source = f"{known.row['weakest_specimen']}, the weakest of the asked age"
    return [recorded(SUBJECT, "grout_strength_mpa", given, "MPa", source)]
