# mypy: disable-error-code="no-any-return,arg-type,unused-ignore"
"""Criteria of steel: the string and its lengths, and how far every piece of it is traced."""

from __future__ import annotations

from typing import Annotated

import numpy as np
import pandas as pd
from pydantic import Field

from core.criteria.as_frames import Cases, Outcome, at_most, other_findings, outcome
from core.criteria.base import Criterion, Length
from core.criteria.kinds import FindingKind, finding, makes
from core.criteria.quantities import ROUNDED_UP

CERTIFICATE = "the certificate, a concession or a replacement"


class StringRecorded(Criterion):
    """Every component of the string is recorded, and is of the pile's type."""

    @finding(
        "string_recorded",
        "string recorded",
        "Every component of the string, from the toe up, with its stamp.",
        blocks="AH",
        owner="FM",
        clears="the string list of the run, or the stamps read again on site",
        measure="string",
    )
    @staticmethod
    def string_recorded(cases: Cases) -> Outcome:
        """Every place of the string is recorded and no coupling is without its bolts.

        The last string listed is the whole one: what an earlier run placed stands in it again,
        and a later run that lists none has placed nothing.
        """
        count = cases["components"].fillna(0)
        result = pd.DataFrame({"measured": np.nan, "limit_value": np.nan}, index=cases.index)
        result["note"] = count.astype(int).astype(str) + " components"
        result["result"], result["part"] = "met", ""
        loose = cases["loose_bolts"].notna()
        place = cases["loose_bolts"].fillna(0).astype(int).astype(str)
        result.loc[loose, "result"] = "not met"
        result.loc[loose, "part"] = "place " + place[loose]
        result.loc[loose, "note"] = "bolts not fitted at place " + place[loose]
        gap = cases["missing_place"].notna()
        place = cases["missing_place"].fillna(0).astype(int).astype(str)
        result.loc[gap, "result"] = "no evidence"
        result.loc[gap, "part"] = "place " + place[gap]
        result.loc[gap, "note"] = "place " + place[gap] + " of the string is not recorded"
        none = count.eq(0)
        result.loc[none, "result"] = "no evidence"
        result.loc[none, "note"] = "no component of the string is recorded"
        return result

    @finding(
        "wrong_component_for_type",
        "wrong component for the type",
        "Shaft or helices of the string differ from those of the pile's type.",
        blocks="AC",
        owner="DES",
        clears="the record corrected, a replacement or a concession",
        measure="string",
        after="lot_quantity_exceeded",
    )
    @staticmethod
    def component_of_type(cases: Cases) -> Outcome:
        """The lead's shaft and helices, where its delivery gives them, are those of the type."""
        result = pd.DataFrame({"measured": np.nan, "limit_value": np.nan}, index=cases.index)
        result["result"], result["note"], result["part"] = "met", "", ""
        said = pd.Series(False, index=cases.index)
        for name, word in (("section", "shaft"), ("helix_set", "helix set")):
            given, asked = cases[f"lead_{name}"], cases[name]
            said |= given.notna()
            wrong = given.notna() & asked.notna() & given.ne(asked)
            lead = "lead " + cases["lead_stamp"] + " is of " + word + " "
            words = lead + given.astype("str") + ", the type of " + asked.astype("str")
            result.loc[wrong, "note"] = words[wrong]
            result.loc[wrong, "part"] = "stamp " + cases["lead_stamp"][wrong]
            result.loc[wrong, "result"] = "not met"
        result.loc[~said, "result"] = None
        return result


class LengthReconciliation(Criterion):
    """Maximum difference between the length placed and the recorded depth."""

    greatest_difference_mm: Annotated[Length, ROUNDED_UP] = Field(
        description="maximum difference", examples=["50 mm", "2 in"]
    )

    @finding(
        "length_reconciliation",
        "length reconciliation",
        "Length placed less cut-off and stick-up against the recorded depth of the toe.",
        blocks="AH",
        owner="QC",
        clears="the string list, cut-off, stick-up or toe corrected",
        measure="length_difference_mm",
        sense="at most",
        unit_column="length_difference_mm",
    )
    @staticmethod
    def length_reconciliation(cases: Cases) -> Outcome:
        """Length of the string in the ground against the recorded depth of the toe."""
        measured, limit = cases["length_difference_mm"], cases["greatest_difference_mm"]
        result = outcome(cases, at_most(measured, limit), measured, limit)
        for name, words in (
            ("toe_mm", "the toe depth is not recorded"),
            ("stick_up_mm", "the stick-up is not recorded"),
            ("cut_off_mm", "the length cut off is not recorded"),
            ("placed_length_mm", "the length of a component is not recorded"),
        ):
            result.loc[cases[name].isna(), "note"] = words
        none = cases["components"].fillna(0).eq(0)
        result.loc[none, "note"] = "no component of the string is recorded"
        return result


class SteelTraced(Criterion):
    """Every piece of steel is traced as far as its kind of component asks."""

    @finding(
        "component_not_on_register",
        "component not on the register",
        "A component in the ground that no delivery brought.",
        blocks="AH",
        owner="QC",
        clears="the component's delivery and certificate, or the stamp read again",
        measure="steel",
        sense="at most",
    )
    @staticmethod
    def component_on_register(cases: Cases) -> Outcome:
        """Every component in the ground came with a delivery."""
        return _none_of(cases, "off_register", cases["pieces"], "no evidence")

    @finding(
        "heat_traced",
        "heat traced",
        "Every piece of steel of the string leads to a heat, as far as the contract asks.",
        blocks="AH",
        owner="QC",
        clears="the heat of the piece, from the supplier or the stamp",
        measure="steel",
        sense="at most",
    )
    @staticmethod
    def heat_traced(cases: Cases) -> Outcome:
        """Every piece leads to a heat, lot or delivery, as far as its kind is traced."""
        result = _none_of(cases, "untraced", cases["pieces"], "no evidence")
        none = cases["pieces"].isna()
        result.loc[none, "result"] = "no evidence"
        result.loc[none, "note"] = "no component of the string is recorded"
        return result

    @finding(
        "mill_certificate",
        "mill certificate",
        "Every heat of the string stands on a mill certificate.",
        blocks="AH",
        owner="QC",
        clears="the certificate that covers the heat",
        measure="steel",
        sense="at most",
    )
    @staticmethod
    def mill_certificate(cases: Cases) -> Outcome:
        """Every piece of which the contract asks it stands on a certificate."""
        return _none_of(cases, "uncertified", cases["with_certificate_asked"], "no evidence")

    @finding(
        "heat_not_on_named_certificate",
        "heat not on the certificate named",
        "The certificate named for a piece does not list its heat.",
        blocks="AH",
        owner="QC",
        clears="a confirmed reading of the stamp, or the right certificate",
        measure="steel",
        sense="at most",
    )
    @staticmethod
    def heat_on_certificate_named(cases: Cases) -> Outcome:
        """The certificate named for a piece lists its heat."""
        return _none_of(cases, "unlisted", cases["with_certificate_named"], "no evidence")

    @finding(
        "certificate_type",
        "type of mill certificate",
        "Type of the certificate by EN 10204 against the type that the contract asks.",
        blocks="H",
        owner="QC",
        clears="the right document",
        measure="steel",
        sense="at most",
    )
    @staticmethod
    def type_of_certificate(cases: Cases) -> Outcome:
        """The certificate is of the type asked or a higher one; only ever *noted*."""
        return _none_of(cases, "low_type", cases["with_type_asked"], "noted")

    @finding(
        "component_placed_before_delivery",
        "component placed before delivery",
        "A component stands in a run before the day on which it was delivered.",
        blocks="AH",
        owner="QC",
        clears="the day of the delivery or the stamp read again",
        measure="steel",
        sense="at most",
    )
    @staticmethod
    def before_delivery(cases: Cases) -> Outcome:
        """No component is placed before the day on which it was delivered."""
        return _none_of(cases, "early", cases["with_day"], "no evidence")

    @finding(
        "zinc_recorded",
        "zinc recorded",
        "Zinc lot and thickness of a component for which zinc is specified.",
        blocks="H",
        owner="QC",
        clears="the galvanizer's record",
        measure="steel",
        sense="at most",
    )
    @staticmethod
    def zinc_recorded(cases: Cases) -> Outcome:
        """The zinc of a component is recorded where it is specified; only ever *noted*."""
        return _none_of(cases, "no_zinc", cases["with_zinc"], "noted")

    @finding(
        "zinc_thickness",
        "zinc thickness",
        "Mean thickness of the zinc against the least specified.",
        blocks="AH",
        owner="DES",
        clears="readings again, a concession or a replacement",
        measure="steel",
        sense="at most",
    )
    @staticmethod
    def zinc_thickness(cases: Cases) -> Outcome:
        """The zinc recorded is as thick as specified."""
        return _none_of(cases, "thin_zinc", cases["with_thickness"], "not met")

    @finding(
        "steel_origin",
        "origin of the steel",
        "Country of melt on the mill certificate against the contract's rule of origin.",
        blocks="HP",
        owner="QC",
        clears="the certificate that shows it, or a waiver",
        measure="steel",
        sense="at most",
    )
    @staticmethod
    def origin_of_steel(cases: Cases) -> Outcome:
        """The steel is shown to be melted where the contract allows; only ever *noted*."""
        return _none_of(cases, "foreign", cases["with_origin"], "noted")


class SteelGrade(Criterion):
    """Results on mill certificates against the grade and the chemistry that the project sets."""

    @finding(
        "steel_grade",
        "grade of the steel",
        "Strength and elongation on the mill certificate against the least of the grade.",
        blocks="AH",
        owner="DES",
        clears=CERTIFICATE,
        measure="steel",
        sense="at most",
        after="component_placed_before_delivery",
    )
    @staticmethod
    def grade_of_steel(cases: Cases) -> Outcome:
        """Results on the certificates reach the least of their grade, and each is told."""
        return _proven(cases, "below_grade", "unproven", cases["with_grade"])

    @finding(
        "steel_chemistry",
        "chemistry of the steel",
        "Ladle analysis on the mill certificate against the limits that the project sets.",
        blocks="AH",
        owner="DES",
        clears=CERTIFICATE,
        measure="steel",
        sense="at most",
        after="steel_grade",
    )
    @staticmethod
    def chemistry_of_steel(cases: Cases) -> Outcome:
        """The ladle analysis is within the limits that the project sets, and each share is told."""
        return _proven(cases, "over_chemistry", "no_chemistry", cases["with_chemistry"])


def _proven(cases: Cases, fault: str, lacking: str, looked_at: pd.Series) -> Outcome:
    """At most no piece is at fault, and none lacks the number that would show it."""
    result = _none_of(cases, fault, looked_at, "not met")
    open_ = result["result"].eq("met") & cases[lacking].gt(0)
    result.loc[open_, "result"] = "no evidence"
    result.loc[open_, "note"] = cases[f"{lacking}_note"][open_]
    return result


def _none_of(cases: Cases, name: str, looked_at: pd.Series, otherwise: str) -> Outcome:
    """At most no piece is at fault; no finding where there was no piece to look at."""
    measured = cases[name].astype(float)
    result = outcome(cases, measured.eq(0), measured, 0.0)
    result["result"] = result["result"].replace("not met", otherwise)
    result["note"] = cases[f"{name}_note"].fillna("")
    result.loc[looked_at.fillna(0).eq(0), "result"] = None
    return result


HEAT_IN_QUARANTINE = FindingKind(
    "heat_in_quarantine",
    "heat in quarantine",
    "A piece of the string is of a heat that is in quarantine.",
    "AH",
    "QC",
    "the quarantine lifted, or the component replaced",
    after="steel_chemistry",
)


@makes(HEAT_IN_QUARANTINE, of=("frame_of_piles",))
def quarantine_findings(piles: pd.DataFrame) -> pd.DataFrame:
    """One finding per pile that holds a piece of a heat in quarantine."""
    held = piles[piles["quarantined"].fillna(0).gt(0) & piles["pile_id"].notna()]
    note = held["quarantined_note"]
    return other_findings(held["pile_id"], HEAT_IN_QUARANTINE, "not met", note, "quarantine")


REMNANT_NOT_TRACKED = FindingKind(
    "remnant_not_tracked",
    "remnant not tracked",
    "Length in the ground and cut into remnants against the length delivered.",
    "H",
    "QC",
    "the remnant's own stamp with what it is cut from, or the lengths corrected",
)


@makes(REMNANT_NOT_TRACKED, of=("stamps_cut",))
def remnant_findings(cut: pd.DataFrame) -> pd.DataFrame:
    """One finding per stamp cut from: whether the register can follow what was made of it."""
    cut = cut.set_index("cut_from", drop=False)
    length = cut["ground_mm"] + cut["remnants_mm"]
    whole = at_most(length, cut["delivered_mm"])
    unknown = ~cut["parent_known"]
    note = "what is in the ground and what is cut from it: " + cut["remnants"]
    note = note.mask(unknown, cut["remnants"] + " is cut from it, and no delivery brought it")
    unclear = length.isna() | cut["delivered_mm"].isna()
    note = note.mask(unclear & ~unknown, "a length of it or of what is cut from it is not recorded")
    frame = other_findings(
        cut["cut_from"], REMNANT_NOT_TRACKED, "met", note, "remnant", subject_kind="lot"
    ).assign(sense="at most", unit_column="length_mm")
    frame["result"] = frame["result"].mask(~whole | unknown, "noted")
    return _at_most_delivered(frame, length, cut["delivered_mm"])


STAMP_USED_TWICE = FindingKind(
    "stamp_used_twice",
    "stamp used twice",
    "A stamp of one single component stands in more than one place.",
    "AH",
    "QC",
    "the stamps read again on site; one of the records corrected",
)


@makes(STAMP_USED_TWICE, of=("stamps_placed_again",))
def stamp_findings(again: pd.DataFrame) -> pd.DataFrame:
    """One finding per pile with a component whose stamp stands in another place, too."""
    where = "also in pile " + again["other_pile"] + ", place " + again["other_place"].astype("str")
    words = ("stamp " + again["stamp"] + " " + where).groupby(again["pile_id"])
    notes = words.agg("; ".join)
    stamps = again.drop_duplicates(["pile_id", "stamp"]).groupby("pile_id")["stamp"].agg(", ".join)
    return other_findings(
        notes.index.to_series(),
        STAMP_USED_TWICE,
        "not met",
        notes.astype("str"),
        "string",
        part="stamp " + stamps.astype("str"),
    )


LOT_QUANTITY_EXCEEDED = FindingKind(
    "lot_quantity_exceeded",
    "lot over-used",
    "More components of a lot are placed, left over and scrapped than delivered.",
    "H",
    "QC",
    "the delivery, the string lists or the stock counted again",
)


@makes(LOT_QUANTITY_EXCEEDED, of=("use_of_lots",))
def lot_findings(lots: pd.DataFrame) -> pd.DataFrame:
    """One finding per lot: what is placed, left over and scrapped against what was delivered."""
    lots = lots.set_index("stamp", drop=False)
    over = ~at_most(lots["used"], lots["delivered"])
    counts = {name: lots[name].astype(int).astype(str) for name in ("placed", "left_over")}
    note = counts["placed"] + " placed, " + counts["left_over"] + " left over, "
    note += lots["scrapped"].astype(int).astype(str) + " scrapped"
    frame = other_findings(
        lots["stamp"], LOT_QUANTITY_EXCEEDED, "met", note, "lot", subject_kind="lot"
    ).assign(sense="at most")
    frame["result"] = frame["result"].mask(over, "noted")
    return _at_most_delivered(frame, lots["used"], lots["delivered"])


def _at_most_delivered(frame: pd.DataFrame, used: pd.Series, delivered: pd.Series) -> pd.DataFrame:
    """Findings with what is used of each delivery as measured, and what came as the limit."""
    numbers = {"measured": used, "limit_value": delivered, "margin": delivered - used}
    return frame.assign(**{name: values.astype(float) for name, values in numbers.items()})
