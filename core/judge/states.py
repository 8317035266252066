"""The stage of every pile from the facts, and the one state that its findings and stage give."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core import words


def stages_reached(runs: pd.DataFrame, stage_records: pd.DataFrame) -> pd.DataFrame:
    """One row per pile and stage reached: pile_id, stage, order, reached_on.

    A run is *installing* while it has no reason for stopping, *stopped* when it ended with the
    shift, else *installed*; only a pile's last run says the latter two.
    """
    begun = runs.groupby("pile_id", sort=False)["run_on"].min().reset_index(name="reached_on")
    begun["stage"] = "installing"
    last = runs.groupby("pile_id", sort=False).tail(1)
    ended = last.loc[last["stop_reason"].notna(), ["pile_id", "stop_reason", "run_on", "ended_on"]]
    end = ended.assign(reached_on=ended["ended_on"].fillna(ended["run_on"]))
    shift = end["stop_reason"].eq("end of shift")
    stopped = end[["pile_id", "reached_on"]].assign(stage="stopped")
    installed = end.loc[~shift, ["pile_id", "reached_on"]].assign(stage="installed")
    recorded = stage_records.rename(columns={"stage_on": "reached_on"})
    parts = [begun, stopped, installed, recorded[["pile_id", "stage", "reached_on"]]]
    frame = pd.concat([part for part in parts if len(part)] or parts, ignore_index=True)
    frame = frame.astype({"reached_on": "datetime64[us]"})
    frame["order"] = frame["stage"].map(words.STAGE_ORDER).astype("Int64")
    return frame[["pile_id", "stage", "order", "reached_on"]]


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
    begun = stage >= words.STAGE_ORDER["installing"]
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
    return state.mask(_replaced(piles, state), "replaced")


def _replaced(piles: pd.DataFrame, state: pd.Series) -> pd.Series:
    named = piles["replaces"].notna()
    satisfied = state[named].isin(words.SATISFIED)
    every = satisfied.groupby(piles.loc[named, "replaces"]).all()
    return piles["pile_id"].isin(every.index[every])


def position_states(piles: pd.DataFrame) -> pd.DataFrame:
    """One row per position: area, live, satisfied and the worst state of the piles it needs.

    A position needs every pile that serves it except those that another pile replaces; while a
    replacement is not yet accepted the position shows *rejected*, whatever its piles show.
    """
    replaced = set(piles["replaces"].dropna())
    needed = piles[~piles["pile_id"].isin(replaced)]
    rank = needed["state"].map(words.STATE_ORDER)
    worst = rank.groupby(needed["position_id"]).min()
    frame = piles.drop_duplicates("position_id")[["position_id", "area", "live"]]
    place = frame["position_id"].map(worst).fillna(words.STATE_ORDER["not started"])
    state = pd.Series(
        [words.STATES[int(number)].word for number in place], index=frame.index, dtype="str"
    )
    satisfied = state.isin(words.SATISFIED)
    waiting = frame["position_id"].isin(
        piles.loc[piles["pile_id"].isin(replaced) & piles["state"].ne("replaced"), "position_id"]
    )
    return frame.assign(state=state.mask(waiting, "rejected"), satisfied=satisfied & ~waiting)
