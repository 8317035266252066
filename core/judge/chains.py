"""Where the chain of a piece of steel stops, in words, and whether the contract asks for more.

What each grade of traceability asks: *piece*, a heat of every piece; *heat or lot per pile*, a heat
or a lot of every component; *lot per period*, a lot or a delivery; *declaration of conformity*, a
certificate of any kind; *none*, nothing. A heat that is asked for and known stands on a
certificate; where a type of certificate is asked, there is a certificate, heat or none.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from core.judge.steel_quality import LOOKED_AT as QUALITIES_LOOKED_AT
from core.judge.steel_quality import QUALITIES

_HEAT = ("piece", "heat or lot per pile")
_MOST_WORDS = 3  # pieces told in one note
# Count of pieces at fault per pile, by the column of the chain that marks them.
FAULTS = ("off_register", "untraced", "uncertified", "unlisted", "low_type")
LOOKED_AT = ("with_certificate_asked", "with_certificate_named", "with_type_asked",
             "with_results_asked")  # fmt: skip


def with_breaks(chain: pd.DataFrame) -> pd.DataFrame:
    """``chain`` with ``break``: where it stops, missing where it is whole, and what that means.

    ``break`` is a fact, whatever the contract asks; the columns of ``FAULTS`` say where the chain
    falls short of it, ``short`` whether any does, and ``LOOKED_AT`` what each was looked for in.
    """
    frame = chain.assign(**{"break": pd.Series(None, index=chain.index, dtype="str")})
    for stops, words in _stops(frame):
        first = stops & frame["break"].isna()
        frame["break"] = frame["break"].mask(first, words)
    frame = frame.assign(**_faults(frame))
    return frame.assign(short=frame[list(FAULTS)].any(axis=1))


def _stops(chain: pd.DataFrame) -> list[tuple[pd.Series, pd.Series]]:
    """Every way to stop with its words, from the pile towards the certificate."""
    stamp, heat = "stamp " + chain["stamp"], _heat(chain)
    register, certificate = chain["on_register"], "certificate " + chain["certificate"]
    nowhere, named = chain["deliveries"].eq(0), chain["named"]
    other = ~register & chain["delivery_named"]
    several = "came with several deliveries: " + chain["all_deliveries"]
    no_heat = pd.Series("no heat is recorded for this piece", index=chain.index)
    low = chain["certificate_type"] < chain["certificate_type_asked"]
    return [
        (nowhere, stamp + " is on no delivery"),
        (other, stamp + " is not on delivery " + chain["delivery_id"]),
        (~register, stamp + " " + several),
        (chain["piece"].isna(), "no piece of steel is recorded for " + stamp),
        (chain["heat"].isna(), no_heat),
        (chain["one_of"] > 1, "lot " + chain["lot"].fillna(chain["stamp"]) + " is of the heats "
         + chain["all_heats"] + "; which of them this one is of is not recorded"),
        (_of_no_mill(chain), heat + " is known of several mills: " + chain["mills"]),
        (named & ~chain["on_file"], certificate + " is not on the register"),
        (named & ~chain["listed"], certificate + " does not list " + heat),
        (~chain["listed"], "no certificate lists " + heat),
        (_out_of_use(chain), "lot " + chain["lot"] + " is not in use on the day of the run"),
        (low, "certificate type " + chain["certificate_type"] + " where "
         + chain["certificate_type_asked"] + " is asked"),
        (chain["stamp_is"].isna(), "no component kind " + chain["component_kind"]
         + " is in project.toml"),
    ]  # fmt: skip


def _heat(chain: pd.DataFrame) -> pd.Series:
    """The heat with its mill, as people say it."""
    mill = (" of " + chain["mill"]).where(chain["mill"].fillna("").ne(""), "")
    return "heat " + chain["heat"] + mill


def _out_of_use(chain: pd.DataFrame) -> pd.Series:
    """The run is outside the days between which the component's lot is used."""
    day = chain["run_on"]
    return (day < chain["used_from_on"]) | (day > chain["used_to_on"])


def _of_no_mill(chain: pd.DataFrame) -> pd.Series:
    return chain["mill"].fillna("").eq("") & (chain["mill_count"] > 1)


def _faults(chain: pd.DataFrame) -> dict[str, pd.Series]:
    """Where each piece falls short of what its kind asks; one cause is one fault."""
    register, grade = chain["on_register"], chain["traceability"]
    off = ~register & (chain["deliveries"].eq(0) | chain["delivery_named"])
    heat = chain["heat"].notna() & ~_of_no_mill(chain) & register
    lot = chain["lot"].notna()
    period = (lot | chain["delivery_id"].fillna("").ne("")) & ~_out_of_use(chain)
    enough = np.select(
        [grade.eq("piece"), grade.eq("heat or lot per pile"), grade.eq("lot per period")],
        [heat & chain["one_of"].eq(1), heat | lot, heat | period],
        grade.notna(),
    )
    untraced = ~off & ~pd.Series(enough, index=chain.index).astype(bool)
    by_heat = grade.isin(_HEAT) & heat
    type_asked = chain["certificate_type_asked"].notna() & grade.ne("none")
    asked = register & ~untraced
    asked &= by_heat | grade.eq("declaration of conformity") | type_asked
    there = chain["on_file"] & (chain["listed"] | ~by_heat)
    named = asked & by_heat & chain["named"] & chain["on_file"]
    unlisted = named & ~chain["listed"]
    typed = asked & type_asked & there
    return {
        "off_register": off,
        "untraced": untraced,
        "uncertified": asked & ~there & ~unlisted,
        "unlisted": unlisted,
        "low_type": typed & (chain["certificate_type"] < chain["certificate_type_asked"]),
        "with_certificate_asked": asked,
        "with_certificate_named": named,
        "with_type_asked": typed,
        "with_results_asked": by_heat & chain["listed"] & register,
    }


def by_pile(chain: pd.DataFrame) -> pd.DataFrame:
    """One row per pile with a string: how many pieces fall short of what, and which.

    Of each pile the last run with a string. ``pieces``: how many it has; beside each column of
    ``FAULTS`` and ``QUALITIES`` one ending in ``_note``.
    """
    held = chain[chain["latest"]]
    counted = [*FAULTS, *LOOKED_AT, *QUALITIES, *QUALITIES_LOOKED_AT]
    frame = held[["counts", *counted]].groupby(held["pile_id"]).sum().astype(int)
    frame = frame.rename(columns={"counts": "pieces"})
    for name in (*FAULTS, *QUALITIES):
        frame[f"{name}_note"] = ""
        rows = held[held[name]]
        if len(rows):
            words = _notes(rows, name) if name in FAULTS else told(rows, f"{name}_words")
            frame[f"{name}_note"] = words.reindex(frame.index).fillna("")
    return frame.astype(dict.fromkeys((f"{name}_note" for name in (*FAULTS, *QUALITIES)), "str"))


def told(rows: pd.DataFrame, words: str) -> pd.Series:
    """Per pile the first few words on its pieces, each with its stamp and piece."""
    piece = rows["stamp"] + (" " + rows["piece"]).fillna("") + ": "
    first: pd.Series = (piece + rows[words]).groupby(rows["pile_id"]).agg(_first).astype("str")
    return first


def _notes(rows: pd.DataFrame, name: str) -> pd.Series:
    """Per pile the first few words on its pieces at fault."""
    said = rows["break"].fillna("")
    if name == "uncertified":
        said = said.mask(rows["heat"].isna() & ~rows["named"], "no certificate is named")
        lost = rows["named"] & ~rows["on_file"]
        said = said.mask(lost, "certificate " + rows["certificate"] + " is not on the register")
    named = rows["piece"].notna()
    piece = (rows["stamp"] + " " + rows["piece"] + ": ").where(named, "")
    words = (piece + said).groupby(rows["pile_id"])
    first: pd.Series = words.agg(_first).astype("str")
    return first


def _first(words: pd.Series) -> str:
    told = list(dict.fromkeys(words))
    more = len(told) - _MOST_WORDS
    return "; ".join(told[:_MOST_WORDS]) + (f"; and {more} more" if more > 0 else "")
