"""Steel judged from raw files: strings, lengths by hand, heats, certificates, stamps and lots."""

import pytest

from core import services
from tests.services.small import log, state, take_in
from tests.services.steel_job import (
    COMPONENTS,
    HEATS,
    KINDS,
    MILL_CERTIFICATES,
    PIECES,
    PLACED,
    settings,
    steel_job,
)

KEYS = ("string recorded", "length reconciliation", "component not on the register", "heat traced",
        "mill certificate", "heat not on the certificate named", "type of mill certificate",
        "wrong component for the type", "stamp used twice", "lot quantity exceeded")  # fmt: skip


def open_findings(assessment):
    """Kind and result of every open finding of steel."""
    found = assessment.findings
    found = found[found["kind"].isin(KEYS) & ~found["result"].isin(["met", "not required"])]
    return dict(zip(found["kind"], found["result"], strict=True))


def test_lengths_of_one_string_agree_with_a_calculation_by_hand(tmp_path):
    # 2,100 + 1,500 = 3,600 placed; less 200 cut off and 400 above the ground: 3,000, the toe.
    assessment = services.assess(steel_job(tmp_path))
    pile = assessment.piles.set_index("pile_id").loc["101"]
    assert pile["placed_length_mm"] == 3600
    assert (pile["cut_off_mm"], pile["stick_up_mm"]) == (200, 400)
    assert (pile["string_length_mm"], pile["length_difference_mm"]) == (3000, 0)
    assert open_findings(assessment) == {}
    assert state(assessment) == "criteria met"


@pytest.mark.parametrize(
    ("changed", "found"),
    [
        ({"placed": ""}, {"string recorded": "no evidence", "length reconciliation": "no evidence",
                          "heat traced": "no evidence"}),
        ({"placed": PLACED.replace("fitted and tight", "not fitted")},
         {"string recorded": "not met"}),
        ({"placed": PLACED.replace("101,1,2", "101,1,3")}, {"string recorded": "no evidence"}),
        ({"placed": PLACED.replace("E-7,,", "E-7,1.6,")}, {"length reconciliation": "not met"}),
        ({"placed": PLACED.replace("E-7,,", "E-7,1.55,")}, {}),
        ({"placed": PLACED.replace("E-7", "E-8")},
         {"component not on the register": "no evidence", "length reconciliation": "no evidence"}),
        ({"pieces": PIECES.replace("shaft,Mill X,7Q1803,", "shaft,,,")},
         {"heat traced": "no evidence"}),
        ({"pieces": PIECES.replace("E-7,DN-1,whole,,9K0001,\n", "")},
         {"mill certificate": "no evidence"}),
        ({"heats": HEATS.replace("MC-5,Mill X,7Q1803,2\n", "")},
         {"mill certificate": "no evidence"}),
        ({"pieces": PIECES.replace("Mill Y,7Q1803,MC-6", "Mill Y,7Q18O3,MC-6")},
         {"heat not on the certificate named": "no evidence"}),
        ({"certificates": MILL_CERTIFICATES.replace("MC-6,3.1", "MC-6,2.2")},
         {"type of mill certificate": "noted"}),
        ({"components": COMPONENTS.replace("L-1,DN-1,lead,LOT-1,1,2.1,round 89,350",
                                           "L-1,DN-1,lead,LOT-1,1,2.1,round 89,300")},
         {"wrong component for the type": "not met"}),
        ({"placed": PLACED + "101,1,3,L-1,0,\n"}, {"stamp used twice": "not met"}),
        ({"components": COMPONENTS.replace("E-7,DN-1,extension,,4", "E-7,DN-1,extension,,0")
          .replace(",,0,", ",,1,"), "placed": PLACED + "101,1,3,E-7,0,\n"},
         {"lot quantity exceeded": "noted"}),
    ],
)  # fmt: skip
def test_one_fault_gives_its_finding_with_the_rows_that_say_so(tmp_path, changed, found):
    assessment = services.assess(steel_job(tmp_path, **changed))
    assert open_findings(assessment) == found
    cited = assessment.evidence()
    shown = assessment.findings[assessment.findings["kind"].isin(found)]
    shown = shown[~shown["result"].isin(["met", "not required"])]
    if "placed" not in changed or changed["placed"]:
        assert set(shown.index) <= set(cited["finding"])


def test_a_lot_with_a_declaration_needs_no_heat_and_one_certificate(tmp_path):
    declared = KINDS.replace("component_kinds.extension", "component_kinds.other").replace(
        "component_kinds.bolt", "component_kinds.extension"
    )
    bare = PIECES.replace("E-7,DN-1,whole,,9K0001,", "E-7,DN-1,whole,,,")
    job = steel_job(tmp_path / "a", settings(kinds=declared), pieces=bare)
    assert open_findings(services.assess(job)) == {"mill certificate": "no evidence"}
    named = bare.replace("whole,,,", "whole,,,MC-5")
    job = steel_job(tmp_path / "b", settings(kinds=declared), pieces=named)
    assert open_findings(services.assess(job)) == {}


def test_a_stamp_in_two_piles_is_told_at_both(tmp_path):
    folder = steel_job(tmp_path)
    string = PLACED.replace("101,", "102,")
    report = take_in(folder, ("log2.csv", log("102")), ("placed2.csv", string))
    assert not report.refused, report
    found = services.assess(folder).findings
    twice = found[found["kind"].eq("stamp used twice")].set_index("subject")["note"]
    assert twice.to_dict() == {
        "101": "stamp L-1 also in pile 102, place 1",
        "102": "stamp L-1 also in pile 101, place 1",
    }


def test_the_string_of_a_later_run_is_the_whole_one_and_its_stamps_are_no_repetition(tmp_path):
    folder = steel_job(tmp_path)
    again = log("101", run="2", day="2026-03-03")
    take_in(folder, ("log2.csv", again), ("placed2.csv", PLACED.replace("101,1,", "101,2,")))
    assessment = services.assess(folder)
    assert "stamp used twice" not in open_findings(assessment)
    lots = assessment.findings[assessment.findings["kind"].eq("lot quantity exceeded")]
    assert lots["measured"].item() == 1


def test_the_lowest_rating_placed_governs(tmp_path):
    weak = COMPONENTS.replace(
        "E-7,DN-1,extension,,4,1.5,round 89,,11", "E-7,DN-1,extension,,4,1.5,round 89,,6"
    )
    assessment = services.assess(steel_job(tmp_path, components=weak))
    found = assessment.findings.set_index("kind").loc["rated torque"]
    assert (found["result"], found["limit_value"]) == ("not met", 6000)
    assert found["note"] == "lowest in the string: E-7"
