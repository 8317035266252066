"""The stage of every pile from the facts, and the one state that its findings and stage give."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core import words

WHILE_DRIVEN = ("grout placed", "cut off")  # works that a pile may see before it goes deeper


def work_days(placements: pd.DataFrame, surveys: pd.DataFrame, grouted: set[str]) -> pd.DataFrame:
    """One row per pile and stage that its grout or survey shows: pile_id, stage, done_on.

    A pile is *grouted* on the day of its last placement (the run's day when it names none) and
    *surveyed* on that of its first survey; a pile of a grouted type (``grouted``) never before its
    placements.
    """
    days = placements["placed_on"].fillna(placements["run_on"])
    last = days.groupby(placements["pile_id"]).max()
    first = surveys["surveyed_on"].groupby(surveys["pile_id"]).min()
    waits = first.index.isin(grouted)
    placed = last.reindex(first.index)
    first = first.where(~waits | placed.isna() | (first >= placed), placed)
    first = first[~(waits & placed.isna())]
    parts = [
        found.rename("done_on").rename_axis("pile_id").reset_index().assign(stage=stage)
        for stage, found in (("grouted", last), ("surveyed", first))
    ]
    return pd.concat(parts, ignore_index=True)[["pile_id", "stage", "done_on"]]


def work_after_runs(
    runs: pd.DataFrame,
    placements: pd.DataFrame,
    surveys: pd.DataFrame,
    stage_records: pd.DataFrame,
) -> pd.DataFrame:
    """One row per pile and work that shows its last run ended: pile_id, work, done_on.

    Grout placed, a length cut off, a survey, and a record of a stage past *stopped*, on the day
    of the last run or later. A lift is drawn down while the toe advances, so it shows the end of
    the run from the next day on.
    """
    day = placements["placed_on"].fillna(placements["run_on"])
    advancing = placements["from_mm"] < placements["to_mm"]
    day = day + pd.to_timedelta(advancing.fillna(False).astype(int), unit="D")
    past = stage_records["stage"].map(words.STAGE_ORDER) > words.STAGE_ORDER["stopped"]
    cut = runs[runs["cut_off_mm"].notna()]
    parts = [
        pd.DataFrame({"pile_id": placements["pile_id"], "work": "grout placed", "done_on": day}),
        cut[["pile_id", "run_on"]].rename(columns={"run_on": "done_on"}).assign(work="cut off"),
        surveys[["pile_id", "surveyed_on"]]
        .rename(columns={"surveyed_on": "done_on"})
        .assign(work="surveyed"),
        stage_records.loc[past, ["pile_id", "stage", "stage_on"]].rename(
            columns={"stage": "work", "stage_on": "done_on"}
        ),
    ]
    filled = [part for part in parts if len(part)] or parts
    done = pd.concat(filled, ignore_index=True).astype({"done_on": "datetime64[us]"})
    begun = runs.groupby("pile_id")["run_on"].max()
    done = done[done["done_on"].to_numpy() >= begun.reindex(done["pile_id"]).to_numpy()]
    done = done.sort_values(["done_on", "work"]).drop_duplicates(["pile_id", "work"])
    return done[["pile_id", "work", "done_on"]].reset_index(drop=True)


def stages_reached(
    runs: pd.DataFrame, stage_records: pd.DataFrame, later: pd.DataFrame, after: pd.DataFrame
) -> pd.DataFrame:
    """One row per pile and stage reached: pile_id, stage, order, reached_on.

    A run is *installing* until it is closed (``runs`` come of ``with_open``), *stopped* when it
    ended with the shift, else *installed*; only a pile's last run says the latter two. One that
    is not closed is *installed*, too, from the day of the first work ``after`` it (of
    ``work_after_runs``), so that a missing toe defers no criterion. So is one that ended with the
    shift and was not resumed, once work follows that no crew does on a pile still to go deeper.
    ``later`` comes of ``work_days`` and counts once the pile is installed.
    """
    begun = runs.groupby("pile_id", sort=False)["run_on"].min().reset_index(name="reached_on")
    begun["stage"] = "installing"
    last = runs.groupby("pile_id", sort=False).tail(1)
    ended = last.loc[last["closed"], ["pile_id", "stop_reason", "run_on", "ended_on"]]
    end = ended.assign(reached_on=ended["ended_on"].fillna(ended["run_on"]))
    shift = end["stop_reason"].eq("end of shift")
    stopped = end[["pile_id", "reached_on"]].assign(stage="stopped")
    open_ = after["pile_id"].isin(last.loc[last["open_run"], "pile_id"])
    left = after["pile_id"].isin(end.loc[shift, "pile_id"]) & ~after["work"].isin(WHILE_DRIVEN)
    passed = after[open_ | left].groupby("pile_id")["done_on"].min()
    installed = pd.concat(
        [end.loc[~shift, ["pile_id", "reached_on"]], passed.reset_index(name="reached_on")]
    ).assign(stage="installed")
    recorded = stage_records.rename(columns={"stage_on": "reached_on"})
    parts = [begun, stopped, installed, recorded[["pile_id", "stage", "reached_on"]]]
    parts.append(_after(installed, later))
    frame = pd.concat([part for part in parts if len(part)] or parts, ignore_index=True)
    frame = frame.astype({"reached_on": "datetime64[us]"})
    frame["order"] = frame["stage"].map(words.STAGE_ORDER).astype("Int64")
    return frame[["pile_id", "stage", "order", "reached_on"]]


def _after(installed: pd.DataFrame, later: pd.DataFrame) -> pd.DataFrame:
    """``later`` of installed piles, no day before the installation."""
    done = later.merge(installed[["pile_id", "reached_on"]], on="pile_id")
    days = done[["reached_on", "done_on"]].max(axis=1)
    return done.assign(reached_on=days)[["pile_id", "stage", "reached_on"]]


def present_stage(reached: pd.DataFrame, on: pd.Timestamp) -> pd.DataFrame:
    """One row per pile: the furthest stage reached by ``on`` and since when."""
    known = reached[reached["reached_on"] <= on].sort_values(["order", "reached_on"])
    last = known.drop_duplicates("pile_id", keep="last")
    return last.rename(columns={"reached_on": "stage_on"})[["pile_id", "stage", "stage_on"]]


def pile_states(piles: pd.DataFrame, findings: pd.DataFrame, standing: set[str]) -> pd.Series:
    """The state of each row of ``piles``: the worst that its findings and its stage ask for.

    ``piles``: pile_id, stage, last_stage, replaces; ``standing``: piles with a sign-off that
    stands. A pile whose every replacement is accepted is *replaced*.
    """
    order = words.STATE_ORDER
    by_result = {
        result: order[state] for result, state in words.RESULT_STATE.items() if state is not None
    }
    of_piles = findings[findings["pile_id"].notna()]
    worst = of_piles["result"].map(by_result).groupby(of_piles["pile_id"]).min()
    rank = piles["pile_id"].map(worst).fillna(np.inf)
    stage = piles["stage"].map(words.STAGE_ORDER).astype(float)
    needed = piles["last_stage"].map(words.STAGE_ORDER).astype(float)
    begun = (stage >= words.STAGE_ORDER["installing"]) & piles["pile_id"].notna()
    finished = begun & (stage >= needed)
    by_stage = np.select(
        [~begun.to_numpy(dtype=bool), ~finished.to_numpy(dtype=bool)],
        [order["not started"], order["in progress"]],
        order["criteria met"],
    )
    places = np.minimum(rank.to_numpy(), by_stage).astype(int)
    signed = piles["pile_id"].isin(standing).to_numpy() & (places == order["criteria met"])
    places = np.where(signed, order["accepted"], places)
    state = pd.Series([words.STATES[place].word for place in places], index=piles.index)
    return state.mask(replaced(piles, state), "replaced")


def replaced(piles: pd.DataFrame, state: pd.Series) -> pd.Series:
    """Whether every pile named to replace each pile is accepted, or replaced in its turn."""
    named = piles["replaces"].notna()
    done = pd.Series(False, index=piles.index)
    for _ in range(int(named.sum())):  # a chain is at most as long as the names in it
        good = state[named].isin(words.SATISFIED) | done[named]
        every = good.groupby(piles.loc[named, "replaces"]).all()
        found = piles["pile_id"].isin(every.index[every])
        if found.equals(done):
            break
        done = found
    return done


def position_states(piles: pd.DataFrame) -> pd.DataFrame:
    """One row per position: area, live, satisfied and the worst state of the piles it needs.

    A position needs every production pile that serves it, and in place of one that is replaced
    the pile that replaces it, wherever that stands. While a replacement is not yet accepted the
    position shows *rejected*, whatever its piles show.
    """
    named = set(piles["replaces"].dropna())
    serving = piles.loc[piles["counted"] & ~piles["pile_id"].isin(named)]
    needed = pd.concat([serving[["position_id", "state"]], _elsewhere(piles, serving)])
    worst = needed["state"].map(words.STATE_ORDER).groupby(needed["position_id"]).min()
    frame = piles.drop_duplicates("position_id")[["position_id", "area", "live"]]
    place = frame["position_id"].map(worst).fillna(words.STATE_ORDER["not started"])
    state = pd.Series(
        [words.STATES[int(number)].word for number in place], index=frame.index, dtype="str"
    )
    open_ = piles.loc[piles["pile_id"].isin(named) & piles["state"].ne("replaced"), "position_id"]
    waiting = frame["position_id"].isin(open_)
    satisfied = state.isin(words.SATISFIED) & ~waiting
    return frame.assign(state=state.mask(waiting, "rejected"), satisfied=satisfied)


def _elsewhere(piles: pd.DataFrame, serving: pd.DataFrame) -> pd.DataFrame:
    """States of replacements under the position of the pile that they replace."""
    homes = piles.dropna(subset=["pile_id"]).set_index("pile_id")["position_id"]
    standing = serving.dropna(subset=["replaces"])
    return pd.DataFrame(
        {"position_id": standing["replaces"].map(homes), "state": standing["state"]}
    ).dropna()
