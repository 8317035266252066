"""The chain of every piece of steel placed, end to end, and each place where it stops."""

import pytest

from core import services
from tests.services.small import empty_project, take_in
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


def trace(folder):
    return services.assess(folder).measured.trace


def stops(folder, stamp="L-1", piece="shaft"):
    """Where the chain of one piece stops; '' where it is whole."""
    found = trace(folder)
    rows = found[found["stamp"].eq(stamp) & found["piece"].fillna("").eq(piece or "")]
    return rows["gap_text"].fillna("").item()


def test_every_piece_of_steel_placed_leads_to_its_heat_and_certificate(tmp_path):
    found = trace(steel_job(tmp_path))
    columns = ["place", "component", "piece", "length_mm", "lot", "mill", "heat", "certificate"]
    assert found[columns].to_numpy().tolist() == [
        [1, "lead section", "helix", 2100, "LOT-1", "Mill Y", "7Q1803", "MC-6"],
        [1, "lead section", "shaft", 2100, "LOT-1", "Mill X", "7Q1803", "MC-5"],
        [2, "extension", "whole", 1500, "E-7", "Mill X", "9K0001", "MC-5"],
    ]
    assert found["certificate_type"].eq("3.1").all()
    assert found["gap_text"].isna().all()


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"components": COMPONENTS.replace("L-1,", "L-9,"), "pieces": PIECES.replace("L-1", "L-9")},
         "stamp L-1 is on no delivery"),
        ({"components": COMPONENTS + "L-1,DN-2,lead,,1,2.1,,,,\n"},
         "stamp L-1 is on several deliveries: DN-1, DN-2"),
        ({"placed": "Pile,Run,Place in string,Stamp,Delivery\n101,1,1,L-1,DN-3\n"},
         "stamp L-1 is not on delivery DN-3"),
        ({"pieces": PIECES.replace("L-1,DN-1", "L-9,DN-1"),
          "components": COMPONENTS + "L-9,DN-1,lead,,1,2.1,,,,\n"},
         "no piece of steel is recorded for stamp L-1"),
    ],
)  # fmt: skip
def test_a_component_without_pieces_keeps_one_line_that_says_why(tmp_path, changed, words):
    assert stops(steel_job(tmp_path, **changed), piece=None) == words


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"pieces": PIECES.replace("L-1,DN-1,shaft,Mill X,7Q1803,", "L-1,DN-1,shaft,,,")},
         "no heat is recorded for this piece"),
        ({"pieces": PIECES.replace("L-1,DN-1,shaft,Mill X,", "L-1,DN-1,shaft,,")},
         "heat 7Q1803 is known of several mills: Mill X, Mill Y"),
        ({"pieces": PIECES.replace("shaft,Mill X,7Q1803,\nL-1", "shaft,Mill X,7Q1803,MC-9\nL-1")},
         "certificate MC-9 is not on the register"),
        ({"pieces": PIECES.replace("shaft,Mill X,7Q1803,\nL-1", "shaft,Mill X,7Q1803,MC-6\nL-1")},
         "certificate MC-6 does not list heat 7Q1803 of Mill X"),
        ({"heats": HEATS.replace("MC-5,Mill X,7Q1803,2\n", "")},
         "no certificate lists heat 7Q1803 of Mill X"),
        ({"certificates": MILL_CERTIFICATES.replace("MC-5,3.1", "MC-5,2.2")},
         "certificate type 2.2 where 3.1 is required"),
    ],
)  # fmt: skip
def test_a_chain_stops_where_the_record_does(tmp_path, changed, words):
    assert stops(steel_job(tmp_path, **changed)) == words


def test_a_piece_without_a_mill_has_the_only_mill_known_of_its_heat(tmp_path):
    found = trace(steel_job(tmp_path)).set_index("stamp").loc["E-7"]
    assert (found["mill"], found["certificate"]) == ("Mill X", "MC-5")


def test_of_two_certificates_for_one_heat_the_higher_type_is_shown(tmp_path):
    files = {
        "certificates": MILL_CERTIFICATES + "MC-1,2.2\n",
        "heats": HEATS + "MC-1,Mill X,9K0001,1\n",
    }
    assert stops(steel_job(tmp_path, **files), "E-7", "whole") == ""


def test_the_used_length_goes_before_the_length_delivered(tmp_path):
    files = {"placed": PLACED.replace("E-7,,", "E-7,1.1,")}
    assert list(trace(steel_job(tmp_path, **files))["length_mm"]) == [2100, 2100, 1100]


def test_what_is_placed_after_the_day_that_judges_is_not_in_the_chain(tmp_path):
    before = settings().replace("assessed_on = 2026-03-31", "assessed_on = 2026-03-01")
    assert trace(steel_job(tmp_path, before)).empty


def test_a_project_without_steel_has_an_empty_chain_with_its_columns(tmp_path):
    found = trace(empty_project(tmp_path))
    assert found.empty
    assert {"pile_id", "stamp", "heat", "certificate", "gap_text"} <= set(found.columns)


def test_a_string_taken_in_again_and_corrected_is_told_place_by_place(tmp_path):
    folder = steel_job(tmp_path)
    again = take_in(folder, ("placed.csv", PLACED.replace("E-7,,", "E-7,1.1,") + "101,1,3,E-7,,\n"))
    said = {name: again.rows[name] for name in ("added", "unchanged", "superseded")}
    assert said == {"added": 1, "unchanged": 1, "superseded": 1}


def test_a_component_kind_taken_out_of_the_settings_is_told_and_not_traced(tmp_path):
    folder = steel_job(tmp_path)
    renamed = settings(kinds=KINDS.replace("component_kinds.lead", "component_kinds.other"))
    (folder / "project.toml").write_text(renamed, encoding="utf-8")
    assert stops(folder) == "no component kind lead is in project.toml"
    found = services.assess(folder).findings
    assert found.loc[found["kind"].eq("heat traced"), "result"].item() == "no evidence"
