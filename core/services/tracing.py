"""The steel of one pile, stamp, lot or heat, in both directions."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from core.assessment.assess import Assessment
from core.errors import WrongUse
from core.reports.steel import CHAIN
from core.subjects.steel import register as steel_register
from core.subjects.steel.register import HEAT, apart, may_be_one_mill, nearest

_BY = {
    "pile": "pile_id",
    "stamp": "stamp",
    "lot": "lot",
    "heat": "heat",
    "certificate": "certificate",
}


@dataclass(frozen=True)
class Trace:
    """Pieces of steel placed (named as in ``CHAIN``), totals, and components still in the store.

    ``piles``, ``pieces`` and ``length_mm`` count each pile's last string; ``store``: stamp,
    delivery_id, component, in_store, left_over, scrapped.
    """

    placed: pd.DataFrame
    piles: int
    pieces: int
    length_mm: int
    store: pd.DataFrame


def trace(assessment: Assessment, by: str, value: str, mill: str | None = None) -> Trace:
    """All steel of one ``pile``, ``stamp``, ``lot``, ``heat`` or ``certificate``.

    A certificate's steel is what names it, or what names none and whose heat it lists. A piece of
    the heat's number that names no mill may be of each.

    Raises WrongUse for a value that nothing has, and for a heat of several mills without ``mill``.
    """
    register = assessment.measured.steel.register
    traced = assessment.measured.trace[[*CHAIN, "latest", "possible_heats"]]
    column = _BY[by]
    known = _known(assessment, by, traced, register)
    if value not in known:
        raise WrongUse(_unknown(by, value, known))
    placed, held = traced[traced[column].eq(value)], register
    if by == "heat":
        mill = heat_known(assessment, value, mill)
        placed = placed[may_be_one_mill(placed["mill"], mill)]
        held = held[may_be_one_mill(held["mill"], mill)]
    held = held[held[column].eq(value)] if by != "pile" else held[:0]
    last = placed[placed["latest"]]
    lengths = last.drop_duplicates(["pile_id", "run_no", "place"])["length_mm"]
    return Trace(
        placed=placed[list(CHAIN)].rename(columns=CHAIN),
        piles=int(last["pile_id"].nunique()),
        pieces=len(steel_register.distinct(last)),
        length_mm=int(lengths.sum()),
        store=_store(held),
    )


def _known(
    assessment: Assessment, by: str, traced: pd.DataFrame, register: pd.DataFrame
) -> list[str]:
    """Values that ``by`` may have, in the order of the pages they come from."""
    if by == "pile":
        named = [assessment.piles["pile_id"], traced["pile_id"]]
    else:
        listed = assessment.measured.steel.heats
        papers = [listed[_BY[by]]] if by in ("heat", "certificate") else []
        named = [traced[_BY[by]], register[_BY[by]], *papers]
    known: list[str] = pd.concat(named).dropna().unique().tolist()
    return known


def heat_known(assessment: Assessment, heat: str, mill: str | None) -> str:
    """The mill of a heat that pieces or certificates name.

    Raises WrongUse for a heat that nothing names, and for one of several mills without ``mill``.
    """
    traced, register = assessment.measured.trace, assessment.measured.steel.register
    known = _known(assessment, "heat", traced, register)
    if heat not in known:
        raise WrongUse(_unknown("heat", heat, known))
    named = [frame[HEAT] for frame in (traced, register, assessment.measured.steel.heats)]
    return _mill(heat, mill, pd.concat(named))


def _unknown(by: str, value: str, known: list[str]) -> str:
    suggestions = nearest(value, known)
    if not known:
        return f"There is no {by} {value}: no {by} is recorded yet."
    told = "; ".join(f"{one}, {edit_distance_text(value, one)}" for one in suggestions)
    words = f"Nearest known: {told}." if suggestions else f"Known are {len(known)}."
    return f"There is no {by} {value}. {words}"


def edit_distance_text(text: str, other: str) -> str:
    """How far a suggestion is from what was written."""
    number = apart(text, other)
    return "one character apart" if number == 1 else f"{number} characters apart"


def _mill(heat: str, mill: str | None, rows: pd.DataFrame) -> str:
    """The mill meant. Raises WrongUse when the heat is of several, or not of this one."""
    mills = sorted(set(rows.loc[rows["heat"].eq(heat), "mill"].fillna("")))
    named = [name or "no mill named" for name in mills]
    if mill is None and len(mills) > 1:
        raise WrongUse(f"Heat {heat} is of several mills: {', '.join(named)}. Name one: --mill M.")
    if mill is not None and mill not in mills:
        raise WrongUse(f"Heat {heat} is not of mill {mill}. It is of: {', '.join(named)}.")
    return mills[0] if mill is None else mill


def _store(held: pd.DataFrame) -> pd.DataFrame:
    """One row per component of which some are in no pile."""
    columns = ["stamp", "delivery_id", "component", "in_store", "left_over", "scrapped"]
    rows = held.drop_duplicates(["stamp", "delivery_id"])
    return rows.loc[rows["not_placed"] > 0, columns].reset_index(drop=True)
