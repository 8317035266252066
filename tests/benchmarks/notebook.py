"""The same acceptance as somebody writes it in a notebook: plain pandas, a loop over the piles.

It answers less than the program: no calibration, no revision, no ledger. It is the pace to beat.
"""

from __future__ import annotations

import io

import pandas as pd

WINDOW_M, TOLERANCE_M, INTERVAL_M = 0.9, 0.01, 0.3
VOID_L_PER_M, LEAST_TAKE = 25.2, 1.1


def accepted(files: dict[str, str]) -> pd.DataFrame:
    """One row per pile: final torque, toe, gaps, length of its string, and whether all are met."""
    schedule = pd.read_csv(io.StringIO(files["schedule.csv"])).set_index("Position")
    log = pd.read_csv(io.StringIO(files["log.csv"]))
    components = pd.read_csv(io.StringIO(files["components.csv"])).set_index("Stamp")
    placed = pd.read_csv(io.StringIO(files["placed.csv"]))
    placements = pd.read_csv(io.StringIO(files["placements.csv"]))
    given = placements["Batched (L)"] - placements[["Left (L)", "Spilled (L)"]].sum(axis=1)
    grouted = (placements["To (m)"] - placements["From (m)"]) * VOID_L_PER_M
    take = given.groupby(placements["Pile"]).sum() / grouted.groupby(placements["Pile"]).sum()
    lengths = placed["Stamp"].map(components["Length (m)"]).groupby(placed["Pile"]).sum()
    rows = []
    for pile, run in log.groupby("Pile"):
        one = _one(pile, run.sort_values("Depth (m)"), schedule.loc[pile], lengths[pile])
        rows.append({**one, "take": take[pile] >= LEAST_TAKE})
    return pd.DataFrame(rows)


def _one(pile: str, run: pd.DataFrame, asked: pd.Series, placed_m: float) -> dict[str, object]:
    toe = run["Toe depth (m)"].iloc[-1]
    window = run[toe - run["Depth (m)"] < WINDOW_M - TOLERANCE_M]["Torque (kN·m)"]
    required = asked["Required torque (kN·m)"]
    gaps = run["Depth (m)"].diff().dropna() > INTERVAL_M + TOLERANCE_M
    ground = placed_m - run["Cut off (m)"].iloc[-1] - run["Stick-up (m)"].iloc[-1]
    met = {
        "mean": window.mean() >= required,
        "last": run["Torque (kN·m)"].iloc[-1] >= required,
        "without_greatest": window.drop(window.idxmax()).mean() >= required,
        "embedment": toe >= asked["Minimum embedment (m)"],
        "gaps": not gaps.any(),
        "length": abs(ground - toe) <= 0.05,
    }
    return {"pile": pile, "final_torque": window.mean(), **met, "all": all(met.values())}
