"""Rules of grout specimens: how often they are taken, and their strength."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core.judge.findings import Cases, Outcome, Rule, at_least, at_most, outcome


def sampling(cases: Cases) -> Outcome:
    """The pile stands in a sample group that is small enough, with enough specimens."""
    piles, most = cases["piles_per_group"], cases["greatest_piles_per_group"].astype(float)
    taken, least = cases["specimens_per_group"], cases["least_specimens_per_group"].astype(float)
    crowded = ~at_most(piles, most)
    few = ~crowded & ~at_least(taken, least)
    result = outcome(cases, ~crowded & ~few, piles.mask(few, taken), most.mask(few, least))
    told = pd.Series("", index=cases.index)
    told = told.mask(crowded, "piles in a group of the pile")
    result["note"] = told.mask(few, "specimens in a group of the pile")
    bare = cases["every_day"].eq(True) & cases["days_without_group"].fillna(0).gt(0)
    bare &= result["result"].eq("met")
    day = cases["day_without_group"].astype("datetime64[us]").dt.strftime("%Y-%m-%d")
    result.loc[bare, "result"] = "no evidence"
    result.loc[bare, "note"] = "no specimen was taken on " + day[bare]
    none = cases["sample_groups"].fillna(0).eq(0)
    result.loc[none, ["measured", "limit_value"]] = np.nan
    result.loc[none, "result"] = "no evidence"
    result.loc[none, "note"] = "the pile is in no sample group"
    return result


def strength(cases: Cases) -> Outcome:
    """The least single value at the criterion's age; one value below touches the whole group."""
    measured, limit = cases["grout_strength_mpa"], cases["least_mpa"].astype(float)
    result = outcome(cases, at_least(measured, limit), measured, limit)
    result["note"] = "least single value: " + cases["weakest_specimen"].fillna("")
    short = result["result"].eq("not met")
    result.loc[measured.isna(), "note"] = ""
    missing = cases["results_missing"].fillna(0).gt(0) & ~short
    late, grace = cases["results_due_days"], cases["overdue_after_days"].astype(float)
    overdue = ~at_most(late, grace)
    result["due_on"] = (cases["results_due_on"] + pd.to_timedelta(grace, unit="D")).where(missing)
    result.loc[missing & ~overdue, ["result", "note"]] = ["waiting", "a result is not in yet"]
    result.loc[missing & overdue, ["result", "note"]] = ["no evidence", "a result is overdue"]
    untested = cases["groups_untested"].fillna(0).gt(0) & ~short
    result.loc[untested, "result"] = "no evidence"
    age = cases["age_days"].astype("Float64").astype("Int64").astype("str")
    result.loc[untested, "note"] = "a group has no specimen of " + age[untested] + " days"
    none = cases["sample_groups"].fillna(0).eq(0)
    result.loc[none, "result"] = "no evidence"
    result.loc[none, "note"] = "the pile is in no sample group"
    return result


RULES: tuple[Rule, ...] = (
    Rule("grout sampling", "grout_sampling", sampling, "sample_groups"),
    Rule("grout strength", "grout_strength", strength, "grout_strength_mpa", "at least",
         "grout_strength_mpa"),
)  # fmt: skip
