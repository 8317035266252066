"""The register of steel: heats, lots, certificates, and gaps in the trace of pieces."""

from __future__ import annotations

from itertools import pairwise

import pandas as pd
from rapidfuzz.distance import OSA

# From the pile towards the certificate; '' is nothing.
GAPS = ("delivery", "kind", "heat", "certificate", "type")


def with_gaps(trace: pd.DataFrame) -> pd.DataFrame:
    """``trace`` with ``gap``: the first of `GAPS` that is missing; '' where nothing is.

    The faults are those that the rules find, so that a list agrees with the findings. A
    component that several deliveries may have brought, and a kind that project.toml does not
    name, stand apart: nobody can say what is asked of them.
    """
    missing = {
        "delivery": ~trace["on_register"],
        "kind": trace["traceability"].isna(),
        "heat": trace["untraced"],
        "certificate": trace["uncertified"] | trace["unlisted"],
        "type": trace["low_type"],
    }
    gap = pd.Series("", index=trace.index)
    for name in GAPS:
        gap = gap.mask(gap.eq("") & missing[name].astype(bool), name)
    return trace.assign(gap=gap)


LEVELS = ("pile", "component", "heat", "certificate")


def trace_boxes(trace: pd.DataFrame, most: int) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Boxes (``level``, ``box``, ``broken``, ``count``) and lines between neighbouring levels.

    Lines have ``level`` (of their beginning), ``box``, ``next_box`` and ``broken``. With more
    than ``most`` boxes the piles are folded by area, components by kind, and heats and
    certificates by mill; ``count`` is how many a box stands for. When that is still too many,
    each level is one box.
    """
    rows = _named(trace)
    table = rows[list(LEVELS)]
    if _number(table) > most:
        table = _folded(table, trace)
    if _number(table) > most:
        table = pd.DataFrame({level: f"every {level}" for level in LEVELS}, index=rows.index)
    nodes = [_boxes_of(level, table[level], rows) for level in LEVELS]
    return pd.concat(nodes, ignore_index=True), _lines(table, rows)


def _number(table: pd.DataFrame) -> int:
    return int(table.nunique().sum())


def _boxes_of(level: str, named: pd.Series, rows: pd.DataFrame) -> pd.DataFrame:
    count = rows[level].groupby(named, sort=False).nunique().rename("count")
    broken = rows[f"broken_{level}"].groupby(named, sort=False).any().rename("broken")
    found = pd.concat([count, broken], axis=1).rename_axis("box").reset_index()
    return found.assign(level=level)


def _named(trace: pd.DataFrame) -> pd.DataFrame:
    """A name per level of each piece of steel, and whether the trace has a gap there."""
    lost_heat = trace["heat"].isna()
    mill = trace["mill"].fillna("").where(~lost_heat, "")
    certificate = trace["certificate"].where(trace["on_file"], None)
    where = trace["component"].fillna("unknown") + " " + trace["stamp"]
    frame = pd.DataFrame(
        {
            "pile": trace["pile_id"],
            "component": where,
            "heat": trace["heat"] + (" " + mill).where(mill.ne(""), ""),
            "certificate": certificate,
        }
    )
    frame["heat"] = frame["heat"].fillna("no heat")
    frame["certificate"] = frame["certificate"].fillna("no certificate")
    frame["broken_pile"] = False
    frame["broken_component"] = ~trace["on_register"].astype(bool)
    frame["broken_heat"] = lost_heat
    frame["broken_certificate"] = ~trace["listed"].astype(bool)
    return frame


def _folded(table: pd.DataFrame, trace: pd.DataFrame) -> pd.DataFrame:
    """Names of groups; a group of one keeps the name of that one."""
    mill = trace["mill"].fillna("").replace("", "mill not known")
    groups = {
        "pile": "area " + trace["area"].fillna("not known"),
        "component": trace["component"].fillna("unknown"),
        "heat": mill.mask(table["heat"].eq("no heat"), "no heat"),
        "certificate": mill.mask(table["certificate"].eq("no certificate"), "no certificate"),
    }
    folded = {}
    for level, names in groups.items():
        alone = table[level].groupby(names).transform("nunique").eq(1)
        folded[level] = names.mask(alone, table[level])
    return pd.DataFrame(folded)


def _lines(table: pd.DataFrame, rows: pd.DataFrame) -> pd.DataFrame:
    parts = []
    for level, following in pairwise(LEVELS):
        frame = pd.DataFrame(
            {
                "box": table[level],
                "next_box": table[following],
                "broken": rows[f"broken_{following}"],
            }
        )
        ends = frame.groupby(["box", "next_box"], sort=False)["broken"].all().reset_index()
        parts.append(ends.assign(level=level))
    return pd.concat(parts, ignore_index=True)


HEAT = ["mill", "heat"]
# Signs that people take for one another in a stamp, each with the one that stands for both.
LOOK_ALIKE = str.maketrans({"l": "1", "I": "1", "i": "1", "O": "0", "o": "0", "S": "5", "s": "5",
                            "B": "8", "b": "8", "Z": "2", "z": "2"})  # fmt: skip
SEPARATORS = str.maketrans("", "", " -./_")
MOST_NEAR = 6
FURTHEST = 1 / 3  # of a text's length that a suggestion may be apart; trade practice, no source


def may_be_one_mill(mills: pd.Series, other: pd.Series | str) -> pd.Series:
    """Whether heats of one number may be of one mill: the same is named, or either names none.

    A heat without its mill so matches every mill of its number. It widens what a recall, a trace
    or a quarantine finds; whether a certificate covers a piece never rests on it.
    """
    named = mills.fillna("")
    against = other if isinstance(other, str) else other.fillna("")
    return named.eq(against) | named.eq("") | (against == "")


def folded(text: str) -> str:
    """``text`` with signs that look alike made one, without case and separators. To compare only.

    O and 0, I, l and 1, S and 5, B and 8, Z and 2. Trade practice, no source.
    """
    return text.translate(LOOK_ALIKE).translate(SEPARATORS).upper()


def nearest(text: str, known: list[str]) -> list[str]:
    """Texts of ``known`` that come near ``text``, the nearest first; suggestions, never changes."""
    wanted = folded(text)
    furthest = max(1, int(len(wanted) * FURTHEST))
    found = []
    for place, one in enumerate(dict.fromkeys(known)):
        fold = folded(one)
        distance = OSA.distance(wanted, fold, score_cutoff=furthest)
        begins = len(wanted) > 1 and fold.startswith(wanted)
        if distance <= furthest or begins:
            found.append((distance, apart(text, one), place, one))
    return [one for *_, one in sorted(found)[:MOST_NEAR]]


def apart(text: str, other: str) -> int:
    """How many characters differ; two neighbours exchanged are one."""
    return int(OSA.distance(text, other))


def heats_without_certificate(pieces: pd.DataFrame, heats: pd.DataFrame) -> pd.DataFrame:
    """One row per mill and heat of pieces that no certificate lists, with ``pieces``."""
    used = pieces[pieces["heat"].notna()]
    counted = used.groupby(HEAT, sort=False).size().rename("pieces").reset_index()
    return _without(counted, heats)


def heats_without_delivery(pieces: pd.DataFrame, heats: pd.DataFrame) -> pd.DataFrame:
    """Every heat on a certificate of which no piece is recorded."""
    return _without(heats, pieces)


def _without(rows: pd.DataFrame, others: pd.DataFrame) -> pd.DataFrame:
    held = others[HEAT].drop_duplicates().assign(held=True)
    frame = rows.merge(held, on=HEAT, how="left")
    return frame[frame["held"].isna()].drop(columns="held").reset_index(drop=True)


def similar_heats(pieces: pd.DataFrame, heats: pd.DataFrame) -> pd.DataFrame:
    """Pairs of heats that differ only in signs that look alike: ``heat`` and ``looks_like``.

    Of one mill, or where one mill is not known. ``heat`` is the one that no certificate lists;
    when both are listed or neither is, it is the one with fewer pieces. ``pieces`` and
    ``other_pieces`` count those recorded.
    """
    known = _known_heats(pieces, heats)
    pairs = known.merge(known, on="fold", suffixes=("", "_other"))
    one_mill = may_be_one_mill(pairs["mill"], pairs["mill_other"])
    fewer = pairs["pieces"].lt(pairs["pieces_other"])
    same = pairs["pieces"].eq(pairs["pieces_other"]) & pairs["heat"].gt(pairs["heat_other"])
    unlisted = pairs["listed_other"] & ~pairs["listed"]
    first = unlisted | (pairs["listed"].eq(pairs["listed_other"]) & (fewer | same))
    found = pairs[one_mill & pairs["heat"].ne(pairs["heat_other"]) & first]
    renamed = {"heat_other": "looks_like", "pieces_other": "other_pieces",
               "listed_other": "other_listed"}  # fmt: skip
    columns = [*HEAT, "pieces", "listed", "looks_like", "other_pieces", "other_listed"]
    found = found.rename(columns=renamed)[columns]
    return found.sort_values(["listed", "heat"], kind="stable").reset_index(drop=True)


def like(pieces: pd.DataFrame, heats: pd.DataFrame, heat: str, mill: str) -> pd.DataFrame:
    """Heats that differ from one of ``mill`` only in signs that look alike.

    Of the same mill, or where one mill is not known, with ``pieces`` recorded and ``listed``.
    """
    known = _known_heats(pieces, heats)
    alike = known["fold"].eq(folded(heat)) & known["heat"].ne(heat)
    alike &= may_be_one_mill(known["mill"], mill)
    return known.loc[alike, [*HEAT, "pieces", "listed"]].reset_index(drop=True)


def _known_heats(pieces: pd.DataFrame, heats: pd.DataFrame) -> pd.DataFrame:
    """One row per mill and heat known: ``pieces``, whether ``listed``, and its ``fold``."""
    used = pieces.loc[pieces["heat"].notna(), HEAT].assign(pieces=1, listed=False)
    listed = heats[HEAT].assign(pieces=0, listed=True)
    both = pd.concat([used, listed], ignore_index=True)
    frame = both.groupby(HEAT).agg({"pieces": "sum", "listed": "max"}).reset_index()
    return frame.assign(fold=frame["heat"].map(folded))


DELIVERY = ["stamp", "delivery_id"]
PLACE = ["pile_id", "run_no", "place"]
COUNTS = ["quantity", "placed", "left_over", "scrapped"]


def places(trace: pd.DataFrame) -> pd.DataFrame:
    """One row per component in the ground: the first row of its pieces."""
    return trace[trace["latest"]].drop_duplicates(PLACE)


def distinct(trace: pd.DataFrame) -> pd.DataFrame:
    """One row per piece of steel: of a piece that may be of several heats the first row of it."""
    return trace[~trace[PLACE].assign(piece=_piece(trace)).duplicated()]


def _piece(trace: pd.DataFrame) -> pd.Series:
    """Name of the piece in its place; rows for the heats that one may be of have the same."""
    return trace["piece"].mask(trace["possible_heats"].gt(1), "")


def stock(components: pd.DataFrame, trace: pd.DataFrame) -> pd.DataFrame:
    """``components`` with ``placed``, counted in the ground, and ``not_placed``.

    Below 0 is how many are too many. A quantity that is not recorded is 1; nothing
    recorded as left over or scrapped is 0.
    """
    used = places(trace[trace["on_register"]]).groupby(DELIVERY).size().rename("placed")
    frame = components.merge(used.reset_index(), on=DELIVERY, how="left")
    frame["quantity"] = frame["quantity"].fillna(1)
    for name in COUNTS[1:]:
        frame[name] = frame[name].fillna(0).astype("Int64")
    rest = frame["quantity"] - frame["placed"] - frame["scrapped"]
    return frame.assign(not_placed=rest)


def exceeded_lots(stock: pd.DataFrame, trace: pd.DataFrame) -> pd.DataFrame:
    """One row per stamp of a lot that is used beyond what was delivered, with ``too_many``.

    Counted by stamp over its deliveries: what is placed need not say which one it came with.
    """
    lots = trace.loc[trace["stamp_is"].eq("lot"), "stamp"]
    of_lot = stock["stamp"].isin(lots)
    use = stock[of_lot].groupby("stamp")[["quantity", "left_over", "scrapped"]].sum()
    use["placed"] = places(trace).groupby("stamp").size().reindex(use.index).fillna(0)
    use = use.astype("Int64").reset_index()
    use["too_many"] = use["placed"] + use["left_over"] + use["scrapped"] - use["quantity"]
    return use[use["too_many"] > 0].reset_index(drop=True)


def duplicate_stamps(trace: pd.DataFrame) -> pd.DataFrame:
    """Every place of a stamp that is one single component's and stands in more than one."""
    single = places(trace[trace["stamp_is"].eq("piece")])
    keys = [single["stamp"], single["delivery_id"].fillna("")]
    again = single[single.groupby(keys)["place"].transform("size") > 1]
    return again.sort_values(["stamp", "run_order", "place"], kind="stable")


def remnants(components: pd.DataFrame, trace: pd.DataFrame) -> pd.DataFrame:
    """One row per component cut from another, with ``pile_id`` where it stands; missing: nowhere.

    ``parent_known``: the component that it was cut from is on the register.
    """
    cut = components[components["cut_from"].notna()]
    where = places(trace)[["stamp", "pile_id"]].drop_duplicates("stamp")
    frame = cut.merge(where, on="stamp", how="left")
    return frame.assign(parent_known=frame["cut_from"].isin(components["stamp"]))


def coverage(trace: pd.DataFrame, by: str = "area") -> pd.DataFrame:
    """One row per area or supplier, and one without a name for all: what is in the ground, traced.

    ``trace`` carries the column ``by`` and ``gap``, which is empty where a piece lacks nothing
    that is asked. A component's length counts as traced when every piece of it does. Shares
    are missing where there is nothing to trace.
    """
    held = trace[trace["latest"]].assign(whole=lambda rows: rows["gap"].eq(""))
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
