"""One text sought in the steel: what it may mean, what is near it, and all that hangs on it."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from core import words
from core.services.steel_register import Steel
from core.subjects.steel import heats as heat_measures
from core.subjects.steel import register as steel_register

DELIVERY = steel_register.DELIVERY
HEAT = heat_measures.HEAT


@dataclass(frozen=True)
class Meaning:
    """One thing that a text may name; ``mill`` belongs to a heat."""

    kind: str
    text: str
    mill: str = ""

    @property
    def words(self) -> str:
        """As people say it."""
        of_mill = f" of {self.mill}" if self.mill else ", mill not known"
        return f"{self.kind} {self.text}" + (of_mill if self.kind == "heat" else "")


@dataclass(frozen=True)
class Found:
    """All that hangs on one thing. ``chain``: its pieces in the ground; ``stock``: its deliveries;

    ``piles``: furthest along in the work first; ``heats`` with pieces and certificates counted;
    ``certificates``; ``remnants``: what was cut from it or what it was cut from; ``breaks``: where
    chains stop, in words, with the number of pieces.
    """

    chain: pd.DataFrame
    piles: pd.DataFrame
    heats: pd.DataFrame
    certificates: pd.DataFrame
    stock: pd.DataFrame
    remnants: pd.DataFrame
    breaks: pd.DataFrame

    @property
    def totals(self) -> dict[str, float]:
        """Piles, pieces, length in the ground, components not placed and too many, breaks.

        What is too many of one delivery is not taken off what is left of another.
        """
        return {
            "piles": len(self.piles),
            "pieces": int(self.piles["pieces"].sum()),
            "length_mm": float(self.piles["length_mm"].sum()),
            "not_placed": int(self.stock["not_placed"].clip(lower=0).sum()),
            "too_many": int(-self.stock["not_placed"].clip(upper=0).sum()),
            "breaks": int(self.breaks["pieces"].sum()),
        }


def meanings(held: Steel, text: str, piles: list[str]) -> list[Meaning]:
    """Everything of that exact text: pile, stamp, lot, heat of each mill, certificate.

    A lot that holds just what is stamped so is told once, as the stamp. A text on nothing is a
    pile's when it differs from one single number in case and hyphens alone.
    """
    found = [Meaning("pile", text)] if text in set(piles) else []
    stamped, of_lot = held.stock["stamp"].eq(text), held.stock["lot"].eq(text)
    if stamped.any() or held.chain["stamp"].eq(text).any():
        found.append(Meaning("stamp", text))
    if (of_lot & ~stamped).any():
        found.append(Meaning("lot", text))
    both = pd.concat([held.pieces[HEAT], held.heats[HEAT]])
    mills = both.loc[both["heat"].eq(text), "mill"].drop_duplicates().sort_values()
    found += [Meaning("heat", text, mill) for mill in mills]
    names = (held.certificates, held.heats, held.pieces)
    if any(part["certificate"].eq(text).any() for part in names):
        found.append(Meaning("certificate", text))
    return found or [Meaning("pile", pile) for pile in _pile_written(text, piles)]


def _pile_written(text: str, piles: list[str]) -> list[str]:
    """The pile of that number without regard to case and hyphens; none where several are."""
    alike = [pile for pile in piles if _bare(pile) == _bare(text)]
    return alike if len(alike) == 1 else []


def _bare(text: str) -> str:
    return text.replace("-", "").casefold()


def near(held: Steel, text: str, piles: list[str]) -> list[str]:
    """Known texts that come near one that is not known; suggestions, never a change."""
    parts = [held.stock["stamp"], held.stock["lot"], held.chain["stamp"], held.pieces["heat"],
             held.heats["heat"], held.certificates["certificate"]]  # fmt: skip
    known = pd.concat([*parts, pd.Series(piles, dtype="str")]).dropna().unique()
    return heat_measures.nearest(text, known.tolist())


def found(held: Steel, meaning: Meaning) -> Found:
    """Everything in the ground, in the store and on paper that hangs on ``meaning``."""
    chain = held.chain[_of_meaning(held.chain, meaning)]
    stock = _stock(held, meaning)
    pieces = _pieces(held, chain, stock, meaning)
    heats = _heats(held, chain, pieces, meaning)
    numbers = pd.concat([chain["certificate"], pieces["certificate"], heats["certificate"]])
    if meaning.kind == "certificate":
        numbers = pd.Series([meaning.text], dtype="str")
    named = pd.DataFrame({"certificate": numbers.dropna().unique()}).astype("str")
    certificates = named.merge(held.certificates, on="certificate", how="left")
    stamps = set(chain["stamp"]) | set(stock["stamp"])
    cut = steel_register.remnants(held.stock, held.chain)
    cut = cut[cut["stamp"].isin(stamps) | cut["cut_from"].isin(stamps)]
    stops = (
        steel_register.distinct(chain)["break"]
        .dropna()
        .value_counts(sort=False)
        .rename_axis("break")
    )
    return Found(
        chain, _piles(chain), heats, certificates, stock, cut, stops.reset_index(name="pieces")
    )


def quarantine_of(held: Steel, meaning: Meaning) -> pd.DataFrame:
    """What was recorded of the quarantine of one heat, the newest first."""
    return held.story[_of_meaning(held.story, meaning)].reset_index(drop=True)


def _of_meaning(rows: pd.DataFrame, meaning: Meaning) -> pd.Series:
    column = {"pile": "pile_id"}.get(meaning.kind, meaning.kind)
    own = rows[column].eq(meaning.text)
    if meaning.kind == "heat":
        own &= heat_measures.may_be_one_mill(rows["mill"], meaning.mill)
    return own


def _stock(held: Steel, meaning: Meaning) -> pd.DataFrame:
    """Deliveries that hold what is meant; of a pile those that its components came with."""
    stock = held.stock
    if meaning.kind in ("stamp", "lot"):
        return stock[stock[meaning.kind].eq(meaning.text)]
    if meaning.kind == "pile":
        rows = held.chain[held.chain["pile_id"].eq(meaning.text)]
    else:
        rows = _pieces_of(held, meaning)
    return stock.merge(rows[DELIVERY].drop_duplicates(), on=DELIVERY)


def _pieces_of(held: Steel, meaning: Meaning) -> pd.DataFrame:
    """Pieces of a heat; or those that name a certificate, or name none and are of its heats."""
    pieces = held.pieces
    if meaning.kind == "heat":
        return pieces[_of_meaning(pieces, meaning)]
    listed = held.heats.loc[held.heats["certificate"].eq(meaning.text), HEAT]
    of_heat = pieces[HEAT].merge(listed.assign(hit=True), on=HEAT, how="left")["hit"].eq(True)
    open_ = pieces["certificate"].isna() & of_heat.to_numpy()
    return pieces[pieces["certificate"].eq(meaning.text) | open_]


def _pieces(
    held: Steel, chain: pd.DataFrame, stock: pd.DataFrame, meaning: Meaning
) -> pd.DataFrame:
    """Pieces recorded of the deliveries, those alone that are meant."""
    if meaning.kind in ("heat", "certificate"):
        return _pieces_of(held, meaning)
    pieces = held.pieces.merge(stock[DELIVERY], on=DELIVERY)
    if meaning.kind == "pile":
        return pieces.merge(chain[[*DELIVERY, "piece"]].drop_duplicates(), on=[*DELIVERY, "piece"])
    return pieces


def _heats(
    held: Steel, chain: pd.DataFrame, pieces: pd.DataFrame, meaning: Meaning
) -> pd.DataFrame:
    """One row per heat and certificate that lists it; no certificate: one row without."""
    own = [chain[HEAT], pieces[HEAT]]
    if meaning.kind == "heat":
        own.append(pd.DataFrame({"mill": [meaning.mill], "heat": [meaning.text]}))
    if meaning.kind == "certificate":
        own = [held.heats.loc[held.heats["certificate"].eq(meaning.text), HEAT], *own]
    keys = pd.concat(own).dropna(subset=["heat"]).drop_duplicates()
    columns = [*HEAT, "certificate", "page", "yield_mpa", "tensile_mpa", "elongation_percent",
               "carbon_percent", "carbon_equivalent_percent", "melted_in"]  # fmt: skip
    listed = keys.merge(held.heats[columns], on=HEAT, how="left")
    types = held.certificates[["certificate", "certificate_type"]]
    placed = chain[chain["latest"]].groupby(HEAT).size().rename("placed").reset_index()
    frame = listed.merge(types, on="certificate", how="left").merge(placed, on=HEAT, how="left")
    return frame.assign(placed=frame["placed"].fillna(0).astype("Int64"))


def _piles(chain: pd.DataFrame) -> pd.DataFrame:
    """One row per pile: its state, pieces and length meant; furthest along in the work first.

    A pile that holds them in an earlier run only has 0 pieces.
    """
    by_pile = chain.groupby("pile_id", sort=False)
    frame = by_pile[["area", "state", "stage"]].first()
    pieces = steel_register.distinct(chain).groupby("pile_id")
    frame["pieces"] = pieces["latest"].sum()
    lengths = steel_register.places(chain).groupby("pile_id")["length_mm"].sum()
    frame["length_mm"] = lengths.reindex(frame.index).astype("Int64").fillna(0)
    frame["breaks"] = pieces["break"].count()
    order = -frame["stage"].map(words.STAGE_ORDER).astype(float).fillna(-1)
    return frame.loc[order.sort_values(kind="stable").index].reset_index()
