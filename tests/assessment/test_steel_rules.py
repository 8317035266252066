"""Every rule of steel: met, not met, exactly on the limit, evidence missing."""

import numpy as np
import pytest

from core.criteria.columns import RowColumns
from core.subjects.steel import rules
from core.subjects.steel.rules import LengthReconciliation, SteelTraced, StringRecorded
from core.subjects.torque.rules import RatedTorque
from tests.assessment.one_case import decided
from tests.assessment.test_rules import GOOD as OF_TORQUE

GOOD = {
    "components": 3,
    "loose_bolts": np.nan,
    "missing_place": np.nan,
    "string_run": "1",
    "toe_mm": 9000.0,
    "stick_up_mm": 300.0,
    "cut_off_mm": 0.0,
    "placed_length_mm": 9300.0,
    "length_difference_mm": 20.0,
    "max_difference_mm": 50,
    "pieces": 4.0,
    "with_certificate_asked": 4.0,
    "with_certificate_named": 2.0,
    "with_type_asked": 4.0,
    **dict.fromkeys(("off_register", "untraced", "uncertified", "unlisted", "low_type"), 0.0),
    **{f"{name}_note": "" for name in ("off_register", "untraced", "uncertified", "unlisted")},
    "low_type_note": "",
    "lead_section": "round 89",
    "lead_helix_set": "350",
    "lead_stamp": "L-1",
    "section": "round 89",
    "helix_set": "350",
}
NAN = np.nan


def case(rule, **changed):
    return decided(rule, {**GOOD, **changed})


def result(rule, **changed):
    return case(rule, **changed)["result"]


def test_a_string_is_recorded_place_by_place_with_its_bolts():
    assert result(StringRecorded.string_recorded) == "met"
    assert result(StringRecorded.string_recorded, loose_bolts=2.0) == "not met"
    assert result(StringRecorded.string_recorded, components=1) == "met"
    none = case(StringRecorded.string_recorded, components=0)
    assert (none["result"], none["note"]) == (
        "no evidence",
        "no component of the string is recorded",
    )
    assert case(StringRecorded.string_recorded, missing_place=2.0)["note"] == (
        "place 2 of the string is not recorded"
    )


def test_length_reconciliation_passes_fails_and_meets_exactly_on_the_limit():
    rule = LengthReconciliation.length_reconciliation
    assert result(rule, length_difference_mm=49.0) == "met"
    assert result(rule, length_difference_mm=51.0) == "not met"
    assert result(rule, length_difference_mm=50.0) == "met"


@pytest.mark.parametrize(
    ("missing", "words"),
    [
        ("toe_mm", "the toe depth is not recorded"),
        ("stick_up_mm", "the stick-up is not recorded"),
        ("cut_off_mm", "the length cut off is not recorded"),
        ("placed_length_mm", "the length of a component is not recorded"),
    ],
)
def test_length_reconciliation_names_the_part_that_is_missing(missing, words):
    found = case(
        LengthReconciliation.length_reconciliation, length_difference_mm=NAN, **{missing: NAN}
    )
    assert (found["result"], found["note"]) == ("no evidence", words)


@pytest.mark.parametrize(
    ("rule", "count", "checked", "otherwise"),
    [
        (SteelTraced.component_on_register, "off_register", "pieces", "no evidence"),
        (SteelTraced.mill_certificate, "uncertified", "with_certificate_asked", "no evidence"),
        (
            SteelTraced.heat_on_certificate_named,
            "unlisted",
            "with_certificate_named",
            "no evidence",
        ),
        (SteelTraced.type_of_certificate, "low_type", "with_type_asked", "noted"),
    ],
)
def test_no_piece_may_fall_short_and_without_pieces_there_is_no_finding(
    rule, count, checked, otherwise
):
    assert result(rule) == "met"
    found = case(rule, **{count: 1.0, f"{count}_note": "L-1 shaft: no heat"})
    assert (found["result"], found["note"]) == (otherwise, "L-1 shaft: no heat")
    assert (found["measured"], found["limit_value"]) == (1.0, 0.0)
    assert result(rule, **{count: 0.0}) == "met"
    assert result(rule, **{checked: NAN, count: NAN}) is None


def test_heats_without_any_string_are_no_evidence():
    assert result(SteelTraced.heat_traced) == "met"
    assert result(SteelTraced.heat_traced, untraced=2.0) == "no evidence"
    assert result(SteelTraced.heat_traced, untraced=0.0) == "met"
    none = case(SteelTraced.heat_traced, pieces=NAN, untraced=NAN)
    assert (none["result"], none["note"]) == (
        "no evidence",
        "no component of the string is recorded",
    )


def test_the_lead_is_of_the_type_where_its_delivery_says_what_it_is():
    assert result(StringRecorded.component_of_type) == "met"
    assert result(StringRecorded.component_of_type, lead_helix_set="300") == "not met"
    wrong = case(StringRecorded.component_of_type, lead_section="square 45")
    assert wrong["note"] == "lead L-1 is of shaft square 45, the type of round 89"
    assert result(StringRecorded.component_of_type, lead_section=None) == "met"
    assert result(StringRecorded.component_of_type, lead_section=None, lead_helix_set=None) is None


def lots(used, delivered=4.0):
    row = {"stamp": "E-7", "used": used, "delivered": delivered, "placed": used}
    lot = RowColumns([{**row, "left_over": 0.0, "scrapped": 0.0}])
    return rules.lot_findings(lot).frame().iloc[0]


def test_a_lot_gives_no_more_than_was_delivered():
    assert lots(3.0)["result"] == "met"
    assert lots(5.0)["result"] == "noted"
    assert lots(4.0)["result"] == "met"
    assert (lots(5.0)["subject_kind"], lots(5.0)["subject"], lots(5.0)["margin"]) == (
        "lot", "E-7", -1.0
    )  # fmt: skip


def test_a_stamp_that_stands_elsewhere_names_the_other_place():
    again = {"pile_id": "101", "stamp": "L-1", "other_pile": "102", "other_place": 1}
    found = rules.stamp_findings(RowColumns([again]))
    assert found.text("result").tolist() == ["not met"]
    assert found.text("note").tolist() == ["stamp L-1 also in pile 102, place 1"]
    assert found.text("part").tolist() == ["stamp L-1"]
    assert len(rules.stamp_findings(RowColumns([]))) == 0


def rated(**changed):
    return decided(RatedTorque.rated_torque, {**OF_TORQUE, **changed})


def test_the_lowest_rating_in_the_string_governs_with_its_document():
    lowest = {"rated_torque_nm": 7000.0, "component_rated_torque_nm": 7000.0}
    lowest |= {"component_rated_stamp": "L-1"}
    assert rated(**lowest, max_torque_nm=6999.0)["result"] == "met"
    assert rated(**lowest, max_torque_nm=7001.0)["result"] == "not met"
    assert rated(**lowest, max_torque_nm=7000.0)["note"] == "lowest in the string: L-1"
    bare = rated(**lowest, component_undocumented="L-1")
    assert (bare["result"], bare["note"]) == ("no evidence", "no document gives the rating of L-1")
