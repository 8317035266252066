"""Heats of the register: those that nobody certified or received, and those that look alike."""

from __future__ import annotations

import pandas as pd
from rapidfuzz.distance import OSA

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


def never_certified(pieces: pd.DataFrame, heats: pd.DataFrame) -> pd.DataFrame:
    """One row per mill and heat of pieces that no certificate lists, with ``pieces``."""
    used = pieces[pieces["heat"].notna()]
    counted = used.groupby(HEAT, sort=False).size().rename("pieces").reset_index()
    return _without(counted, heats)


def never_received(pieces: pd.DataFrame, heats: pd.DataFrame) -> pd.DataFrame:
    """Every heat on a certificate of which no piece is recorded."""
    return _without(heats, pieces)


def _without(rows: pd.DataFrame, others: pd.DataFrame) -> pd.DataFrame:
    held = others[HEAT].drop_duplicates().assign(held=True)
    frame = rows.merge(held, on=HEAT, how="left")
    return frame[frame["held"].isna()].drop(columns="held").reset_index(drop=True)


def look_alikes(pieces: pd.DataFrame, heats: pd.DataFrame) -> pd.DataFrame:
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
