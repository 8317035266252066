"""The chain of every piece of steel placed: component, heat and certificate, as far as it goes.

Frames in, frames out. Where a chain stops is a plain column here; what the contract asks for
arrives as plain columns of the component kinds and is judged elsewhere.
"""

from __future__ import annotations

import pandas as pd

from core.records import ELEMENTS

RESULTS = ["yield_mpa", "tensile_mpa", "elongation_percent",
           *(f"{name}_percent" for name in ELEMENTS.values())]  # fmt: skip
SEVERAL = ["one_of", "all_heats", "counts"]

OF_COMPONENT = ["component_kind", "lot", "length_mm", "section", "helix_set",
                "rated_torque_nm", "rated_torque_document", "zinc_lot", "zinc_um"]  # fmt: skip
OF_DELIVERY = ["delivered_on", "supplier"]
OF_LOT = ["used_from_on", "used_to_on"]
OF_KIND = ["component", "stamp_is", "traceability", "certificate_type_asked", "zinc_lot_asked",
           "zinc_um_asked", "origin_asked"]  # fmt: skip
OF_CERTIFICATE = ["certificate", "certificate_type", "standard", "grade"]


def of_kind(components: pd.DataFrame, kinds: pd.DataFrame) -> pd.DataFrame:
    """``components`` with what the project says of their kind; a lot's stamp is its lot.

    ``component``: the kind's word.
    """
    named = {"name": "component", "certificate_type": "certificate_type_asked"}
    asked = kinds.rename(columns=named)[["component_kind", *OF_KIND]]
    frame = components.merge(asked, on="component_kind", how="left")
    frame["component"] = frame["component"].fillna(frame["component_kind"])
    frame["zinc_lot_asked"] = frame["zinc_lot_asked"].eq(True)
    frame["lot"] = frame["lot"].fillna(frame["stamp"].where(frame["stamp_is"].eq("lot")))
    return frame


def in_use(components: pd.DataFrame, lots: pd.DataFrame) -> pd.DataFrame:
    """``components``, which come of ``of_kind``, with the days between which their lot is used."""
    return components.merge(lots[["lot", *OF_LOT]], on="lot", how="left")


def delivered(components: pd.DataFrame, deliveries: pd.DataFrame) -> pd.DataFrame:
    """``components`` with the day and supplier of their delivery note where they name none."""
    notes = deliveries.set_index("delivery_id")[OF_DELIVERY]
    frame = components.copy()
    for name in OF_DELIVERY:
        of_note = notes[name].reindex(frame["delivery_id"]).set_axis(frame.index)
        frame[name] = frame[name].fillna(of_note)
    return frame


def strings(placed: pd.DataFrame, components: pd.DataFrame) -> pd.DataFrame:
    """``placed`` with what its delivery says, one row per component placed.

    ``deliveries``: how many brought the stamp; ``on_register``: the one that brought this
    component is known; ``latest``: of the pile's last run that has a string. A component placed
    without a delivery came with the only one of its stamp. ``components`` come of ``of_kind``.
    """
    frame = placed.merge(_by_stamp(components), on="stamp", how="left")
    frame["deliveries"] = frame["deliveries"].fillna(0).astype(int)
    named = frame["delivery_id"].fillna("").ne("")
    frame["delivery_named"] = named
    frame["delivery_id"] = frame["delivery_id"].where(named, frame["only_delivery"])
    known = ["stamp", "delivery_id", *OF_COMPONENT, *OF_DELIVERY, *OF_LOT, *OF_KIND]
    held = components[known].assign(on_register=True)
    frame = frame.merge(held, on=["stamp", "delivery_id"], how="left")
    frame["on_register"] = frame["on_register"].eq(True)
    frame["zinc_lot_asked"] = frame["zinc_lot_asked"].eq(True)
    frame["length_mm"] = frame["used_length_mm"].fillna(frame["length_mm"]).astype("Int64")
    last = frame.groupby("pile_id")["run_order"].transform("max")
    frame["latest"] = frame["run_order"].eq(last).fillna(False).astype(bool)
    return frame.drop(columns="only_delivery")


def _by_stamp(components: pd.DataFrame) -> pd.DataFrame:
    """One row per stamp: how many deliveries brought it, and which when it is one."""
    by_stamp = components.groupby("stamp")["delivery_id"]
    found = pd.DataFrame({"deliveries": by_stamp.size(), "only_delivery": by_stamp.first()})
    found["all_deliveries"] = found["only_delivery"]
    again = components[components.duplicated("stamp", keep=False)].groupby("stamp")["delivery_id"]
    several = again.agg(", ".join).astype("str")
    found.loc[several.index, "all_deliveries"] = several
    found["only_delivery"] = found["only_delivery"].where(found["deliveries"].eq(1))
    return found.reset_index()


def chain(
    strings: pd.DataFrame,
    pieces: pd.DataFrame,
    certificates: pd.DataFrame,
    heats: pd.DataFrame,
) -> pd.DataFrame:
    """One row per piece of steel placed: ``strings`` with piece, mill, heat and certificate.

    A component of which no piece is recorded keeps one row without a piece. ``mills`` are all
    mills known of the row's heat; a piece without a mill has the only one. The certificate is the
    one named for the piece, else the highest type that lists its mill and heat. ``named``: the
    piece names it; ``on_file``: it is on the register; ``listed``: it lists the heat.

    A piece of a lot of several heats has a row for each: ``one_of`` says how many there are,
    ``all_heats`` which, and ``counts`` is true of one of them alone.
    """
    known = _mills(pieces, heats)
    pieces, heats = _of_several(_with_mill(pieces, known)), _with_mill(heats, known)
    columns = ["stamp", "delivery_id", "piece", "mill", "heat", "certificate"]
    frame = strings.merge(pieces[[*columns, *SEVERAL]], on=columns[:2], how="left")
    frame["one_of"] = frame["one_of"].fillna(1).astype(int)
    frame["counts"] = frame["counts"].ne(False)
    frame = frame.merge(known[["heat", "mills", "mill_count"]], on="heat", how="left")
    frame["mill_count"] = frame["mill_count"].fillna(0).astype(int)
    on_register = heats.merge(certificates[OF_CERTIFICATE], on="certificate")
    frame["named"] = frame["certificate"].notna()
    best = _best(on_register).rename(columns={"certificate": "found"})
    frame = frame.merge(best[["mill", "heat", "found"]], on=["mill", "heat"], how="left")
    frame["certificate"] = frame["certificate"].fillna(frame["found"])
    types = certificates.set_index("certificate")["certificate_type"]
    frame["certificate_type"] = frame["certificate"].map(types).astype("str")
    frame["on_file"] = frame["certificate"].isin(types.index)
    told = ["certificate", "mill", "heat", "page", "standard", "grade", *RESULTS, "melted_in"]
    pages = on_register[told].assign(listed=True)
    frame = frame.merge(pages, on=["certificate", "mill", "heat"], how="left")
    frame["listed"] = frame["listed"].eq(True)
    frame = frame.drop(columns="found")
    return frame.sort_values(["run_order", "place"], kind="stable").reset_index(drop=True)


def _of_several(pieces: pd.DataFrame) -> pd.DataFrame:
    """``pieces`` with ``one_of``, ``all_heats`` and ``counts``.

    Pieces of one component that say how many of the lot are of their heat are one piece.
    """
    shared = pieces[pieces["of_this_heat"].notna() & pieces["heat"].notna()]
    by_component = shared.groupby(["stamp", "delivery_id"], sort=False)
    frame = pieces.assign(one_of=1, all_heats=None, counts=True).astype({"all_heats": "str"})
    for _, own in by_component:
        if len(own) > 1:
            frame.loc[own.index, "one_of"] = len(own)
            frame.loc[own.index, "all_heats"] = ", ".join(own["heat"])
            frame.loc[own.index[1:], "counts"] = False
    return frame


def _mills(pieces: pd.DataFrame, heats: pd.DataFrame) -> pd.DataFrame:
    """One row per heat number: the mills known of it, from pieces and certificates."""
    pairs = pd.concat([pieces[["heat", "mill"]], heats[["heat", "mill"]]], ignore_index=True)
    pairs = pairs[pairs["heat"].notna() & pairs["mill"].fillna("").ne("")].drop_duplicates()
    by_heat = pairs.sort_values(["heat", "mill"]).groupby("heat")["mill"]
    known = pd.DataFrame({"mills": by_heat.agg(", ".join), "mill_count": by_heat.size()})
    known["only_mill"] = by_heat.first().where(known["mill_count"].eq(1))
    texts = {"mills": "str", "only_mill": "str"}
    return known.rename_axis("heat").reset_index().astype({"heat": "str", **texts})


def _with_mill(rows: pd.DataFrame, known: pd.DataFrame) -> pd.DataFrame:
    """``rows`` with the only mill known of their heat where they name none; else no text at all."""
    only = rows["heat"].map(known.set_index("heat")["only_mill"])
    mill = rows["mill"].where(rows["mill"].fillna("").ne(""))
    return rows.assign(mill=mill.fillna(only).fillna("").astype("str"))


def _best(heats: pd.DataFrame) -> pd.DataFrame:
    """One row per mill and heat: the certificate of the highest type, then the first listed."""
    ordered = heats.sort_values("certificate_type", ascending=False, kind="stable")
    return ordered.drop_duplicates(["mill", "heat"])


def register(chain: pd.DataFrame, components: pd.DataFrame, pieces: pd.DataFrame) -> pd.DataFrame:
    """One row per piece of steel delivered, with what became of its component.

    ``placed``: how many stand in each pile's last string; ``in_store``: how many are neither
    placed nor left over nor scrapped; ``not_placed``: how many are not in a pile. A component of
    which no piece is recorded keeps one row. A piece without a mill has the only one known.
    """
    key = ["stamp", "delivery_id"]
    counts = {name: components[name].fillna(0).astype(int) for name in ("left_over", "scrapped")}
    frame = components.assign(quantity=components["quantity"].fillna(1).astype(int), **counts)
    places = chain[chain["latest"]].drop_duplicates(["pile_id", "run_no", "place"])
    placed = places.groupby(key).size().rename("placed").reset_index()
    frame = frame.merge(placed, on=key, how="left")
    frame["placed"] = frame["placed"].fillna(0).astype(int)
    frame["not_placed"] = (frame["quantity"] - frame["placed"]).clip(lower=0)
    used = frame["placed"] + frame["left_over"] + frame["scrapped"]
    frame["in_store"] = (frame["quantity"] - used).clip(lower=0)
    return frame.merge(pieces[[*key, "piece", "mill", "heat", "certificate"]], on=key, how="left")


def both_with_mills(pieces: pd.DataFrame, heats: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Both with the only mill known of a heat where a row names none; '' where that is open."""
    known = _mills(pieces, heats)
    return _with_mill(pieces, known), _with_mill(heats, known)
