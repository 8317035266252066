"""Piles beside others: torque of an area and type, grout of lifts, batches and days."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from core.assessment.assess import Assessment
from core.assessment.measuring import gap_frame
from core.subjects.frames import with_group
from core.subjects.grout import frames as grout_frames
from core.subjects.grout.frames import grouted_piles, lift_points, takes_by_group, with_gaps
from core.subjects.torque import frames as torque_frames


@dataclass(frozen=True)
class Comparison:
    """Piles set beside their groups, current readings, and bands by what they run along."""

    piles: pd.DataFrame
    readings: pd.DataFrame
    bands: dict[str, pd.DataFrame]


def compared(assessment: Assessment) -> Comparison:
    """Every pile of ``assessment`` beside the piles of its area and type."""
    piles = with_group(assessment.piles.reset_index(drop=True))
    readings = torque_frames.current_readings(assessment.measured.profile, piles)
    parts = {along: torque_frames.stretches(readings, along) for along in torque_frames.STRETCH}
    bands = {along: torque_frames.bands(part, along) for along, part in parts.items()}
    share = torque_frames.outside_share(parts["depth_mm"], bands["depth_mm"])
    return Comparison(
        piles=torque_frames.compared_with_group(piles, assessment.measured.profile, share),
        readings=readings,
        bands=bands,
    )


@dataclass(frozen=True)
class Grouting:
    """Frames of grout, each as the function of its name in compute says.

    ``gaps``: between lifts, those wider than the project allows.

    ``piles``: with their thinnest lift; ``groups``: of piles, by area and type; ``lifts``: in the
    order pile, work; ``samples`` and ``strengths``: by sample group, and by its ages too.
    """

    piles: pd.DataFrame
    groups: pd.DataFrame
    lifts: pd.DataFrame
    gaps: pd.DataFrame
    batches: pd.DataFrame
    days: pd.DataFrame
    samples: pd.DataFrame
    strengths: pd.DataFrame
    specimens: pd.DataFrame


def grouting(assessment: Assessment) -> Grouting:
    """The grout of ``assessment``."""
    piles = grouted_piles(assessment.piles, assessment.measured.lifts)
    specimens, sampled = assessment.measured.specimens, assessment.measured.sampled
    gaps = wide_gaps(assessment, assessment.piles)
    return Grouting(
        piles=piles,
        groups=takes_by_group(piles),
        lifts=lift_points(assessment.measured.lifts, piles, gaps),
        gaps=gaps,
        batches=grout_frames.used_batches(assessment.measured.batches, assessment.measured.placed),
        days=grout_frames.days(assessment.measured.placed, specimens, sampled),
        samples=grout_frames.sample_groups(specimens, sampled, pd.Timestamp(assessment.on)),
        strengths=grout_frames.strengths(specimens),
        specimens=specimens,
    )


def wide_gaps(assessment: Assessment, piles: pd.DataFrame) -> pd.DataFrame:
    """Gaps between the lifts of ``piles`` that are wider than the project allows their type."""
    rows = assessment.project.criteria("grout_lifts_to_toe")
    rows = rows.reindex(columns=["pile_type", "max_gap_mm"]).set_index("pile_type")
    known = piles.dropna(subset=["pile_id"]).set_index("pile_id")
    limit = known["pile_type"].map(rows["max_gap_mm"]).astype("float64")
    gaps = gap_frame(assessment.measured.tables.grout)
    wide = gaps["gap_to_mm"] - gaps["gap_from_mm"] > gaps["pile_id"].map(limit)
    return gaps[wide].reset_index(drop=True)


def lifts_of_pile(assessment: Assessment, pile_id: str) -> pd.DataFrame:
    """Lifts of one pile in the order of the work, and where a gap lies between them."""
    lifts, piles = assessment.measured.lifts, assessment.piles
    own = lifts[lifts["pile_id"].eq(pile_id)].reset_index(drop=True)
    if own.empty:
        return own
    gaps = wide_gaps(assessment, piles[piles["pile_id"].eq(pile_id)])
    return with_gaps(own, gaps)
