"""Facts to measures: the order in which lengths, torque and requirements are worked out."""

from __future__ import annotations

from typing import Any

import pandas as pd

from core import records
from core.compute.measures import calibration
from core.compute.measures import piles as pile_measures
from core.compute.measures import torque as torque_measures
from core.flow.facts import Facts
from core.judge import states
from core.project import Project

# Parameters that measures need, by the criterion that sets them and under the measure's name.
PARAMETERS = (
    ("required_torque", "window_mm", "window_mm"),
    ("required_torque", "interval_tolerance_mm", "interval_tolerance_mm"),
    ("required_torque", "window_rule", "window_rule"),
    ("reading_gaps", "interval_mm", "interval_mm"),
    ("reading_gaps", "interval_tolerance_mm", "gap_tolerance_mm"),
    ("embedment", "measure", "embedment_measure"),
    ("disturbed_ground", "largest_helix_multiple", "disturbed_multiple"),
    ("penetration_after_stop", "stop_h", "stop_h"),
    ("penetration_after_stop", "largest_helix_multiple", "stop_multiple"),
)
_TEXTS = ("window_rule", "embedment_measure")


def measured(facts: Facts) -> tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]:
    """Frames of piles with their measures, of the profile, and of ordered runs."""
    runs = pile_measures.with_stops(facts.runs)
    zone = facts.project.tables.project.zone
    ended = runs["ended_at"].dt.tz_localize("UTC").dt.tz_convert(zone).dt.tz_localize(None)
    runs["ended_on"] = ended.dt.normalize()
    piles = _asked(facts, runs)
    with_pile = piles[piles["pile_id"].notna()]
    readings = calibration.with_torque(facts.readings, facts.certificates, facts.points)
    disturbed = pile_measures.disturbances(readings, runs, with_pile)
    piles = piles.merge(disturbed, on="pile_id", how="left")
    with_pile = piles[piles["pile_id"].notna()]
    profile = torque_measures.with_standing(readings, with_pile)
    torque = torque_measures.torque_measures(profile, with_pile)
    gaps = torque_measures.gap_measures(profile, with_pile)
    counts = torque_measures.reading_counts(profile)
    torque = torque_measures.without_open_windows(torque, gaps, with_pile)
    for part in (torque, gaps, counts):
        piles = piles.join(part, on="pile_id")
    piles = piles.merge(pile_measures.embedments(with_pile), on="pile_id", how="left")
    required = pile_measures.torque_requirements(piles[piles["pile_id"].notna()])
    piles = piles.merge(required, on="pile_id", how="left")
    return _with_stage(piles, runs, facts), profile, runs


def _asked(facts: Facts, runs: pd.DataFrame) -> pd.DataFrame:
    """Every pile with what the schedule in force, its type and the project ask of it."""
    schedule = facts.schedule.rename(
        columns={
            "required_torque_nm": "printed_torque_nm",
            "rated_torque_nm": "schedule_rated_torque_nm",
            "duty": "scheduled_duty",
        }
    )
    piles = pile_measures.pile_list(facts.schedule, facts.piles, facts.runs)
    piles = piles.merge(schedule, on="position_id", how="left")
    piles = pile_measures.located(piles)
    piles["live"] = piles["revision"].notna()
    piles["duty"] = piles["duty"].fillna(piles["scheduled_duty"]).fillna("production")
    piles["counted"] = ~piles["duty"].isin(records.OUTSIDE_PRODUCTION)
    piles = piles.merge(facts.project.types(), on="pile_type", how="left")
    piles = piles.merge(parameters(facts.project), on="pile_type", how="left")
    piles = piles.merge(pile_measures.pile_toes(runs), on="pile_id", how="left")
    piles["runs"] = piles["runs"].fillna(0).astype(int)
    compression = piles["direction"].eq("compression")
    piles["load_kn"] = piles["design_tension_kn"].where(
        ~compression, piles["design_compression_kn"]
    )
    safety = facts.project.safety_factors().rename(
        columns={"nature": "load_nature", "value": "safety_factor"}
    )
    piles = piles.merge(
        safety[["direction", "load_nature", "safety_factor"]],
        on=["direction", "load_nature"],
        how="left",
    )
    with_pile = piles[piles["pile_id"].notna()]
    factors = pile_measures.matched_torque_factors(with_pile, facts.project.torque_factors())
    return piles.merge(factors, on="pile_id", how="left")


def parameters(project: Project) -> pd.DataFrame:
    """One row per pile type: the numbers and words that measures take from its criteria."""
    frame = project.types()[["pile_type"]]
    for criterion, field, name in PARAMETERS:
        table = project.criteria(criterion).reindex(columns=["pile_type", field])
        frame = frame.merge(table.rename(columns={field: name}), on="pile_type", how="left")
    names = [name for _, _, name in PARAMETERS]
    dtypes: Any = {name: "str" if name in _TEXTS else "float64" for name in names}
    return frame.astype({**dtypes, "pile_type": "str"})


def _with_stage(piles: pd.DataFrame, runs: pd.DataFrame, facts: Facts) -> pd.DataFrame:
    """``piles`` with the stage of the pile, or of its position while no pile serves it."""
    reached = states.stages_reached(runs, facts.stage_records)
    present = states.present_stage(reached, pd.Timestamp(facts.on))
    key = piles["pile_id"].fillna(piles["position_id"])
    present = present.set_index("pile_id").reindex(key)
    return piles.assign(
        stage=present["stage"].fillna("on the schedule").to_numpy(),
        stage_on=present["stage_on"].to_numpy(),
    )
