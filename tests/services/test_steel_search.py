"""A text sought in the steel: what it may mean, what is near, and all that hangs on it."""

import pytest

from core import services
from tests.services.small import empty_project, take_in
from tests.services.steel_job import COMPONENTS, HEATS, MILL_CERTIFICATES, PIECES, PLACED, steel_job

PILES = ["101", "102", "103"]


def held(folder):
    return services.steel_of(services.assess(folder))


def meant(steel, text):
    return [meaning.words for meaning in services.matches(steel, text, PILES)]


def found(steel, text, kind, mill=""):
    return services.search(steel, services.Match(kind, text, mill))


def against(folder, *things):
    """Kind, result and piles of what concerns each thing."""
    job = services.assess(folder)
    steel = services.steel_of(job)
    told = []
    for text, kind, *mill in things:
        meaning = services.Match(kind, text, *mill)
        rows = services.concerns(job, steel, meaning, services.search(steel, meaning))
        told.append(rows[["kind", "result", "piles"]].to_numpy().tolist())
    return told


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    """The steel of a job in order."""
    return held(steel_job(tmp_path_factory.mktemp("steel")))


def test_a_text_may_mean_a_pile_a_stamp_a_lot_a_heat_or_a_certificate(whole):
    assert meant(whole, "101") == ["pile 101"]
    assert meant(whole, "L-1") == ["stamp L-1"]
    assert meant(whole, "E-7") == ["stamp E-7"]
    assert meant(whole, "LOT-1") == ["lot LOT-1"]
    assert meant(whole, "MC-5") == ["certificate MC-5"]
    assert meant(whole, "9K0001") == ["heat 9K0001 of Mill X"]


def test_a_heat_of_two_mills_is_two_things_and_a_pile_may_be_a_stamp(tmp_path):
    files = {"components": COMPONENTS + "103,DN-2,lead,L-1,1,2.1,,,,\n"}
    steel = held(steel_job(tmp_path, **files))
    assert meant(steel, "7Q1803") == ["heat 7Q1803 of Mill X", "heat 7Q1803 of Mill Y"]
    assert meant(steel, "103") == ["pile 103", "stamp 103"]
    assert meant(steel, "L-1") == ["stamp L-1", "lot L-1"]


def test_an_unknown_text_means_nothing_and_what_is_near_is_suggested(whole):
    assert meant(whole, "7Q18O3") == []
    assert services.suggestions(whole, "7Q18O3", PILES)[0] == "7Q1803"
    assert services.suggestions(whole, "nothing like it", PILES) == []


def test_a_pile_is_found_in_another_case_or_without_its_hyphen_when_it_alone_reads_so(whole):
    for text in ("p-105", "P105", "p105"):
        assert services.matches(whole, text, ["P-105", "P-106"]) == [
            services.Match("pile", "P-105")
        ]
    assert services.matches(whole, "b251", ["B2-51", "B25-1"]) == []
    assert services.matches(whole, "B25-1", ["B2-51", "B25-1"]) == [services.Match("pile", "B25-1")]
    assert [meaning.kind for meaning in services.matches(whole, "L-1", ["L1"])] == ["stamp"]


def test_a_job_in_order_has_nothing_that_concerns_what_is_sought(tmp_path):
    things = ("101", "pile"), ("L-1", "stamp"), ("LOT-1", "lot"), ("MC-5", "certificate")
    assert against(steel_job(tmp_path), *things) == [[]] * 4


def test_a_stamp_used_twice_concerns_all_that_hangs_on_it_and_nothing_else(tmp_path):
    folder = steel_job(tmp_path, placed=PLACED + "101,1,3,L-1,,none needed\n")
    things = (("L-1", "stamp"), ("LOT-1", "lot"), ("7Q1803", "heat", "Mill X"), ("101", "pile"),
              ("MC-6", "certificate"), ("E-7", "stamp"))  # fmt: skip
    told = [["stamp used twice", "not met", "101"] in rows for rows in against(folder, *things)]
    assert told == [True] * 5 + [False]
    assert found(held(folder), "L-1", "stamp").totals["too_many"] == 1


def test_a_lot_used_beyond_its_delivery_concerns_its_stamp_its_heat_and_its_pile(tmp_path):
    files = {
        "components": COMPONENTS.replace("E-7,DN-1,extension,,4", "E-7,DN-1,extension,,1"),
        "placed": PLACED + "101,1,3,E-7,,none needed\n",
    }
    things = (("E-7", "stamp"), ("9K0001", "heat", "Mill X"), ("101", "pile"), ("L-1", "stamp"))
    rows = against(steel_job(tmp_path, **files), *things)
    assert [["lot quantity exceeded", "noted", "101"] in one for one in rows] == [True] * 3 + [
        False
    ]


def test_a_piece_without_certificate_concerns_its_own_heat_alone(tmp_path):
    folder = steel_job(tmp_path, heats=HEATS.replace("MC-5,Mill X,9K0001,3\n", ""))
    things = ("9K0001", "heat"), ("7Q1803", "heat", "Mill Y")
    assert against(folder, *things) == [[["mill certificate", "no evidence", "101"]], []]


def test_a_string_in_disorder_concerns_every_stamp_of_it(tmp_path):
    folder = steel_job(tmp_path, placed=PLACED.replace("101,1,2,E-7", "101,1,3,E-7"))
    told = against(folder, ("E-7", "stamp"))[0]
    assert ["string recorded", "no evidence", "101"] in told


def test_a_pile_leads_to_its_pieces_heats_and_certificates(whole):
    of = found(whole, "101", "pile")
    assert of.trace["piece"].tolist() == ["helix", "shaft", "whole"]
    assert of.heats["heat"].tolist() == ["7Q1803", "7Q1803", "9K0001"]
    assert sorted(of.certificates["certificate"]) == ["MC-5", "MC-6"]
    assert of.totals["length_mm"] == 2100 + 1500
    assert of.gaps.empty


def test_a_heat_in_doubt_leads_to_its_piles_and_to_the_store(whole):
    of = found(whole, "7Q1803", "heat", "Mill X")
    assert of.piles[["pile_id", "pieces", "length_mm"]].to_numpy().tolist() == [["101", 1, 2100]]
    assert of.stock[["stamp", "not_placed"]].to_numpy().tolist() == [["L-1", 0], ["L-2", 1]]
    assert of.certificates["certificate"].tolist() == ["MC-5"]
    assert of.totals == {
        "piles": 1, "pieces": 1, "length_mm": 2100.0, "not_placed": 1, "too_many": 0, "gaps": 0,
    }  # fmt: skip


def test_a_lot_leads_to_all_of_it(whole):
    of = found(whole, "LOT-1", "lot")
    assert of.stock["stamp"].tolist() == ["L-1", "L-2"]
    assert len(of.trace) == 2


def test_a_certificate_leads_to_the_pieces_of_its_heats_alone(whole):
    of = found(whole, "MC-5", "certificate")
    assert of.heats["heat"].tolist() == ["7Q1803", "9K0001"]
    assert of.stock["stamp"].tolist() == ["E-7", "L-1", "L-2"]
    assert set(of.trace["certificate"]) == {"MC-5"}


def test_where_chains_stop_is_told_in_words_with_the_number_of_pieces(tmp_path):
    files = {"certificates": MILL_CERTIFICATES.replace("MC-5,3.1", "MC-5,2.2")}
    of = found(held(steel_job(tmp_path, **files)), "101", "pile")
    assert of.gaps.to_numpy().tolist() == [["certificate type 2.2 where 3.1 is required", 2]]
    assert of.totals["gaps"] == 2


def test_what_is_cut_from_one_another_comes_with_either(tmp_path):
    lines = COMPONENTS.splitlines()
    lines = [lines[0] + ",Cut from", *(line + "," for line in lines[1:])]
    files = {"components": "\n".join([*lines, "E-8,DN-1,extension,,1,0.4,,,,,E-7"]) + "\n"}
    steel = held(steel_job(tmp_path, **files))
    for stamp in ("E-7", "E-8"):
        assert found(steel, stamp, "stamp").remnants["stamp"].tolist() == ["E-8"]


def test_every_heat_leads_to_just_the_pieces_that_the_piles_lead_to(whole):
    keys = ["pile_id", "piece", "mill", "heat"]
    by_pile = {tuple(row) for row in found(whole, "101", "pile").trace[keys].to_numpy()}
    heats = [("7Q1803", "Mill X"), ("7Q1803", "Mill Y"), ("9K0001", "Mill X")]
    parts = [found(whole, heat, "heat", mill).trace[keys].to_numpy() for heat, mill in heats]
    assert {tuple(row) for part in parts for row in part} == by_pile
    assert sum(len(part) for part in parts) == len(by_pile)


def test_missing_parts_stand_under_their_question(tmp_path):
    files = {
        "components": COMPONENTS.replace("E-7,DN-1,extension,,4", "E-7,DN-1,extension,,1"),
        "pieces": PIECES.replace("L-1,DN-1,shaft,Mill X,7Q1803,", "L-1,DN-1,shaft,Mill X,7QI803,"),
        "placed": PLACED + "101,1,3,L-1,,\n101,1,4,E-7,,\n101,1,5,E-7,,\n",
    }
    number = {
        name: len(rows)
        for name, rows in services.missing(held(steel_job(tmp_path, **files))).items()
    }
    assert number == {
        "delivery": 0, "kind": 0, "heat": 0, "certificate": 2, "type": 0, "twice": 2, "lots": 1,
        "uncertified": 1, "unreceived": 0, "doubtful": 1, "remnants": 0,
    }  # fmt: skip


def test_a_whole_job_misses_nothing_and_is_covered(whole):
    assert all(rows.empty for rows in services.missing(whole).values())
    assert services.coverage(whole)["pieces_share"].tolist() == [1.0, 1.0]


@pytest.mark.parametrize(("name", "kept"), [("MC-5.pdf", True), ("MC-9.pdf", False)])
def test_the_file_of_a_certificate_is_found_by_its_name(tmp_path, name, kept):
    certificates = "Mill certificate,Certificate type,Scan\nMC-5,3.1,MC-5.pdf\nMC-6,3.1,\n"
    folder = steel_job(tmp_path, certificates=certificates)
    take_in(folder, (name, "%PDF-1.4 invented"))
    digests = held(folder).certificates.set_index("certificate")["sha256"]
    assert digests.notna().tolist() == [kept, False]
    if kept:
        assert services.attachment(folder, digests["MC-5"]) == b"%PDF-1.4 invented"


def test_a_project_without_steel_is_empty_and_answers(tmp_path):
    steel = held(empty_project(tmp_path))
    assert steel.empty
    assert meant(steel, "L-1") == []
    assert found(steel, "L-1", "stamp").trace.empty
    assert services.coverage(steel)["pieces"].tolist() == [0]
