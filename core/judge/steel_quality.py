"""What each piece of steel is against its grade, its zinc, its origin and the day it came.

Each function adds boolean columns, one per name of ``QUALITIES``, with the words to it in a
column ending in ``_words``; ``LOOKED_AT`` marks the pieces that each was looked for in.
"""

from __future__ import annotations

import pandas as pd

from core.judge.findings import at_least, at_most

# Pieces at fault, by the column that marks them.
QUALITIES = ("early", "below_grade", "unproven", "over_chemistry", "no_chemistry", "no_zinc",
             "thin_zinc", "foreign", "quarantined")  # fmt: skip
LOOKED_AT = ("with_day", "with_grade", "with_chemistry", "with_zinc", "with_thickness",
             "with_origin")  # fmt: skip
STRENGTHS = {
    "yield_mpa": "yield strength",
    "tensile_mpa": "tensile strength",
    "elongation_percent": "elongation",
}


def with_qualities(chain: pd.DataFrame) -> pd.DataFrame:
    """``chain``, which comes of ``chains.with_breaks``, with every quality."""
    parts = [_days(chain), _grade(chain), _chemistry(chain), _zinc(chain), _origin(chain)]
    columns: dict[str, pd.Series] = {}
    for part in parts:
        columns |= part
    words = ("heat " + chain["heat"] + " is " + chain["quarantine_note"]).fillna("")
    return chain.assign(**columns, quarantined_words=words)


def _days(chain: pd.DataFrame) -> dict[str, pd.Series]:
    delivered, run = chain["delivered_on"], chain["run_on"]
    words = (
        "delivered on " + delivered.dt.strftime("%Y-%m-%d")
        + ", the run is of " + run.dt.strftime("%Y-%m-%d")
    )  # fmt: skip
    return {
        "with_day": delivered.notna() & run.notna(),
        "early": run < delivered,
        "early_words": words.fillna(""),
    }


def _grade(chain: pd.DataFrame) -> dict[str, pd.Series]:
    """Results on the certificate against the least of the grade; what is asked and not told."""
    asked = chain["with_results_asked"]
    where = "heat " + chain["heat"] + " on certificate " + chain["certificate"]
    low, lacking = _no(chain), _no(chain)
    low_words, lacking_words = _silent(chain), _silent(chain)
    for name, word in STRENGTHS.items():
        least, result = chain[f"least_{name}"], chain[name]
        under = asked & result.notna() & least.notna() & ~at_least(result, least)
        untold = asked & least.notna() & result.isna()
        low |= under
        lacking |= untold
        low_words = _more(low_words, under, f"{word} below its grade")
        lacking_words = _more(lacking_words, untold, word)
    named = chain["standard"].notna() & chain["grade"].notna()
    unknown = asked & ~chain["grade_set"]
    lacking_words = (where + " gives no " + lacking_words).where(~unknown, _ungraded(chain, named))
    return {
        "with_grade": asked,
        "below_grade": low,
        "below_grade_words": (where + ": " + low_words).fillna(""),
        "unproven": lacking | unknown,
        "unproven_words": lacking_words.fillna(""),
    }


def _ungraded(chain: pd.DataFrame, named: pd.Series) -> pd.Series:
    certificate = "certificate " + chain["certificate"]
    grade = "grade " + chain["grade"] + " of " + chain["standard"]
    return (certificate + " names no standard and grade").where(
        ~named, grade + " is not among steel_grades in project.toml"
    )


def _chemistry(chain: pd.DataFrame) -> dict[str, pd.Series]:
    """The ladle analysis against the most that the project sets."""
    asked, over, lacking = _no(chain), _no(chain), _no(chain)
    over_words, lacking_words = _silent(chain), _silent(chain)
    limits = [str(name) for name in chain if str(name).startswith("most_")]
    for limit in [name for name in limits if chain[name].notna().any()]:
        name = limit.removeprefix("most_")
        element = name.removesuffix("_percent").replace("_", " ")
        most, share = chain[limit], chain[name]
        here = chain["with_results_asked"] & most.notna()
        beyond, untold = here & share.notna() & ~at_most(share, most), here & share.isna()
        asked |= here
        over |= beyond
        lacking |= untold
        told = f"{element} " + share.map("{:g} %".format) + ", at most " + most.map("{:g} %".format)
        over_words = _more(over_words, beyond, told)
        lacking_words = _more(lacking_words, untold, element)
    where = "heat " + chain["heat"] + " on certificate " + chain["certificate"]
    return {
        "with_chemistry": asked,
        "over_chemistry": over,
        "over_chemistry_words": (where + ": " + over_words).fillna(""),
        "no_chemistry": lacking,
        "no_chemistry_words": (where + " gives no " + lacking_words).fillna(""),
    }


def _zinc(chain: pd.DataFrame) -> dict[str, pd.Series]:
    """The zinc of the component; it is told once, with the first of its pieces."""
    first = chain["on_register"] & ~chain.duplicated(["pile_id", "run_no", "place"])
    least, zinc = chain["zinc_um_asked"], chain["zinc_um"]
    by_lot, by_reading = first & chain["zinc_lot_asked"], first & least.notna()
    no_lot, no_reading = by_lot & chain["zinc_lot"].isna(), by_reading & zinc.isna()
    words = _more(_silent(chain), no_lot, "its zinc lot is not recorded")
    words = _more(words, no_reading, "the thickness of its zinc is not recorded")
    return {
        "with_zinc": by_lot | by_reading,
        "no_zinc": no_lot | no_reading,
        "no_zinc_words": words,
        "with_thickness": by_reading & zinc.notna(),
        "thin_zinc": by_reading & zinc.notna() & ~at_least(zinc, least),
        "thin_zinc_words": pd.Series("its zinc is thinner than asked", index=chain.index),
    }


def _origin(chain: pd.DataFrame) -> dict[str, pd.Series]:
    """Whether the certificate shows that the heat was melted where the contract allows."""
    asked = chain["origin_asked"].notna() & chain["heat"].notna()
    country = chain["melted_in"]
    allowed = ", " + chain["origin_asked"].fillna("").str.casefold() + ", "
    sought = ", " + country.fillna("").str.strip().str.casefold() + ", "
    pairs = zip(sought, allowed, strict=True)
    inside = pd.Series([one in all_ for one, all_ in pairs], index=chain.index, dtype=bool)
    heat = "heat " + chain["heat"]
    words = (heat + " is melted in " + country).fillna(heat + ": no certificate says where melted")
    return {
        "with_origin": asked,
        "foreign": asked & ~(inside & country.notna()),
        "foreign_words": words.fillna(""),
    }


def _no(chain: pd.DataFrame) -> pd.Series:
    return pd.Series(False, index=chain.index)


def _silent(chain: pd.DataFrame) -> pd.Series:
    return pd.Series("", index=chain.index)


def _more(words: pd.Series, where: pd.Series, further: pd.Series | str) -> pd.Series:
    """``words`` with one more, after a comma where something stands already, where it holds."""
    between = words.ne("").map({True: "; ", False: ""})
    return words.mask(where, words + between + further)
