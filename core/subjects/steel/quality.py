"""What each piece of steel is against its grade, its zinc, its origin and the day it came.

Marks are masks, one per name of ``QUALITIES``, set for every piece; ``words`` says of pieces at
fault what is wrong. ``CHECKED`` marks the pieces that each was looked for in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cache
from typing import Protocol

import numpy as np

from core.criteria.columns import Days, Mask, Numbers, Texts, text_array
from core.criteria.outcomes import at_least, at_most, day_texts
from core.records import ELEMENTS

# Pieces at fault, by the name that marks them.
QUALITIES = ("early", "below_grade", "unproven", "over_chemistry", "no_chemistry", "no_zinc",
             "thin_zinc", "foreign", "quarantined")  # fmt: skip
CHECKED = ("with_day", "with_grade", "with_chemistry", "with_zinc", "with_thickness",
             "with_origin")  # fmt: skip
STRENGTHS = {
    "yield_mpa": "yield strength",
    "tensile_mpa": "tensile strength",
    "elongation_percent": "elongation",
}
SHARES = {f"{name}_percent": name.replace("_", " ") for name in ELEMENTS.values()}


class Pieces(Protocol):
    """Pieces of steel, column by column. Nobody writes to an array given here."""

    def __len__(self) -> int:
        """Number of pieces."""

    def numbers(self, name: str) -> Numbers:
        """A column as numbers, NaN where unknown."""

    def text(self, name: str) -> Texts:
        """A column as texts, "" where there is none."""

    def day(self, name: str) -> Days:
        """A column as days, NaT where unknown."""

    def is_true(self, name: str) -> Mask:
        """Whether each piece is known to be so."""


def marks(pieces: Pieces) -> dict[str, Mask]:
    """Every mark of ``pieces`` but that of a quarantine, which is a decision."""
    return {
        **_days(pieces), **_grade(pieces), **_chemistry(pieces), **_zinc(pieces), **_origin(pieces),
    }  # fmt: skip


def words(pieces: Pieces, name: str) -> list[str]:
    """What is wrong with each of ``pieces``, all of which have the mark ``name``."""
    return _WORDS[name](pieces)


def _days(pieces: Pieces) -> dict[str, Mask]:
    delivered, run = pieces.day("delivered_on"), pieces.day("run_on")
    return {"with_day": ~(np.isnat(delivered) | np.isnat(run)), "early": run < delivered}


def _early_words(pieces: Pieces) -> list[str]:
    delivered, run = (day_texts(pieces.day(name)) for name in ("delivered_on", "run_on"))
    return _listed("delivered on " + delivered + ", the run is of " + run)


def _grade(pieces: Pieces) -> dict[str, Mask]:
    """Results on the certificate against the minimum of the grade; what is asked and not given."""
    asked = pieces.is_true("with_results_asked")
    low, lacking = _none(pieces), asked & ~pieces.is_true("grade_set")
    for name in STRENGTHS:
        low |= _under(pieces, name)
        lacking |= _not_given(pieces, f"min_{name}", name)
    return {"with_grade": asked, "below_grade": low, "unproven": lacking}


def _under(pieces: Pieces, name: str) -> Mask:
    """The certificate gives a strength below the minimum of the grade."""
    minimum, result = pieces.numbers(f"min_{name}"), pieces.numbers(name)
    found: Mask = _compared(pieces, result, minimum) & ~at_least(result, minimum)
    return found


def _compared(pieces: Pieces, result: Numbers, limit: Numbers) -> Mask:
    known: Mask = ~(np.isnan(result) | np.isnan(limit))
    return pieces.is_true("with_results_asked") & known


def _not_given(pieces: Pieces, limit: str, name: str) -> Mask:
    """There is a limit to a result that the certificate does not give."""
    known = ~np.isnan(pieces.numbers(limit))
    return pieces.is_true("with_results_asked") & known & np.isnan(pieces.numbers(name))


def _below_grade_words(pieces: Pieces) -> list[str]:
    faults = _joined(
        pieces, ((_under(pieces, name), f"{word} below its grade") for name, word in
                 STRENGTHS.items())
    )  # fmt: skip
    return _listed(_heat_and_certificate(pieces) + ": " + faults)


def _unproven_words(pieces: Pieces) -> list[str]:
    lacking = _joined(
        pieces, ((_not_given(pieces, f"min_{name}", name), word) for name, word in
                 STRENGTHS.items())
    )  # fmt: skip
    found = _heat_and_certificate(pieces) + " gives no " + lacking
    standard, grade = pieces.text("standard"), pieces.text("grade")
    ungraded = ~pieces.is_true("grade_set")
    named = (standard != "") & (grade != "")
    nameless = "certificate " + pieces.text("certificate") + " names no standard and grade"
    unknown = "grade " + grade + " of " + standard + " is not among steel_grades in project.toml"
    return _listed(np.where(ungraded, np.where(named, unknown, nameless), found))


def _heat_and_certificate(pieces: Pieces) -> Texts:
    found: Texts = "heat " + pieces.text("heat") + " on certificate " + pieces.text("certificate")
    return found


def _limited(pieces: Pieces) -> dict[str, str]:
    """Shares to which a grade of one of ``pieces`` sets a limit, by name with their word."""
    return {
        name: word for name, word in SHARES.items()
        if not np.isnan(pieces.numbers(f"max_{name}")).all()
    }  # fmt: skip


def _chemistry(pieces: Pieces) -> dict[str, Mask]:
    """The ladle analysis against the most that the project sets."""
    asked, over, lacking = _none(pieces), _none(pieces), _none(pieces)
    compared = pieces.is_true("with_results_asked")
    for name in _limited(pieces):
        asked |= compared & ~np.isnan(pieces.numbers(f"max_{name}"))
        over |= _beyond(pieces, name)
        lacking |= _not_given(pieces, f"max_{name}", name)
    return {"with_chemistry": asked, "over_chemistry": over, "no_chemistry": lacking}


def _beyond(pieces: Pieces, name: str) -> Mask:
    """The certificate gives a share above the most that the grade allows."""
    most, share = pieces.numbers(f"max_{name}"), pieces.numbers(name)
    found: Mask = _compared(pieces, share, most) & ~at_most(share, most)
    return found


def _over_chemistry_words(pieces: Pieces) -> list[str]:
    parts = []
    for name, word in _limited(pieces).items():
        share, most = pieces.numbers(name).tolist(), pieces.numbers(f"max_{name}").tolist()
        told = [f"{word} {one:g} %, at most {limit:g} %" for one, limit in
                zip(share, most, strict=True)]  # fmt: skip
        parts.append((_beyond(pieces, name), told))
    return _listed(_heat_and_certificate(pieces) + ": " + _joined(pieces, parts))


def _no_chemistry_words(pieces: Pieces) -> list[str]:
    lacking = _joined(
        pieces,
        ((_not_given(pieces, f"max_{name}", name), word) for name, word in
         _limited(pieces).items()),
    )  # fmt: skip
    return _listed(_heat_and_certificate(pieces) + " gives no " + lacking)


def _zinc(pieces: Pieces) -> dict[str, Mask]:
    """The zinc of the component; it is told once, with the first of its pieces."""
    first = pieces.is_true("on_register") & pieces.is_true("first_of_place")
    minimum, zinc = pieces.numbers("zinc_um_asked"), pieces.numbers("zinc_um")
    compared = first & ~np.isnan(minimum) & ~np.isnan(zinc)
    return {
        "with_zinc": first & (pieces.is_true("zinc_lot_asked") | ~np.isnan(minimum)),
        "no_zinc": first & (_no_zinc_lot(pieces) | _no_zinc_reading(pieces)),
        "with_thickness": compared,
        "thin_zinc": compared & ~at_least(zinc, minimum),
    }


def _no_zinc_lot(pieces: Pieces) -> Mask:
    found: Mask = pieces.is_true("zinc_lot_asked") & (pieces.text("zinc_lot") == "")
    return found


def _no_zinc_reading(pieces: Pieces) -> Mask:
    asked = ~np.isnan(pieces.numbers("zinc_um_asked"))
    found: Mask = asked & np.isnan(pieces.numbers("zinc_um"))
    return found


def _no_zinc_words(pieces: Pieces) -> list[str]:
    parts = (
        (_no_zinc_lot(pieces), "its zinc lot is not recorded"),
        (_no_zinc_reading(pieces), "the thickness of its zinc is not recorded"),
    )
    return _listed(_joined(pieces, parts))


def _thin_zinc_words(pieces: Pieces) -> list[str]:
    return ["its zinc is thinner than required"] * len(pieces)


def _origin(pieces: Pieces) -> dict[str, Mask]:
    """Whether the certificate shows that the heat was melted where the contract allows."""
    allowed, melted = pieces.text("origin_asked"), pieces.text("melted_in")
    asked = (allowed != "") & (pieces.text("heat") != "")
    home = _none(pieces)
    rows = np.flatnonzero(asked & (melted != ""))
    home[rows] = [*map(_is_among, melted[rows].tolist(), allowed[rows].tolist())]
    return {"with_origin": asked, "foreign": asked & ~home}


@cache
def _is_among(country: str, countries: str) -> bool:
    """Whether ``country`` is one of those in a text, which are joined by commas."""
    return f", {country.strip().casefold()}, " in f", {countries.casefold()}, "


def _foreign_words(pieces: Pieces) -> list[str]:
    heat, melted = "heat " + pieces.text("heat"), pieces.text("melted_in")
    nowhere = heat + ": no certificate states where melted"
    return _listed(np.where(melted != "", heat + " is melted in " + melted, nowhere))


def _quarantined_words(pieces: Pieces) -> list[str]:
    return _listed("heat " + pieces.text("heat") + " is " + pieces.text("quarantine_note"))


_WORDS: dict[str, Callable[[Pieces], list[str]]] = {
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


def _none(pieces: Pieces) -> Mask:
    return np.zeros(len(pieces), dtype=bool)


def _joined(pieces: Pieces, parts: Iterable[tuple[Mask, str | list[str]]]) -> Texts:
    """Per piece the texts of the parts whose mask holds, after one another."""
    found: list[list[str]] = [[] for _ in range(len(pieces))]
    for mask, text in parts:
        for at in np.flatnonzero(mask).tolist():
            found[at].append(text if isinstance(text, str) else text[at])
    return text_array(["; ".join(texts) for texts in found])


def _listed(texts: Texts) -> list[str]:
    found: list[str] = texts.tolist()
    return found
