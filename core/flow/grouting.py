"""The corridor of grouting: an assessment to its takes side by side, batches, days and samples."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from core.compute.measures import samples, take_profiles
from core.flow.assessing import Assessment


@dataclass(frozen=True)
class Grouting:
    """Frames of grout, each as the function of its name in compute says.

    ``piles``: with their thinnest lift; ``groups``: of piles, by area and type; ``lifts``: in the
    order pile, work; ``samples`` and ``strengths``: by sample group, and by its ages too.
    """

    piles: pd.DataFrame
    groups: pd.DataFrame
    lifts: pd.DataFrame
    batches: pd.DataFrame
    days: pd.DataFrame
    samples: pd.DataFrame
    strengths: pd.DataFrame
    specimens: pd.DataFrame


def grouting(assessment: Assessment) -> Grouting:
    """The grout of ``assessment``."""
    piles = take_profiles.grouted_piles(assessment.piles, assessment.lifts)
    specimens, sampled = assessment.specimens, assessment.sampled
    return Grouting(
        piles=piles,
        groups=take_profiles.group_takes(piles),
        lifts=take_profiles.lift_points(assessment.lifts, piles),
        batches=samples.used_batches(assessment.batches, assessment.placed),
        days=samples.days(assessment.placed, specimens, sampled),
        samples=samples.sample_groups(specimens, sampled, pd.Timestamp(assessment.on)),
        strengths=samples.strengths(specimens),
        specimens=specimens,
    )
