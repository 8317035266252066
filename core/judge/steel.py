"""Rules of steel: the string and its lengths, and how far every piece of it is traced."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core.judge.findings import Cases, Outcome, Rule, at_most, other_findings, outcome


def string_recorded(cases: Cases) -> Outcome:
    """Every place of the string is recorded and no coupling is without its bolts.

    The last string listed is the whole one: what an earlier run placed stands in it again, and a
    later run that lists none has placed nothing.
    """
    count = cases["components"].fillna(0)
    result = pd.DataFrame({"measured": np.nan, "limit_value": np.nan}, index=cases.index)
    result["result"], result["note"] = "met", count.astype(int).astype(str) + " components"
    loose = cases["loose_bolts"].notna()
    place = cases["loose_bolts"].fillna(0).astype(int).astype(str)
    result.loc[loose, "result"] = "not met"
    result.loc[loose, "note"] = "bolts not fitted at place " + place[loose]
    gap = cases["missing_place"].notna()
    place = cases["missing_place"].fillna(0).astype(int).astype(str)
    result.loc[gap, "result"] = "no evidence"
    result.loc[gap, "note"] = "place " + place[gap] + " of the string is not recorded"
    none = count.eq(0)
    result.loc[none, "result"] = "no evidence"
    result.loc[none, "note"] = "no component of the string is recorded"
    return result


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


def component_on_register(cases: Cases) -> Outcome:
    """Every component in the ground came with a delivery."""
    return _none_of(cases, "off_register", cases["pieces"], "no evidence")


def heat_traced(cases: Cases) -> Outcome:
    """Every piece leads to a heat, lot or delivery, as far as its kind is traced."""
    result = _none_of(cases, "untraced", cases["pieces"], "no evidence")
    none = cases["pieces"].isna()
    result.loc[none, "result"] = "no evidence"
    result.loc[none, "note"] = "no component of the string is recorded"
    return result


def mill_certificate(cases: Cases) -> Outcome:
    """Every piece of which the contract asks it stands on a certificate."""
    return _none_of(cases, "uncertified", cases["with_certificate_asked"], "no evidence")


def heat_on_certificate_named(cases: Cases) -> Outcome:
    """The certificate named for a piece lists its heat."""
    return _none_of(cases, "unlisted", cases["with_certificate_named"], "no evidence")


def type_of_certificate(cases: Cases) -> Outcome:
    """The certificate is of the type asked or a higher one; only ever *noted*."""
    return _none_of(cases, "low_type", cases["with_type_asked"], "noted")


def before_delivery(cases: Cases) -> Outcome:
    """No component is placed before the day on which it was delivered."""
    return _none_of(cases, "early", cases["with_day"], "no evidence")


def grade_of_steel(cases: Cases) -> Outcome:
    """Results on the certificates reach the least of their grade, and each is told."""
    return _proven(cases, "below_grade", "unproven", cases["with_grade"])


def chemistry_of_steel(cases: Cases) -> Outcome:
    """The ladle analysis is within the limits that the project sets, and each share is told."""
    return _proven(cases, "over_chemistry", "no_chemistry", cases["with_chemistry"])


def zinc_recorded(cases: Cases) -> Outcome:
    """The zinc of a component is recorded where it is specified; only ever *noted*."""
    return _none_of(cases, "no_zinc", cases["with_zinc"], "noted")


def zinc_thickness(cases: Cases) -> Outcome:
    """The zinc recorded is as thick as specified."""
    return _none_of(cases, "thin_zinc", cases["with_thickness"], "not met")


def origin_of_steel(cases: Cases) -> Outcome:
    """The steel is shown to be melted where the contract allows; only ever *noted*."""
    return _none_of(cases, "foreign", cases["with_origin"], "noted")


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


def component_of_type(cases: Cases) -> Outcome:
    """The lead's shaft and helices are those of the pile's type, where its delivery says them."""
    result = pd.DataFrame({"measured": np.nan, "limit_value": np.nan}, index=cases.index)
    result["result"], result["note"] = "met", ""
    said = pd.Series(False, index=cases.index)
    for name, word in (("section", "shaft"), ("helix_set", "helix set")):
        given, asked = cases[f"lead_{name}"], cases[name]
        said |= given.notna()
        wrong = given.notna() & asked.notna() & given.ne(asked)
        lead = "lead " + cases["lead_stamp"] + " is of " + word + " "
        words = lead + given.astype("str") + ", the type of " + asked.astype("str")
        result.loc[wrong, "note"] = words[wrong]
        result.loc[wrong, "result"] = "not met"
    result.loc[~said, "result"] = None
    return result


def stamp_findings(again: pd.DataFrame) -> pd.DataFrame:
    """One finding per pile with a component whose stamp stands in another place, too."""
    where = "also in pile " + again["other_pile"] + ", place " + again["other_place"].astype("str")
    words = ("stamp " + again["stamp"] + " " + where).groupby(again["pile_id"])
    notes = words.agg("; ".join)
    return other_findings(
        notes.index.to_series(), "stamp used twice", "not met", notes.astype("str"), "string"
    )


def quarantine_findings(piles: pd.DataFrame) -> pd.DataFrame:
    """One finding per pile that holds a piece of a heat in quarantine."""
    held = piles[piles["quarantined"].fillna(0).gt(0) & piles["pile_id"].notna()]
    note = held["quarantined_note"]
    return other_findings(held["pile_id"], "heat in quarantine", "not met", note, "quarantine")


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
        cut["cut_from"], "remnant not tracked", "met", note, "remnant", subject_kind="lot"
    ).assign(sense="at most", unit_column="length_mm")
    frame["result"] = frame["result"].mask(~whole | unknown, "noted")
    return _at_most_delivered(frame, length, cut["delivered_mm"])


def lot_findings(lots: pd.DataFrame) -> pd.DataFrame:
    """One finding per lot: what is placed, left over and scrapped against what was delivered."""
    lots = lots.set_index("stamp", drop=False)
    over = ~at_most(lots["used"], lots["delivered"])
    counts = {name: lots[name].astype(int).astype(str) for name in ("placed", "left_over")}
    note = counts["placed"] + " placed, " + counts["left_over"] + " left over, "
    note += lots["scrapped"].astype(int).astype(str) + " scrapped"
    frame = other_findings(
        lots["stamp"], "lot over-used", "met", note, "lot", subject_kind="lot"
    ).assign(sense="at most")
    frame["result"] = frame["result"].mask(over, "noted")
    return _at_most_delivered(frame, lots["used"], lots["delivered"])


def _at_most_delivered(frame: pd.DataFrame, used: pd.Series, delivered: pd.Series) -> pd.DataFrame:
    """Findings with what is used of each delivery as measured, and what came as the limit."""
    numbers = {"measured": used, "limit_value": delivered, "margin": delivered - used}
    return frame.assign(**{name: values.astype(float) for name, values in numbers.items()})


RULES: tuple[Rule, ...] = (
    Rule("string recorded", "string_recorded", string_recorded, "string"),
    Rule("wrong component for the type", "string_recorded", component_of_type, "string"),
    Rule("length reconciliation", "length_reconciliation", length_reconciliation,
         "length_difference_mm", "at most", "length_difference_mm"),
    Rule("component not on the register", "steel_traced", component_on_register, "steel",
         "at most"),
    Rule("heat traced", "steel_traced", heat_traced, "steel", "at most"),
    Rule("mill certificate", "steel_traced", mill_certificate, "steel", "at most"),
    Rule("heat not on the certificate named", "steel_traced", heat_on_certificate_named, "steel",
         "at most"),
    Rule("type of mill certificate", "steel_traced", type_of_certificate, "steel", "at most"),
    Rule("component placed before delivery", "steel_traced", before_delivery, "steel", "at most"),
    Rule("zinc recorded", "steel_traced", zinc_recorded, "steel", "at most"),
    Rule("zinc thickness", "steel_traced", zinc_thickness, "steel", "at most"),
    Rule("origin of the steel", "steel_traced", origin_of_steel, "steel", "at most"),
    Rule("grade of the steel", "steel_grade", grade_of_steel, "steel", "at most"),
    Rule("chemistry of the steel", "steel_grade", chemistry_of_steel, "steel", "at most"),
)  # fmt: skip
