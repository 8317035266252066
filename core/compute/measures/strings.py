"""The string of every pile: its lengths, its least torque rating, what is used twice."""

from __future__ import annotations

import pandas as pd

from core.compute import steel as formulas


def string_measures(strings: pd.DataFrame, runs: pd.DataFrame, toes: pd.DataFrame) -> pd.DataFrame:
    """One row per pile with a run: its last string, its lengths and its first place.

    ``toes`` gives pile_id and toe_mm. ``components``: places of the string; ``missing_place``: the
    first that no row gives; ``string_run``: the run that lists it. Cut-off and stick-up are those
    of the last run, whichever run lists the string.
    """
    last = runs.groupby("pile_id", sort=False).tail(1).set_index("pile_id")
    held = strings[strings["latest"]]
    by_pile = held.groupby("pile_id")
    frame = last[["run_no", "cut_off_mm", "stick_up_mm"]].astype(
        {"cut_off_mm": "float64", "stick_up_mm": "float64"}
    )
    length = held["length_mm"].astype("float64")
    whole = length.notna().groupby(held["pile_id"]).all().reindex(frame.index)
    total = length.groupby(held["pile_id"]).sum().reindex(frame.index)
    frame["placed_length_mm"] = total.where(whole.eq(True))
    frame["components"] = by_pile.size().reindex(frame.index).fillna(0).astype(int)
    frame["missing_place"] = _missing_place(held).reindex(frame.index)
    frame["string_run"] = held.groupby("pile_id")["run_no"].first()
    loose = held[held["bolts"].eq("not fitted")]
    frame["loose_bolts"] = loose.groupby("pile_id")["place"].min().astype("float64")
    lead = held[held["place"].eq(1)].set_index("pile_id")
    for name in ("section", "helix_set"):
        frame[f"lead_{name}"] = lead[name].reindex(frame.index)
    frame["lead_stamp"] = lead["stamp"].reindex(frame.index)
    frame["string_length_mm"] = formulas.length_in_ground(
        frame["placed_length_mm"], frame["cut_off_mm"], frame["stick_up_mm"]
    )
    toe = toes.dropna(subset=["pile_id"]).set_index("pile_id")["toe_mm"].reindex(frame.index)
    frame["length_difference_mm"] = (frame["string_length_mm"] - toe.astype(float)).abs()
    return frame.drop(columns="run_no")


def _missing_place(held: pd.DataFrame) -> pd.Series:
    """Per pile the first place from the toe up that no row gives; nothing when none is missing."""
    ordered = held.sort_values(["pile_id", "place"])
    counted = ordered.groupby("pile_id").cumcount().astype("float64") + 1
    gap = counted[ordered["place"].astype("float64") != counted]
    first: pd.Series = gap.groupby(ordered["pile_id"]).min()
    return first


def component_ratings(strings: pd.DataFrame) -> pd.DataFrame:
    """One row per pile with a rated component: the least rating, its stamp and its document.

    Every run counts: the torque of an earlier run went through its string, too.
    ``component_undocumented``: a stamp whose rating no document gives.
    """
    rated = strings[strings["rated_torque_nm"].notna() & strings["pile_id"].notna()]
    least = rated.sort_values("rated_torque_nm", kind="stable").drop_duplicates("pile_id")
    bare = rated[rated["rated_torque_document"].fillna("").eq("")].drop_duplicates("pile_id")
    frame = least.set_index("pile_id")[["rated_torque_nm", "stamp"]].rename(
        columns={"rated_torque_nm": "component_rated_torque_nm", "stamp": "component_rated_stamp"}
    )
    frame["component_undocumented"] = bare.set_index("pile_id")["stamp"].astype("str")
    return frame.reset_index()


def used_twice(strings: pd.DataFrame) -> pd.DataFrame:
    """Every place of a piece-stamped component that stands in another place, too.

    Of each pile the last run with a string.
    """
    single = strings[strings["latest"] & strings["stamp_is"].eq("piece")]
    keys = [single["stamp"], single["delivery_id"].fillna("")]
    return single[single.groupby(keys)["place"].transform("size") > 1]


def stamps_again(strings: pd.DataFrame) -> pd.DataFrame:
    """Places of ``used_twice``; ``other_pile`` and ``other_place`` name another of the stamp."""
    again = used_twice(strings)[["pile_id", "place", "stamp", "delivery_id"]]
    again = again.assign(delivery_id=again["delivery_id"].fillna(""))
    other = again.rename(columns={"pile_id": "other_pile", "place": "other_place"})
    pairs = again.merge(other, on=["stamp", "delivery_id"])
    same = pairs["pile_id"].eq(pairs["other_pile"]) & pairs["place"].eq(pairs["other_place"])
    return pairs[~same].drop_duplicates(["pile_id", "place"]).reset_index(drop=True)


def cut_use(strings: pd.DataFrame, components: pd.DataFrame, runs: pd.DataFrame) -> pd.DataFrame:
    """One row per stamp that others are cut from: what was made of its length.

    ``cut_from``: the stamp; ``parent_known``: it is on the register; ``delivered_mm``,
    ``ground_mm`` (placed less what was cut off the top), ``remnants_mm`` (cut from it).
    Missing where a length is not recorded.
    """
    cut = components[components["cut_from"].notna()]
    lengths = components["quantity"].fillna(1) * components["length_mm"]
    delivered = _whole_sum(lengths, components["stamp"])
    held = strings[strings["latest"]]
    last = runs.groupby("pile_id", sort=False).tail(1).set_index("pile_id")["cut_off_mm"]
    shafts = held["place"].where(held["length_mm"].fillna(1).gt(0))  # no cap, sleeve or bolt
    top = held["place"].eq(shafts.groupby(held["pile_id"]).transform("max"))
    off = held["pile_id"].map(last).astype("float64").where(top, 0.0)
    ground = _whole_sum(held["length_mm"].astype("float64") - off, held["stamp"])
    frame = pd.DataFrame({"remnants_mm": _whole_sum(lengths[cut.index], cut["cut_from"])})
    frame["parent_known"] = frame.index.isin(components["stamp"])
    frame["delivered_mm"] = delivered.reindex(frame.index)
    stands = frame.index.isin(held["stamp"])
    frame["ground_mm"] = ground.reindex(frame.index).where(stands, 0.0)
    frame["remnants"] = cut.groupby("cut_from")["stamp"].agg(", ".join).astype("str")
    return frame.rename_axis("cut_from").reset_index()


def _whole_sum(values: pd.Series, by: pd.Series) -> pd.Series:
    """Sum of each group; missing where one value is."""
    numbers = values.astype("float64")
    total: pd.Series = numbers.groupby(by).sum()
    return total.where(numbers.notna().groupby(by).all())


def lot_use(strings: pd.DataFrame, components: pd.DataFrame) -> pd.DataFrame:
    """One row per stamp of a lot: stamp, delivered, placed, left_over, scrapped and used.

    Of each pile the last run with a string counts; a delivery without a quantity brought one.
    """
    lots = components[components["stamp_is"].eq("lot")]
    counts = lots.assign(delivered=lots["quantity"].fillna(1))
    names = ["delivered", "left_over", "scrapped"]
    frame = counts.groupby("stamp")[names].sum().astype("float64")
    placed = strings[strings["latest"]].groupby("stamp").size()
    frame["placed"] = placed.reindex(frame.index).fillna(0).astype("float64")
    frame["used"] = frame["placed"] + frame["left_over"] + frame["scrapped"]
    return frame.reset_index()
