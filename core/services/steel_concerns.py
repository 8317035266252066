"""Findings of steel that concern one thing sought, and the heats that look like one sought.

A chain that is whole on paper proves little while one of its stamps stands twice or its lot is
used beyond what was delivered.
"""

from __future__ import annotations

import pandas as pd

from core import words
from core.assessment.assess import Assessment
from core.services.steel_register import KINDS, Steel
from core.services.steel_search import Found, Meaning
from core.subjects.steel import heats as heat_measures
from core.subjects.steel import register as steel_register

TWICE = "stamp used twice"
# Of which pieces a finding of a pile speaks; kinds that are not named speak of the whole string.
PIECES_OF = {
    "component not on the register": "off_register",
    "heat traced": "untraced",
    "mill certificate": "uncertified",
    "heat not on the certificate named": "unlisted",
    "type of mill certificate": "low_type",
}
SHOWN = ["kind", "result", "measured", "limit_value", "unit_column", "note", "piles"]


def concerns(assessment: Assessment, held: Steel, meaning: Meaning, hangs: Found) -> pd.DataFrame:
    """Open findings of steel that concern ``meaning``, worst first, with the ``piles`` of each.

    A pile's are all its own. Of anything else: those on its pieces, on its stamps, and on the
    string of each pile that holds it.
    """
    rows = assessment.findings
    rows = rows[rows["kind"].isin(KINDS) & rows["result"].isin(words.OPEN_RESULTS)]
    stamps = set(hangs.chain["stamp"]) | set(hangs.stock["stamp"])
    of_lot = rows["subject_kind"].eq("lot") & rows["subject"].isin(stamps)
    of_pile = rows["subject_kind"].eq("pile")
    if meaning.kind == "pile":
        of_pile &= rows["subject"].eq(meaning.text)
    else:
        of_pile &= _on_its_pieces(rows, held, hangs.chain[hangs.chain["latest"]])
    placed = held.chain[held.chain["stamp"].isin(rows.loc[of_lot, "subject"])]
    where = steel_register.places(placed).groupby("stamp")["pile_id"].agg(_joined)
    told = rows.assign(piles=rows["subject"].where(of_pile, rows["subject"].map(where)))
    told["piles"] = told["piles"].fillna("")
    return told.loc[of_lot | of_pile, SHOWN].reset_index(drop=True)


def _on_its_pieces(rows: pd.DataFrame, held: Steel, chain: pd.DataFrame) -> pd.Series:
    again = steel_register.used_twice(held.chain)
    twice = chain.merge(again[steel_register.PLACE].drop_duplicates(), on=steel_register.PLACE)
    piles = {kind: set(chain.loc[chain[name].eq(True), "pile_id"])
             for kind, name in PIECES_OF.items()}  # fmt: skip
    piles[TWICE] = set(twice["pile_id"])
    whole = set(chain["pile_id"])
    pairs = zip(rows["kind"], rows["subject"], strict=True)
    hit = [subject in piles.get(kind, whole) for kind, subject in pairs]
    return pd.Series(hit, index=rows.index, dtype=bool)


def _joined(piles: pd.Series) -> str:
    return ", ".join(dict.fromkeys(piles))


def look_alikes_of(held: Steel, meaning: Meaning) -> pd.DataFrame:
    """Heats that look like the one meant: ``mill``, ``heat``, ``pieces`` recorded, ``listed``."""
    return heat_measures.like(held.pieces, held.heats, meaning.text, meaning.mill)


__all__ = ["concerns", "look_alikes_of"]
