"""The corridor of one string: an assessment and a pile to what lies where along its axis."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from core.assessment.assess import Assessment
from core.subjects.steel import along_axis


@dataclass(frozen=True)
class StringLayout:
    """One pile along its axis: components and helices by depth, the grout column, and the axis.

    ``parts``: place, component, stamp, length_mm, bottom_mm, top_mm; ``helices``: helix_mm,
    depth_mm; ``column``: from_mm, to_mm, bore_mm. NaN stands for what is not known.
    """

    parts: pd.DataFrame
    helices: pd.DataFrame
    column: pd.DataFrame
    toe_mm: float
    first_disc_mm: float
    disc_mm: float
    cut_off_level_mm: float
    cut_mm: float
    batter_deg: float
    azimuth_deg: float
    shaft_mm: float


def string_placed(assessment: Assessment, pile_id: str) -> pd.DataFrame:
    """The chain of the last string of one pile: one row per piece of steel, from the toe up."""
    chain = assessment.measured.chain
    own = chain[chain["pile_id"].eq(pile_id) & chain["latest"]]
    return own.sort_values("place", kind="stable").reset_index(drop=True)


def string_layout(assessment: Assessment, pile: pd.Series) -> StringLayout:
    """Where the last string of ``pile``, a row of the assessment's piles, lies."""
    chain = string_placed(assessment, pile["pile_id"])
    toe = float(pile["toe_mm"])
    parts = along_axis.parts_along_axis(chain.drop_duplicates("place"), toe)
    batter = _batter(pile)
    ground = pile["run_ground_level_m"]
    ground = pile["ground_level_m"] if pd.isna(ground) else ground
    return StringLayout(
        parts=parts,
        helices=_helices(assessment, pile, parts),
        column=along_axis.grout_column(pile),
        toe_mm=toe,
        first_disc_mm=toe - float(pile["first_disc_depth_mm"]),
        disc_mm=float(pile["disc_mm"]),
        cut_off_level_mm=along_axis.level_depth(ground, pile["cutoff_level_m"], batter),
        cut_mm=float(parts["top_mm"].min(skipna=False)) + float(pile["cut_off_mm"]),
        batter_deg=batter,
        azimuth_deg=float(pile["azimuth_deg"]),
        shaft_mm=float(pile["outside_diameter_mm"]),
    )


def _batter(pile: pd.Series) -> float:
    """The design batter; a pile that is no anchor stands upright when the schedule gives none."""
    upright = pd.isna(pile["batter_deg"]) and pile["element"] != "helical anchor"
    return 0.0 if upright else float(pile["batter_deg"])


def _helices(assessment: Assessment, pile: pd.Series, parts: pd.DataFrame) -> pd.DataFrame:
    """Helices of the lead as its own record names them, else as the type does."""
    sets = assessment.project.tables.helix_sets
    recorded = parts.loc[parts["place"].eq(1), "helix_set"].dropna()
    named = [name for name in (*recorded, pile["helix_set"]) if name in sets]
    if not named:
        return along_axis.helices_along_axis((), 0.0, float(pile["toe_mm"]))
    held = sets[named[0]]
    return along_axis.helices_along_axis(
        held.helix_mm, held.top_helix_above_toe_mm, float(pile["toe_mm"])
    )
