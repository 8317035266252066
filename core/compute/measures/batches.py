"""Density, flow and age of the batches that went into each pile."""

from __future__ import annotations

import pandas as pd

from core.compute.measures.spans import hours


def with_batches(placements: pd.DataFrame, batches: pd.DataFrame) -> pd.DataFrame:
    """``placements`` with density, flow and batch_age_h, the batch's age when each ended.

    ``batch_known`` is False where no such batch stands.
    """
    columns = ["batch_id", "mixed_at", "density_kg_m3", "flow_s"]
    frame = placements.merge(batches[columns].assign(batch_known=True), on="batch_id", how="left")
    frame["batch_known"] = frame["batch_known"].eq(True)
    return frame.assign(batch_age_h=hours(frame["ended_at"] - frame["mixed_at"]))


def batch_measures(placed: pd.DataFrame) -> pd.DataFrame:
    """One row per pile: least and greatest density and flow, greatest age, and what is unknown.

    ``placed`` comes of ``with_batches``. Beside each extreme stands the batch that gave it.
    """
    by_pile = placed.groupby("pile_id", sort=False)
    pile = placed["pile_id"]
    frame = pd.DataFrame({"batches_unknown": (~placed["batch_known"]).groupby(pile).sum()})
    frame["unknown_batch"] = placed[~placed["batch_known"]].groupby("pile_id")["batch_id"].first()
    frame["unknown_batch"] = frame["unknown_batch"].fillna("")
    for column, name in (("density_kg_m3", "density"), ("flow_s", "flow")):
        frame[f"least_{column}"] = by_pile[column].min()
        frame[f"greatest_{column}"] = by_pile[column].max()
        frame[f"least_{name}_batch"] = _batch(placed, column, least=True)
        frame[f"greatest_{name}_batch"] = _batch(placed, column, least=False)
        frame[f"{name}_unknown"] = placed[column].isna().groupby(pile).sum()
    frame["batch_age_h"] = by_pile["batch_age_h"].max()
    frame["oldest_batch"] = _batch(placed, "batch_age_h", least=False)
    frame["age_unknown"] = placed["batch_age_h"].isna().groupby(pile).sum()
    return frame


def _batch(placed: pd.DataFrame, column: str, least: bool) -> pd.Series:
    known = placed[placed[column].notna()].groupby("pile_id")[column]
    rows = placed.loc[known.idxmin() if least else known.idxmax(), ["pile_id", "batch_id"]]
    return rows.set_index("pile_id")["batch_id"]
