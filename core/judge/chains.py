"""Where the chain of a piece of steel stops, in words, and whether the contract asks for more.

What each grade of traceability asks: *piece*, a heat of every piece; *heat or lot per pile*, a heat
or a lot of every component; *lot per period*, a lot or a delivery; *declaration of conformity*, a
certificate of any kind; *none*, nothing. A heat that is asked for and known stands on a
certificate; where a type of certificate is asked, there is a certificate, heat or none.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd

from core.judge.steel_quality import LOOKED_AT as QUALITIES_LOOKED_AT
from core.judge.steel_quality import QUALITIES, WORDS

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
    stop = pd.Series(None, index=chain.index, dtype="str")
    for stops, words in _STOPS:
        first = stops(chain) & stop.isna()
        if first.any():
            stop = stop.mask(first, words(chain[first]).reindex(chain.index))
    frame = chain.assign(**{"break": stop}, **_faults(chain))
    return frame.assign(short=frame[list(FAULTS)].any(axis=1))


def _heat(chain: pd.DataFrame) -> pd.Series:
    """The heat with its mill, as people say it."""
    mill = (" of " + chain["mill"]).where(chain["mill"].fillna("").ne(""), "")
    return "heat " + chain["heat"] + mill


def _stamp(chain: pd.DataFrame) -> pd.Series:
    return "stamp " + chain["stamp"]


def _certificate(chain: pd.DataFrame) -> pd.Series:
    return "certificate " + chain["certificate"]


def _out_of_use(chain: pd.DataFrame) -> pd.Series:
    """The run is outside the days between which the component's lot is used."""
    day = chain["run_on"]
    return (day < chain["used_from_on"]) | (day > chain["used_to_on"])


def _of_no_mill(chain: pd.DataFrame) -> pd.Series:
    return chain["mill"].fillna("").eq("") & (chain["mill_count"] > 1)


# Every way to stop with its words, from the pile towards the certificate; of rows that stop.
_STOPS: tuple[tuple[Callable[[pd.DataFrame], pd.Series], Callable[[pd.DataFrame], pd.Series]], ...]
_STOPS = (
    (lambda chain: chain["deliveries"].eq(0), lambda rows: _stamp(rows) + " is on no delivery"),
    (lambda chain: ~chain["on_register"] & chain["delivery_named"],
     lambda rows: _stamp(rows) + " is not on delivery " + rows["delivery_id"]),
    (lambda chain: ~chain["on_register"],
     lambda rows: _stamp(rows) + " came with several deliveries: " + rows["all_deliveries"]),
    (lambda chain: chain["piece"].isna(),
     lambda rows: "no piece of steel is recorded for " + _stamp(rows)),
    (lambda chain: chain["heat"].isna(),
     lambda rows: pd.Series("no heat is recorded for this piece", index=rows.index)),
    (lambda chain: chain["one_of"] > 1,
     lambda rows: "lot " + rows["lot"].fillna(rows["stamp"]) + " is of the heats "
     + rows["all_heats"] + "; which of them this one is of is not recorded"),
    (_of_no_mill,
     lambda rows: _heat(rows) + " is known of several mills: " + rows["mills"]),
    (lambda chain: chain["named"] & ~chain["on_file"],
     lambda rows: _certificate(rows) + " is not on the register"),
    (lambda chain: chain["named"] & ~chain["listed"],
     lambda rows: _certificate(rows) + " does not list " + _heat(rows)),
    (lambda chain: ~chain["listed"], lambda rows: "no certificate lists " + _heat(rows)),
    (_out_of_use,
     lambda rows: "lot " + rows["lot"] + " is not in use on the day of the run"),
    (lambda chain: chain["certificate_type"] < chain["certificate_type_asked"],
     lambda rows: "certificate type " + rows["certificate_type"] + " where "
     + rows["certificate_type_asked"] + " is asked"),
    (lambda chain: chain["stamp_is"].isna(),
     lambda rows: "no component kind " + rows["component_kind"] + " is in project.toml"),
)  # fmt: skip


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
            said = _notes(rows, name) if name in FAULTS else _told(rows, WORDS[name](rows))
            words = _first_words(said, rows["pile_id"])
            frame[f"{name}_note"] = words.reindex(frame.index).fillna("")
    return frame.astype(dict.fromkeys((f"{name}_note" for name in (*FAULTS, *QUALITIES)), "str"))


def _told(rows: pd.DataFrame, words: pd.Series) -> pd.Series:
    """``words`` on each piece after its stamp and piece."""
    return rows["stamp"] + (" " + rows["piece"]).fillna("") + ": " + words


def _notes(rows: pd.DataFrame, name: str) -> pd.Series:
    """What is to say of each piece at fault."""
    said = rows["break"].fillna("")
    if name == "uncertified":
        said = said.mask(rows["heat"].isna() & ~rows["named"], "no certificate is named")
        lost = rows["named"] & ~rows["on_file"]
        said = said.mask(lost, _certificate(rows) + " is not on the register")
    named = rows["piece"].notna()
    piece = (rows["stamp"] + " " + rows["piece"] + ": ").where(named, "")
    return piece + said


def _first_words(words: pd.Series, pile_id: pd.Series) -> pd.Series:
    """Per pile the first few different words, and how many more there are."""
    pairs = pd.DataFrame({"pile_id": pile_id, "words": words}).drop_duplicates()
    by_pile = pairs.groupby("pile_id")
    at, number = by_pile.cumcount(), by_pile.size()
    first = pairs[at.eq(0)].set_index("pile_id")["words"]
    for place in range(1, _MOST_WORDS):
        further = pairs[at.eq(place)].set_index("pile_id")["words"]
        first = first.add(("; " + further).reindex(first.index).fillna(""))
    more = (number - _MOST_WORDS)[number > _MOST_WORDS].astype("str")
    return first.add(("; and " + more + " more").reindex(first.index).fillna("")).astype("str")
