"""The register of steel against the ground: what is placed of each delivery, and what is left.

Frames in, frames out; no limits. ``chain`` is that of `frames`; only the strings of each
pile's last run count as placed, because a pile driven anew lists its whole string again.
"""

from __future__ import annotations

import pandas as pd

DELIVERY = ["stamp", "delivery_id"]
PLACE = ["pile_id", "run_no", "place"]
COUNTS = ["quantity", "placed", "left_over", "scrapped"]


def places(chain: pd.DataFrame) -> pd.DataFrame:
    """One row per component in the ground: the first row of its pieces."""
    return chain[chain["latest"]].drop_duplicates(PLACE)


def distinct(chain: pd.DataFrame) -> pd.DataFrame:
    """One row per piece of steel: of a piece that may be of several heats the first row of it."""
    return chain[~chain[PLACE].assign(piece=_piece(chain)).duplicated()]


def _piece(chain: pd.DataFrame) -> pd.Series:
    """Name of the piece in its place; rows for the heats that one may be of have the same."""
    return chain["piece"].mask(chain["one_of"].gt(1), "")


def stock(components: pd.DataFrame, chain: pd.DataFrame) -> pd.DataFrame:
    """``components`` with ``placed``, counted in the ground, and ``not_placed``.

    Below 0 is how many are too many. A quantity that is not recorded is 1; nothing
    recorded as left over or scrapped is 0.
    """
    used = places(chain[chain["on_register"]]).groupby(DELIVERY).size().rename("placed")
    frame = components.merge(used.reset_index(), on=DELIVERY, how="left")
    frame["quantity"] = frame["quantity"].fillna(1)
    for name in COUNTS[1:]:
        frame[name] = frame[name].fillna(0).astype("Int64")
    rest = frame["quantity"] - frame["placed"] - frame["scrapped"]
    return frame.assign(not_placed=rest)


def over_used(stock: pd.DataFrame, chain: pd.DataFrame) -> pd.DataFrame:
    """One row per stamp of a lot that is used beyond what was delivered, with ``too_many``.

    Counted by stamp over its deliveries: what is placed need not say which one it came with.
    """
    lots = chain.loc[chain["stamp_is"].eq("lot"), "stamp"]
    of_lot = stock["stamp"].isin(lots)
    use = stock[of_lot].groupby("stamp")[["quantity", "left_over", "scrapped"]].sum()
    use["placed"] = places(chain).groupby("stamp").size().reindex(use.index).fillna(0)
    use = use.astype("Int64").reset_index()
    use["too_many"] = use["placed"] + use["left_over"] + use["scrapped"] - use["quantity"]
    return use[use["too_many"] > 0].reset_index(drop=True)


def used_twice(chain: pd.DataFrame) -> pd.DataFrame:
    """Every place of a stamp that is one single component's and stands in more than one."""
    single = places(chain[chain["stamp_is"].eq("piece")])
    keys = [single["stamp"], single["delivery_id"].fillna("")]
    again = single[single.groupby(keys)["place"].transform("size") > 1]
    return again.sort_values(["stamp", "run_order", "place"], kind="stable")


def remnants(components: pd.DataFrame, chain: pd.DataFrame) -> pd.DataFrame:
    """One row per component cut from another, with ``pile_id`` where it stands; missing: nowhere.

    ``parent_known``: the component that it was cut from is on the register.
    """
    cut = components[components["cut_from"].notna()]
    where = places(chain)[["stamp", "pile_id"]].drop_duplicates("stamp")
    frame = cut.merge(where, on="stamp", how="left")
    return frame.assign(parent_known=frame["cut_from"].isin(components["stamp"]))


def coverage(chain: pd.DataFrame, by: str = "area") -> pd.DataFrame:
    """One row per area or supplier, and one without a name for all: what is in the ground, traced.

    ``chain`` carries the column ``by`` and ``gap``, which is empty where a piece lacks nothing
    that is asked. A component's length counts as traced when every piece of it does. Shares
    are missing where there is nothing to trace.
    """
    held = chain[chain["latest"]].assign(whole=lambda rows: rows["gap"].eq(""))
    held["whole_place"] = held.groupby(PLACE)["whole"].transform("all")
    keys = [*(held[name] for name in PLACE), _piece(held)]
    held["whole"] = held["whole"].groupby(keys, dropna=False).transform("all")
    groups = held[by].fillna("not known").replace("", "not known")
    parts = [_covered(by, str(name), part) for name, part in held.groupby(groups)]
    return pd.DataFrame([*parts, _covered(by, "", held)])


def _covered(by: str, name: str, held: pd.DataFrame) -> dict[str, object]:
    lengths = held.drop_duplicates(PLACE)
    traced = lengths.loc[lengths["whole_place"].astype(bool), "length_mm"]
    held = distinct(held)
    whole, length = int(held["whole"].sum()), float(lengths["length_mm"].sum())
    return {
        by: name,
        "piles": held["pile_id"].nunique(),
        "components": len(lengths),
        "pieces": len(held),
        "pieces_traced": whole,
        "pieces_share": whole / len(held) if len(held) else float("nan"),
        "length_mm": length,
        "traced_mm": float(traced.sum()),
        "length_share": float(traced.sum()) / length if length else float("nan"),
    }
