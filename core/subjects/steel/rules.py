"""Criteria of steel: the string and its lengths, and how far every piece of it is traced."""

from __future__ import annotations

from typing import Annotated

import numpy as np
from pydantic import Field

from core.criteria.base import Criterion, Length
from core.criteria.cases import Cases
from core.criteria.columns import Array, Columns, Numbers, Texts
from core.criteria.findings import Findings, no_findings, other_findings
from core.criteria.kinds import FindingKind, finding, makes
from core.criteria.outcomes import RESULT, Outcome, at_most, outcome, without_numbers
from core.criteria.quantities import ROUNDED_UP

NO_COMPONENT = "no component of the string is recorded"
CERTIFICATE = "the certificate, a concession or a replacement"


class StringRecorded(Criterion):
    """Every component of the string is recorded, and is of the pile's type."""

    @finding(
        "string_recorded",
        "string recorded",
        "Every component of the string, from the toe up, with its stamp.",
        blocks="AH",
        responsible="FM",
        closed_by="the string list of the run, or the stamps read again on site",
        measure="string",
    )
    @staticmethod
    def string_recorded(cases: Cases) -> Outcome:
        """Every place of the string is recorded and no coupling is without its bolts.

        The last string listed is the whole one: what an earlier run placed stands in it again,
        and a later run that lists none has placed nothing.
        """
        count = np.nan_to_num(cases["components"])
        found = without_numbers(cases, "met", lambda at: [f"{n:.0f} components" for n in count[at]])
        loose, gap = cases["loose_bolts"], cases["missing_place"]
        place = "place {:.0f}".format
        found.put(
            ~np.isnan(loose), "not met", part=lambda at: [place(n) for n in loose[at]],
            note=lambda at: ["bolts not fitted at " + place(n) for n in loose[at]],
        )  # fmt: skip
        found.put(
            ~np.isnan(gap), "no evidence", part=lambda at: [place(n) for n in gap[at]],
            note=lambda at: [place(n) + " of the string is not recorded" for n in gap[at]],
        )  # fmt: skip
        found.put(count == 0, "no evidence", note=NO_COMPONENT)
        return found

    @finding(
        "wrong_component_for_type",
        "wrong component for the type",
        "Shaft or helices of the string differ from those of the pile's type.",
        blocks="AC",
        responsible="DES",
        closed_by="the record corrected, a replacement or a concession",
        measure="string",
        after="lot_quantity_exceeded",
    )
    @staticmethod
    def component_of_type(cases: Cases) -> Outcome:
        """The lead's shaft and helices, where its delivery gives them, are those of the type."""
        found, stamp = without_numbers(cases, "met"), cases.text("lead_stamp")
        known = np.zeros(len(cases), dtype=bool)
        for name, word in (("section", "shaft"), ("helix_set", "helix set")):
            given, asked = cases.text(f"lead_{name}"), cases.text(name)
            known |= given != ""
            _put_wrong(found, stamp, word, given, asked)
        found.drop(~known)
        return found


def _put_wrong(found: Outcome, stamp: Texts, word: str, given: Texts, asked: Texts) -> None:
    """*Not met* where the lead's ``word`` is ``given`` and is another one than ``asked``."""

    def note(at: Array) -> Texts:
        lead = "lead " + stamp[at] + f" is of {word} "
        words: Texts = lead + given[at] + ", the type of " + asked[at]
        return words

    wrong = (given != "") & (asked != "") & (given != asked)
    found.put(wrong, "not met", note=note, part=lambda at: "stamp " + stamp[at])


class LengthReconciliation(Criterion):
    """Maximum difference between the length placed and the recorded depth."""

    max_difference_mm: Annotated[Length, ROUNDED_UP] = Field(
        description="maximum difference", examples=["50 mm", "2 in"]
    )

    @finding(
        "length_reconciliation",
        "length reconciliation",
        "Length placed less cut-off and stick-up against the recorded depth of the toe.",
        blocks="AH",
        responsible="QC",
        closed_by="the string list, cut-off, stick-up or toe corrected",
        measure="length_difference_mm",
        sense="at most",
        unit_column="length_difference_mm",
    )
    @staticmethod
    def length_reconciliation(cases: Cases) -> Outcome:
        """Length of the string in the ground against the recorded depth of the toe."""
        measured, limit = cases["length_difference_mm"], cases["max_difference_mm"]
        found = outcome(cases, at_most(measured, limit), measured, limit)
        for name, words in (
            ("toe_mm", "the toe depth is not recorded"),
            ("stick_up_mm", "the stick-up is not recorded"),
            ("cut_off_mm", "the length cut off is not recorded"),
            ("placed_length_mm", "the length of a component is not recorded"),
        ):
            found.put(np.isnan(cases[name]), note=words)
        found.put(~(cases["components"] > 0), note=NO_COMPONENT)
        return found


class SteelTraced(Criterion):
    """Every piece of steel is traced as far as its kind of component asks."""

    @finding(
        "component_not_on_register",
        "component not on the register",
        "A component in the ground that is on no delivery.",
        blocks="AH",
        responsible="QC",
        closed_by="the component's delivery and certificate, or the stamp read again",
        measure="steel",
        sense="at most",
        counts="pieces of components on no delivery",
    )
    @staticmethod
    def component_on_register(cases: Cases) -> Outcome:
        """Every component in the ground came with a delivery."""
        return _none_of(cases, "off_register", cases["pieces"], "no evidence")

    @finding(
        "heat_traced",
        "heat traced",
        "Every piece of steel of the string leads to a heat, as far as the contract requires.",
        blocks="AH",
        responsible="QC",
        closed_by="the heat of the piece, from the supplier or the stamp",
        measure="steel",
        sense="at most",
        counts="pieces without a heat",
    )
    @staticmethod
    def heat_traced(cases: Cases) -> Outcome:
        """Every piece leads to a heat, lot or delivery, as far as its kind is traced."""
        found = _none_of(cases, "untraced", cases["pieces"], "no evidence")
        found.put(np.isnan(cases["pieces"]), "no evidence", note=NO_COMPONENT)
        return found

    @finding(
        "mill_certificate",
        "mill certificate",
        "Every heat of the string is on a mill certificate.",
        blocks="AH",
        responsible="QC",
        closed_by="the certificate that covers the heat",
        measure="steel",
        sense="at most",
        counts="pieces without a certificate",
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
        responsible="QC",
        closed_by="a confirmed reading of the stamp, or the right certificate",
        measure="steel",
        sense="at most",
        counts="pieces with a heat that the certificate does not list",
    )
    @staticmethod
    def heat_on_certificate_named(cases: Cases) -> Outcome:
        """The certificate named for a piece lists its heat."""
        return _none_of(cases, "unlisted", cases["with_certificate_named"], "no evidence")

    @finding(
        "certificate_type",
        "type of mill certificate",
        "Type of the certificate by EN 10204 against the type that the contract requires.",
        blocks="H",
        responsible="QC",
        closed_by="the right document",
        measure="steel",
        sense="at most",
        counts="pieces with a certificate type below requirement",
    )
    @staticmethod
    def type_of_certificate(cases: Cases) -> Outcome:
        """The certificate is of the type asked or a higher one; only ever *noted*."""
        return _none_of(cases, "low_type", cases["with_type_asked"], "noted")

    @finding(
        "component_placed_before_delivery",
        "component placed before delivery",
        "A component is recorded in a run before the day on which it was delivered.",
        blocks="AH",
        responsible="QC",
        closed_by="the day of the delivery or the stamp read again",
        measure="steel",
        sense="at most",
        counts="pieces placed before delivery",
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
        responsible="QC",
        closed_by="the galvanizer's record",
        measure="steel",
        sense="at most",
        counts="components without zinc record",
    )
    @staticmethod
    def zinc_recorded(cases: Cases) -> Outcome:
        """The zinc of a component is recorded where it is specified; only ever *noted*."""
        return _none_of(cases, "no_zinc", cases["with_zinc"], "noted")

    @finding(
        "zinc_thickness",
        "zinc thickness",
        "Mean thickness of the zinc against the minimum specified.",
        blocks="AH",
        responsible="DES",
        closed_by="readings again, a concession or a replacement",
        measure="steel",
        sense="at most",
        counts="components with zinc below minimum",
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
        responsible="QC",
        closed_by="the certificate that shows it, or a waiver",
        measure="steel",
        sense="at most",
        counts="pieces without an allowed origin",
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
        "Strength and elongation on the mill certificate against the minimum of the grade.",
        blocks="AH",
        responsible="DES",
        closed_by=CERTIFICATE,
        measure="steel",
        sense="at most",
        after="component_placed_before_delivery",
        counts="pieces below grade",
    )
    @staticmethod
    def grade_of_steel(cases: Cases) -> Outcome:
        """Results on the certificates reach the minimum of their grade, and each is told."""
        return _proven(cases, "below_grade", "unproven", cases["with_grade"])

    @finding(
        "steel_chemistry",
        "chemistry of the steel",
        "Ladle analysis on the mill certificate against the limits that the project sets.",
        blocks="AH",
        responsible="DES",
        closed_by=CERTIFICATE,
        measure="steel",
        sense="at most",
        after="steel_grade",
        counts="pieces above a chemical limit",
    )
    @staticmethod
    def chemistry_of_steel(cases: Cases) -> Outcome:
        """The ladle analysis is within the limits that the project sets, and each share is told."""
        return _proven(cases, "over_chemistry", "no_chemistry", cases["with_chemistry"])


def _proven(cases: Cases, fault: str, lacking: str, checked: Numbers) -> Outcome:
    """At most no piece is at fault, and none lacks the number that would show it."""
    found = _none_of(cases, fault, checked, "not met")
    open_ = found.has("met") & (cases[lacking] > 0)
    found.put(open_, "no evidence", note=cases.text(f"{lacking}_note"))
    return found


def _none_of(cases: Cases, name: str, checked: Numbers, otherwise: str) -> Outcome:
    """At most no piece is at fault; no finding where there was no piece to look at."""
    measured = cases[name]
    found = outcome(cases, measured == 0, measured, 0.0, cases.text(f"{name}_note"))
    found.put(found.has("not met"), otherwise)
    found.drop(~(checked > 0))
    return found


HEAT_IN_QUARANTINE = FindingKind(
    "heat_in_quarantine",
    "heat in quarantine",
    "A piece of the string is of a heat that is in quarantine.",
    "AH",
    "QC",
    "the quarantine lifted, or the component replaced",
    after="steel_chemistry",
)


@makes(HEAT_IN_QUARANTINE, of=("piles",))
def quarantine_findings(piles: Columns) -> Findings:
    """One finding per pile that holds a piece of a heat in quarantine."""
    held = np.flatnonzero(piles.numbers("quarantined") > 0)
    if not len(held):
        return no_findings()
    pile_id, note = (piles.text(name)[held] for name in ("pile_id", "quarantined_note"))
    return other_findings(pile_id, HEAT_IN_QUARANTINE, "not met", note, "quarantine")


REMNANT_NOT_TRACKED = FindingKind(
    "remnant_not_tracked",
    "remnant not tracked",
    "Length in the ground and cut into remnants against the length delivered.",
    "H",
    "QC",
    "the remnant's own stamp with what it is cut from, or the lengths corrected",
)


@makes(REMNANT_NOT_TRACKED, of=("stamps_cut",))
def remnant_findings(cut: Columns) -> Findings:
    """One finding per stamp cut from: whether the register can follow what was made of it."""
    if not len(cut):
        return no_findings()
    length = cut.numbers("ground_mm") + cut.numbers("remnants_mm")
    delivered, known = cut.numbers("delivered_mm"), cut.is_true("parent_known")
    whole = at_most(length, delivered)
    remnants = cut.text("remnants")
    note = "what is in the ground and what is cut from it: " + remnants
    unclear = np.isnan(length) | np.isnan(delivered)
    note[unclear] = "a length of it or of what is cut from it is not recorded"
    note[~known] = remnants[~known] + " is cut from it, and no delivery brought it"
    return other_findings(
        cut.text("cut_from"), REMNANT_NOT_TRACKED,
        np.where(whole & known, RESULT["met"], RESULT["noted"]), note, "remnant",
        subject_kind="lot", sense="at most", unit_column="length_mm",
        measured=length, limit_value=delivered,
    )  # fmt: skip


STAMP_USED_TWICE = FindingKind(
    "stamp_used_twice",
    "stamp used twice",
    "A stamp of one single component is recorded in more than one place.",
    "AH",
    "QC",
    "the stamps read again on site; one of the records corrected",
)


@makes(STAMP_USED_TWICE, of=("stamps_placed_again",))
def stamp_findings(again: Columns) -> Findings:
    """One finding per pile with a component whose stamp stands in another place, too."""
    if not len(again):
        return no_findings()
    notes: dict[str, list[str]] = {}
    stamps: dict[str, dict[str, None]] = {}
    texts = (again.text(name).tolist() for name in ("pile_id", "stamp", "other_pile"))
    for pile, stamp, other, place in zip(*texts, again.numbers("other_place"), strict=True):
        note = f"stamp {stamp} also in pile {other}, place {place:.0f}"
        notes.setdefault(pile, []).append(note)
        stamps.setdefault(pile, {})[stamp] = None
    piles = sorted(notes)
    return other_findings(
        piles,
        STAMP_USED_TWICE,
        "not met",
        ["; ".join(notes[pile]) for pile in piles],
        "string",
        part=["stamp " + ", ".join(stamps[pile]) for pile in piles],
    )


LOT_QUANTITY_EXCEEDED = FindingKind(
    "lot_quantity_exceeded",
    "lot quantity exceeded",
    "More components of a lot are placed, left over and scrapped than delivered.",
    "H",
    "QC",
    "the delivery, the string lists or the stock counted again",
    counts="components used",
)


@makes(LOT_QUANTITY_EXCEEDED, of=("use_of_lots",))
def lot_findings(lots: Columns) -> Findings:
    """One finding per lot: what is placed, left over and scrapped against what was delivered."""
    if not len(lots):
        return no_findings()
    used, delivered = lots.numbers("used"), lots.numbers("delivered")
    counts = (lots.numbers(name).tolist() for name in ("placed", "left_over", "scrapped"))
    notes = [
        f"{placed:.0f} placed, {left_over:.0f} left over, {scrapped:.0f} scrapped"
        for placed, left_over, scrapped in zip(*counts, strict=True)
    ]
    return other_findings(
        lots.text("stamp"), LOT_QUANTITY_EXCEEDED,
        np.where(at_most(used, delivered), RESULT["met"], RESULT["noted"]), notes, "lot",
        subject_kind="lot", sense="at most", measured=used, limit_value=delivered,
    )  # fmt: skip
