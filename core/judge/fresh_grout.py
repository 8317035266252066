"""Rules of work near grout that is fresh: the pile turned again, and a pile close by."""

from __future__ import annotations

from core.judge.findings import Cases, Outcome, Rule, at_least, at_most, outcome
from core.judge.grout import NO_LIFT

# IBC 2018, 1810.4.10 (read): no drilling beside fresh grout. The distance and the hours are the
# project's, with their clause.


def turned_after_set(cases: Cases) -> Outcome:
    """Hours from the end of the last earlier placement until the pile turned again.

    Where times are missing, only what the days prove or exclude is decided.
    """
    limit = cases["initial_set_h"].astype(float)
    proven, possible = cases["turned_h"], cases["turned_possible_h"]
    turned = ~at_most(proven, limit) & proven.notna()
    unknown = ~turned & ((possible > limit) & ~at_most(possible, limit))
    unknown |= ~turned & cases["untimed_placements"].fillna(0).gt(0)
    result = outcome(cases, ~turned, proven, limit)
    result["result"] = "met"
    result.loc[proven.isna(), "note"] = "not turned after a placement, by the record"
    result.loc[turned, "result"] = "not met"
    result.loc[unknown, "result"] = "no evidence"
    result.loc[unknown, "note"] = "times of runs or placements are not recorded"
    none = cases["lifts"].fillna(0).eq(0)
    result.loc[none, ["result", "note"]] = ["no evidence", NO_LIFT]
    return result


def fresh_neighbour(cases: Cases) -> Outcome:
    """Age of the youngest grout close by while the pile was worked."""
    limit = cases["least_h"].astype(float)
    proven, possible = cases["fresh_h"], cases["fresh_possible_h"]
    fresh = ~at_least(proven, limit) & proven.notna()
    unknown = ~fresh & ~at_least(possible, limit) & possible.notna()
    result = outcome(cases, ~fresh, proven, limit)
    result["result"] = "met"
    result["note"] = ("pile " + cases["fresh_neighbour"]).fillna("no grout within the distance")
    result.loc[fresh, "result"] = "not met"
    result.loc[unknown, "result"] = "no evidence"
    result.loc[unknown, "note"] += ": times of runs or placements are not recorded"
    nowhere = cases["easting_m"].isna() | cases["northing_m"].isna()
    result.loc[nowhere, ["result", "note"]] = ["no evidence", "the pile has no place in plan"]
    return result


RULES: tuple[Rule, ...] = (
    Rule("turned after initial set", "grout_set", turned_after_set, "turned_h", "at most",
         "turned_h"),
    Rule("fresh neighbour", "fresh_neighbours", fresh_neighbour, "fresh_h", "at least", "fresh_h"),
)  # fmt: skip
