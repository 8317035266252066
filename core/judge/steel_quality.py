"""What each piece of steel is against its grade, its zinc, its origin and the day it came.

Marks are boolean columns, one per name of ``QUALITIES``, set for every piece; ``WORDS`` says of
pieces at fault what is wrong. ``LOOKED_AT`` marks the pieces that each was looked for in.
"""

from __future__ import annotations

from collections.abc import Callable

import pandas as pd

from core.criteria.outcomes import at_least, at_most

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
    """``chain``, which comes of ``chains.with_breaks``, with every mark."""
    parts = [_days(chain), _grade(chain), _chemistry(chain), _zinc(chain), _origin(chain)]
    columns: dict[str, pd.Series] = {}
    for part in parts:
        columns |= part
    return chain.assign(**columns)


def _days(chain: pd.DataFrame) -> dict[str, pd.Series]:
    delivered, run = chain["delivered_on"], chain["run_on"]
    return {"with_day": delivered.notna() & run.notna(), "early": run < delivered}


def _early_words(rows: pd.DataFrame) -> pd.Series:
    delivered, run = (rows[name].dt.strftime("%Y-%m-%d") for name in ("delivered_on", "run_on"))
    words: pd.Series = "delivered on " + delivered + ", the run is of " + run
    return words


def _grade(chain: pd.DataFrame) -> dict[str, pd.Series]:
    """Results on the certificate against the least of the grade; what is asked and not told."""
    asked = chain["with_results_asked"]
    low, lacking = _no(chain), _no(chain)
    for name in STRENGTHS:
        low |= _under(chain, name)
        lacking |= _untold(chain, f"least_{name}", name)
    return {
        "with_grade": asked,
        "below_grade": low,
        "unproven": lacking | (asked & ~chain["grade_set"]),
    }


def _under(chain: pd.DataFrame, name: str) -> pd.Series:
    """The certificate tells a strength below the least of the grade."""
    least, result = chain[f"least_{name}"], chain[name]
    both = chain["with_results_asked"] & result.notna() & least.notna()
    low: pd.Series = both & ~at_least(result, least)
    return low


def _untold(chain: pd.DataFrame, limit: str, name: str) -> pd.Series:
    """There is a limit to a result that the certificate does not tell."""
    return chain["with_results_asked"] & chain[limit].notna() & chain[name].isna()


def _below_grade_words(rows: pd.DataFrame) -> pd.Series:
    words = _silent(rows)
    for name, word in STRENGTHS.items():
        words = _more(words, _under(rows, name), f"{word} below its grade")
    return _heat_and_certificate(rows) + ": " + words


def _unproven_words(rows: pd.DataFrame) -> pd.Series:
    words = _silent(rows)
    for name, word in STRENGTHS.items():
        words = _more(words, _untold(rows, f"least_{name}", name), word)
    words = _heat_and_certificate(rows) + " gives no " + words
    named = rows["standard"].notna() & rows["grade"].notna()
    nameless = "certificate " + rows["certificate"] + " names no standard and grade"
    grade = "grade " + rows["grade"] + " of " + rows["standard"]
    ungraded = nameless.mask(named, grade + " is not among steel_grades in project.toml")
    return words.where(rows["grade_set"], ungraded)


def _heat_and_certificate(rows: pd.DataFrame) -> pd.Series:
    return "heat " + rows["heat"] + " on certificate " + rows["certificate"]


def _elements(chain: pd.DataFrame) -> dict[str, str]:
    """Names of the shares to which a grade sets a limit, by the name of the limit."""
    limits = [str(name) for name in chain if str(name).startswith("most_")]
    return {name: name.removeprefix("most_") for name in limits if chain[name].notna().any()}


def _chemistry(chain: pd.DataFrame) -> dict[str, pd.Series]:
    """The ladle analysis against the most that the project sets."""
    asked, over, lacking = _no(chain), _no(chain), _no(chain)
    for limit, name in _elements(chain).items():
        asked |= chain["with_results_asked"] & chain[limit].notna()
        over |= _beyond(chain, limit, name)
        lacking |= _untold(chain, limit, name)
    return {"with_chemistry": asked, "over_chemistry": over, "no_chemistry": lacking}


def _beyond(chain: pd.DataFrame, limit: str, name: str) -> pd.Series:
    """The certificate tells a share above the most that the grade allows."""
    most, share = chain[limit], chain[name]
    both = chain["with_results_asked"] & most.notna() & share.notna()
    over: pd.Series = both & ~at_most(share, most)
    return over


def _over_chemistry_words(rows: pd.DataFrame) -> pd.Series:
    words = _silent(rows)
    for limit, name in _elements(rows).items():
        share, most = (rows[column].map("{:g} %".format) for column in (name, limit))
        told = f"{_element(name)} " + share + ", at most " + most
        words = _more(words, _beyond(rows, limit, name), told)
    return _heat_and_certificate(rows) + ": " + words


def _no_chemistry_words(rows: pd.DataFrame) -> pd.Series:
    words = _silent(rows)
    for limit, name in _elements(rows).items():
        words = _more(words, _untold(rows, limit, name), _element(name))
    return _heat_and_certificate(rows) + " gives no " + words


def _element(name: str) -> str:
    return name.removesuffix("_percent").replace("_", " ")


def _zinc(chain: pd.DataFrame) -> dict[str, pd.Series]:
    """The zinc of the component; it is told once, with the first of its pieces."""
    first = chain["on_register"] & ~chain.duplicated(["pile_id", "run_no", "place"])
    least, zinc = chain["zinc_um_asked"], chain["zinc_um"]
    return {
        "with_zinc": first & (chain["zinc_lot_asked"] | least.notna()),
        "no_zinc": first & (_no_zinc_lot(chain) | _no_zinc_reading(chain)),
        "with_thickness": first & least.notna() & zinc.notna(),
        "thin_zinc": first & least.notna() & zinc.notna() & ~at_least(zinc, least),
    }


def _no_zinc_lot(chain: pd.DataFrame) -> pd.Series:
    return chain["zinc_lot_asked"] & chain["zinc_lot"].isna()


def _no_zinc_reading(chain: pd.DataFrame) -> pd.Series:
    return chain["zinc_um_asked"].notna() & chain["zinc_um"].isna()


def _no_zinc_words(rows: pd.DataFrame) -> pd.Series:
    words = _more(_silent(rows), _no_zinc_lot(rows), "its zinc lot is not recorded")
    return _more(words, _no_zinc_reading(rows), "the thickness of its zinc is not recorded")


def _thin_zinc_words(rows: pd.DataFrame) -> pd.Series:
    return pd.Series("its zinc is thinner than asked", index=rows.index)


def _origin(chain: pd.DataFrame) -> dict[str, pd.Series]:
    """Whether the certificate shows that the heat was melted where the contract allows."""
    asked = chain["origin_asked"].notna() & chain["heat"].notna()
    named = chain.loc[asked & chain["melted_in"].notna(), ["origin_asked", "melted_in"]]
    pairs = zip(named["melted_in"], named["origin_asked"], strict=True)
    inside = [
        f", {country.strip().casefold()}, " in f", {allowed.casefold()}, "
        for country, allowed in pairs
    ]
    home = pd.Series(inside, index=named.index, dtype=bool)
    return {
        "with_origin": asked,
        "foreign": asked & ~home.reindex(chain.index, fill_value=False),
    }


def _foreign_words(rows: pd.DataFrame) -> pd.Series:
    heat = "heat " + rows["heat"]
    melted: pd.Series = heat + " is melted in " + rows["melted_in"]
    return melted.fillna(heat + ": no certificate says where melted")


def _quarantined_words(rows: pd.DataFrame) -> pd.Series:
    return "heat " + rows["heat"] + " is " + rows["quarantine_note"]


WORDS: dict[str, Callable[[pd.DataFrame], pd.Series]] = {
    "early": _early_words,
    "below_grade": _below_grade_words,
    "unproven": _unproven_words,
    "over_chemistry": _over_chemistry_words,
    "no_chemistry": _no_chemistry_words,
    "no_zinc": _no_zinc_words,
    "thin_zinc": _thin_zinc_words,
    "foreign": _foreign_words,
    "quarantined": _quarantined_words,
}


def _no(chain: pd.DataFrame) -> pd.Series:
    return pd.Series(False, index=chain.index)


def _silent(chain: pd.DataFrame) -> pd.Series:
    return pd.Series("", index=chain.index)


def _more(words: pd.Series, where: pd.Series, further: pd.Series | str) -> pd.Series:
    """``words`` with one more, after a comma where something stands already, where it holds."""
    between = words.ne("").map({True: "; ", False: ""})
    return words.mask(where, words + between + further)
