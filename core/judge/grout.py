"""Rules of placed grout: records, take, batches and the level in the head."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core.judge.findings import Cases, Outcome, Rule, at_least, at_most, other_findings, outcome

NO_LIFT = "no placement is recorded"
NO_DEPTHS = "no lift in which the toe went down is recorded"


def grout_recorded(cases: Cases) -> Outcome:
    """Every lift of the pile has its volumes, its void can be worked out, its batches stand."""
    result = pd.DataFrame({"measured": np.nan, "limit_value": np.nan}, index=cases.index)
    none = cases["lifts"].fillna(0).eq(0)
    unknown = cases["batches_unknown"].fillna(0).gt(0)
    note = cases["grout_missing"].fillna("")
    lost = "batch " + cases["unknown_batch"].fillna("") + " is not on record"
    note = note.mask(note.eq("") & unknown, lost).mask(none, NO_LIFT)
    whole = note.eq("") & cases["void_l"].notna()
    result["result"] = np.where(whole, "met", "no evidence")
    result["note"] = note
    return result


def cumulative_take(cases: Cases) -> Outcome:
    """Least of the cumulative ratios at the ends of the lifts, and of the whole pile."""
    limit = cases["least_cumulative_ratio_of_criterion"]
    return _least_take(
        cases, cases["least_cumulative_ratio"], limit, "at the end of ", "thinnest_at"
    )


def lift_take(cases: Cases) -> Outcome:
    """Least ratio of one lift. A lift's volume is not the take at the lift's depth."""
    limit = cases["least_lift_ratio_of_criterion"]
    return _least_take(cases, cases["least_lift_ratio"], limit, "", "thinnest_lift")


def _least_take(
    cases: Cases, measured: pd.Series, limit: pd.Series, before: str, lift: str
) -> Outcome:
    result = outcome(cases, at_least(measured, limit), measured, limit)
    named = cases[lift].fillna("")
    result["note"] = (before + named).where(named.ne("") & measured.notna(), "")
    unknown = cases["lifts_unknown"].fillna(0).gt(0) | cases["take_ratio"].isna()
    unknown &= result["result"].ne("not met")
    result.loc[unknown, "result"] = "no evidence"
    why = cases["grout_missing"].fillna("")
    why = why.mask(cases["lifts"].fillna(0).eq(0), NO_LIFT)
    result.loc[unknown, "note"] = why[unknown]
    return result


def take_above_alarm(cases: Cases) -> Outcome:
    """Ratio of the whole pile above the project's alarm; only ever *noted*."""
    measured, limit = cases["take_ratio"], cases["alarm_ratio"]
    result = outcome(cases, at_most(measured, limit), measured, limit)
    result["result"] = result["result"].replace("not met", "noted").mask(measured.isna(), None)
    return result


def lifts_to_toe(cases: Cases) -> Outcome:
    """Widest gap between lifts down to the toe; a wider one than allowed is missing evidence."""
    measured, limit = cases["lift_gap_mm"], cases["max_gap_mm"].astype(float)
    result = outcome(cases, at_most(measured, limit), measured, limit)
    result["result"] = result["result"].replace("not met", "no evidence")
    above, below = cases["lift_above_gap"].fillna(""), cases["lift_below_gap"].fillna("")
    note = "no lift recorded between " + above + " and " + below
    note = note.mask(below.eq(""), "no lift recorded below " + above + " down to the toe")
    note = note.mask(above.eq(""), "no lift recorded above " + below)
    note = note.mask(above.eq("") & below.eq(""), NO_DEPTHS)
    missing = cases["lift_gap_missing"].fillna("")
    note = note.mask(missing.ne("") & (measured.isna() | above.eq("")), missing)
    note = note.mask(cases["lifts"].fillna(0).eq(0), NO_LIFT)
    result["note"] = note.where(result["result"].eq("no evidence"), "")
    return result


def density(cases: Cases) -> Outcome:
    """Density of every batch within the band."""
    low, high = cases["least_kg_m3"], cases["greatest_kg_m3"]
    return _in_band(cases, ("density_kg_m3", "density"), low, high)


def flow(cases: Cases) -> Outcome:
    """Time of efflux of every batch within the band."""
    return _in_band(cases, ("flow_s", "flow"), cases["least_s"], cases["greatest_s"])


def _in_band(cases: Cases, names: tuple[str, str], low: pd.Series, high: pd.Series) -> Outcome:
    """The value nearest to its end of the band, or furthest beyond it, with its batch."""
    column, name = names
    least, greatest = cases[f"least_{column}"], cases[f"greatest_{column}"]
    low, high = low.astype(float), high.astype(float)
    upper = (greatest - high) > (low - least)
    measured, limit = greatest.where(upper, least), high.where(upper, low)
    met = at_least(least, low) & at_most(greatest, high)
    result = outcome(cases, met, measured, limit)
    result["sense"] = upper.map({True: "at most", False: "at least"}).where(measured.notna(), "")
    batch = cases[f"greatest_{name}_batch"].where(upper, cases[f"least_{name}_batch"])
    result["note"] = ("batch " + batch).fillna("")
    unknown = cases[f"{name}_unknown"].fillna(0).gt(0) & result["result"].eq("met")
    result.loc[unknown, "result"] = "no evidence"
    open_ = result["result"].eq("no evidence")
    result.loc[open_, "note"] = f"a batch has no {name}"
    result.loc[cases["lifts"].fillna(0).eq(0), "note"] = NO_LIFT
    return result


def batch_age(cases: Cases) -> Outcome:
    """Greatest age of a batch when a placement of it ended."""
    measured, limit = cases["batch_age_h"], cases["greatest_h"].astype(float)
    result = outcome(cases, at_most(measured, limit), measured, limit)
    result["note"] = ("batch " + cases["oldest_batch"]).fillna("")
    unknown = cases["age_unknown"].fillna(0).gt(0) & result["result"].eq("met")
    result.loc[unknown, "result"] = "no evidence"
    open_ = result["result"].eq("no evidence")
    result.loc[open_, "note"] = "the time of mixing or the end of a placement is not recorded"
    result.loc[cases["lifts"].fillna(0).eq(0), "note"] = NO_LIFT
    return result


def level_after_placing(cases: Cases) -> Outcome:
    """Greatest fall of the grout in the head that nobody topped up."""
    measured, limit = cases["level_drop_mm"], cases["greatest_drop_mm"].astype(float)
    result = outcome(cases, at_most(measured, limit), measured, limit)
    unknown = ~cases["level_recorded"].eq(True) & result["result"].ne("not met")
    result.loc[unknown, "result"] = "no evidence"
    result.loc[unknown, "note"] = "the level after the last lift is not recorded"
    result.loc[cases["lifts"].fillna(0).eq(0), "note"] = NO_LIFT
    return result


RULES: tuple[Rule, ...] = (
    Rule("grout recorded", "grout_recorded", grout_recorded, "net_grout_l"),
    Rule("grout take", "grout_take", cumulative_take, "net_grout_l", "at least",
         "least_cumulative_ratio"),
    Rule("grout take in a lift", "grout_take", lift_take, "least_lift_ratio", "at least",
         "least_lift_ratio"),
    Rule("grout take above the alarm", "grout_take", take_above_alarm, "net_grout_l", "at most",
         "take_ratio"),
    Rule("grout lifts to the toe", "grout_lifts_to_toe", lifts_to_toe, "lift_gap_mm", "at most",
         "lift_gap_mm"),
    Rule("grout density", "grout_density", density, "batches", "", "density_kg_m3"),
    Rule("grout flow", "grout_flow", flow, "batches", "", "flow_s"),
    Rule("batch age at placement", "grout_batch_age", batch_age, "batch_age_h", "at most",
         "batch_age_h"),
    Rule("grout level after placing", "grout_level", level_after_placing, "level_drop_mm",
         "at most", "level_drop_mm"),
)  # fmt: skip


def orphan_findings(placements: pd.DataFrame) -> pd.DataFrame:
    """Placements that stand although their run no longer does, one finding per pile."""
    lost = placements[placements["run_order"].isna()]
    number = lost.groupby("pile_id").size().astype("str")
    first = lost.groupby("pile_id")["run_no"].first()
    note = (number + " placements, the first of run " + first).reset_index(name="note")
    return other_findings(
        note["pile_id"], "placement without a run", "no evidence", note["note"], "lost_grout"
    )
