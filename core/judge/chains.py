"""Where the chain of a piece of steel stops, in words, and whether the contract asks for more."""

from __future__ import annotations

import pandas as pd

# What each grade of traceability of project.toml asks of a piece of steel.
HEAT_ASKED = ("piece",)
HEAT_OR_LOT_ASKED = ("heat or lot per pile",)
CERTIFICATE_ASKED = ("piece", "heat or lot per pile", "declaration of conformity")


def with_breaks(chain: pd.DataFrame) -> pd.DataFrame:
    """``chain`` with ``break``: where it stops, missing where it is whole.

    A fact, whatever grade of traceability the contract asks; the rules ask for the grade.
    """
    frame = chain.assign(**{"break": pd.Series(None, index=chain.index, dtype="str")})
    for stops, words in _stops(frame):
        first = stops & frame["break"].isna()
        frame["break"] = frame["break"].mask(first, words)
    return frame


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
        (_of_no_mill(chain), heat + " is known of several mills: " + chain["mills"]),
        (named & ~chain["on_file"], certificate + " is not on the register"),
        (named & ~chain["listed"], certificate + " does not list " + heat),
        (~chain["listed"], "no certificate lists " + heat),
        (low, "certificate type " + chain["certificate_type"] + " where "
         + chain["certificate_type_asked"] + " is asked"),
        (chain["stamp_is"].isna(), "no component kind " + chain["component_kind"]
         + " is in project.toml"),
    ]  # fmt: skip


def _heat(chain: pd.DataFrame) -> pd.Series:
    """The heat with its mill, as people say it."""
    mill = (" of " + chain["mill"]).where(chain["mill"].fillna("").ne(""), "")
    return "heat " + chain["heat"] + mill


def _of_no_mill(chain: pd.DataFrame) -> pd.Series:
    return chain["mill"].fillna("").eq("") & (chain["mill_count"] > 1)
