"""Where torque does not count: after a long stop, and in ground that turning has disturbed."""

from __future__ import annotations

import pandas as pd

from core import units

HOURS_OF_A_DAY = units.factor("day", "hour")


def with_stops(runs: pd.DataFrame) -> pd.DataFrame:
    """``runs``, in the order of the work, with the hours since the pile's run before ended.

    Without times the stop is taken as long as the two days allow.
    """
    by_pile = runs.groupby("pile_id", sort=False)
    timed = hours(runs["started_at"] - by_pile["ended_at"].shift())
    longest = hours(runs["run_on"] - by_pile["run_on"].shift()) + HOURS_OF_A_DAY
    return runs.assign(hours_since_last_run=timed.fillna(longest))


def hours(span: pd.Series) -> pd.Series:
    """Each span of time in hours."""
    found: pd.Series = span.dt.total_seconds() * units.factor("second", "hour")
    return found


def reach(readings: pd.DataFrame, runs: pd.DataFrame) -> pd.DataFrame:
    """``runs`` with the depths that each advanced over, and the greatest depth before it."""
    advancing = readings[readings["direction"].ne("reversed")]
    depths = advancing.groupby(["pile_id", "run_no"])["depth_mm"].agg(["min", "max"])
    frame = runs.merge(depths.astype(float).reset_index(), on=["pile_id", "run_no"], how="left")
    frame["deepest"] = frame[["toe_mm", "max"]].astype(float).max(axis=1)
    by_pile = frame.groupby("pile_id", sort=False)
    frame["before"] = by_pile["deepest"].cummax().groupby(frame["pile_id"]).shift()
    toe = frame["toe_mm"].astype(float)
    frame["again"] = (
        frame["why"].eq("re-advanced") | (frame["min"] < frame["before"]) | (toe < frame["before"])
    )
    return frame


def disturbed_ground(
    readings: pd.DataFrame, reach: pd.DataFrame, piles: pd.DataFrame
) -> pd.DataFrame:
    """One row per pile: disturbed_toe_mm, the earlier toe, and void_to_mm below it.

    Ground is disturbed down to the earlier toe by a run that goes over it again or ends above it,
    and by reverse turning. ``piles`` gives disturbed_multiple and largest_helix_mm.
    """
    again = reach["before"].where(reach["again"]).groupby(reach["pile_id"]).max()
    asked = piles.set_index("pile_id")
    toes = pd.concat([again, _reversed_toes(readings, reach)], axis=1).max(axis=1)
    toes = toes.astype(float).reindex(asked.index)
    void = toes + asked["disturbed_multiple"] * asked["largest_helix_mm"]
    return pd.DataFrame({"disturbed_toe_mm": toes, "void_to_mm": void}).reset_index()


def _reversed_toes(readings: pd.DataFrame, reach: pd.DataFrame) -> pd.Series:
    """Per pile, the greatest depth reached when it last turned in reverse.

    Within a run the rows stand in the order in which they were read.
    """
    key = ["pile_id", "run_no"]
    turned = readings[readings["direction"].eq("reversed")]
    last = turned.groupby(key)["row_no"].max().rename("last_turn").reset_index()
    run = readings.merge(last, on=key)
    own = run[run["row_no"] <= run["last_turn"]].groupby(key)["depth_mm"].max()
    before = reach.set_index(key)["before"].reindex(own.index)
    reached = pd.concat([own.astype(float), before.astype(float)], axis=1).max(axis=1)
    return reached.groupby("pile_id").max()


def long_stops(readings: pd.DataFrame, reach: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """One row per stop longer than stop_h: stop_from_mm, its toe, and stop_to_mm below it.

    Stops lie between runs, or within one where the times of its readings show them. ``piles``
    gives stop_h, stop_multiple and largest_helix_mm.
    """
    asked = piles.set_index("pile_id")
    limit = asked["stop_h"].astype(float)
    waited = reach["hours_since_last_run"] > reach["pile_id"].map(limit).astype(float)
    between = reach.loc[waited & ~reach["again"], ["pile_id", "before"]]
    parts = [between.rename(columns={"before": "stop_from_mm"})]
    read = readings[readings["read_at"].notna() & readings["direction"].ne("reversed")]
    if len(read):
        by_run = read.sort_values("depth_mm").groupby(["pile_id", "run_no"], sort=False)
        since = hours(read["read_at"] - by_run["read_at"].shift())
        within = since > read["pile_id"].map(limit).astype(float)
        above = by_run["depth_mm"].shift().astype(float)
        parts.append(pd.DataFrame({"pile_id": read["pile_id"], "stop_from_mm": above})[within])
    stops = pd.concat(parts, ignore_index=True).dropna()
    below = (asked["stop_multiple"] * asked["largest_helix_mm"]).astype(float)
    return stops.assign(
        stop_to_mm=stops["stop_from_mm"] + stops["pile_id"].map(below).astype(float)
    )


def read_after_a_stop(readings: pd.DataFrame, stops: pd.DataFrame) -> pd.Series:
    """Whether each reading lies in the new penetration that a long stop asks for."""
    near = readings.loc[readings["pile_id"].isin(stops["pile_id"]), ["pile_id", "depth_mm"]]
    pairs = near.reset_index(names="reading").merge(stops, on="pile_id")
    depth = pairs["depth_mm"].astype(float)
    inside = (depth > pairs["stop_from_mm"]) & (depth <= pairs["stop_to_mm"])
    return readings.index.to_series().isin(pairs.loc[inside, "reading"])


def gone_over_again(readings: pd.DataFrame, reach: pd.DataFrame) -> pd.Series:
    """Whether a later run advanced over the depth of each reading, down to that run's toe."""
    later = reach[reach["pile_id"].duplicated(keep=False)]
    several = later["pile_id"].unique()
    later = later[["pile_id", "run_order", "min", "deepest"]].rename(columns={"run_order": "later"})
    some = readings.loc[
        readings["pile_id"].isin(several), ["pile_id", "run_order", "depth_mm"]
    ].reset_index(names="reading")
    pairs = some.merge(later, on="pile_id")
    depth = pairs["depth_mm"].astype(float)
    covered = (pairs["later"] > pairs["run_order"]) & depth.between(pairs["min"], pairs["deepest"])
    return readings.index.to_series().isin(pairs.loc[covered, "reading"])
