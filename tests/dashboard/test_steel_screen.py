"""The Steel screen: what a search shows, what it offers when it cannot, and the whole job."""

from itertools import pairwise

import pandas as pd
import pytest

from dashboard.charts.steel import LEVELS, steel_trace
from dashboard.data import steel
from tests.dashboard.test_screens import words_of
from tests.services.steel_job import PIECES, PLACED, steel_job


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    """A job whose lead stands in two places, with one shaft's heat misread."""
    pieces = PIECES.replace("L-1,DN-1,shaft,Mill X,7Q1803,", "L-1,DN-1,shaft,Mill X,7Q18O3,")
    return steel_job(
        tmp_path_factory.mktemp("steel"), pieces=pieces, placed=PLACED + "101,1,3,L-1,,\n"
    )


def test_a_pile_shows_every_part_with_its_heat_and_certificate(open_app, job):
    app = open_app(job, "steel", query="101")
    assert not app.exception
    piles, pieces, heats, certificates, stock = (table.value for table in app.dataframe[:5])
    assert piles["Pile"].tolist() == ["101"]
    assert pieces["Heat"].tolist() == ["7Q1803", "7Q18O3", "9K0001", "7Q1803", "7Q18O3"]
    assert pieces["Certificate"].fillna("").tolist() == ["MC-6", "", "MC-5", "MC-6", ""]
    assert set(heats["Heat"]) == {"7Q1803", "7Q18O3", "9K0001"}
    assert sorted(certificates["Certificate"]) == ["MC-5", "MC-6"]
    assert stock["Not placed"].tolist() == ["3", "1 too many"]
    page = words_of(app)
    assert "no certificate lists heat 7Q18O3 of Mill X" in page
    assert "does not prove the steel" in page


CLEAR = "No gaps: on paper every piece is traced to its certificate"


def test_a_finding_comes_before_any_word_of_a_full_trace(open_app, tmp_path):
    twice = steel_job(tmp_path, placed=PLACED + "101,1,3,L-1,,none needed\n")
    page = words_of(open_app(twice, "steel", query="L-1"))
    assert "Open findings" in page
    assert "also in pile 101, place 3" in page
    assert "Not placed 1 too many" in page
    assert CLEAR not in page


def test_a_full_trace_is_stated_where_no_finding_is_open(open_app, tmp_path):
    page = words_of(open_app(steel_job(tmp_path), "steel", query="L-1"))
    assert CLEAR in page
    for word in ("Open findings", "too many", "is similar to"):
        assert word not in page, word


def test_a_heat_names_the_similar_ones_with_their_pieces(open_app, job):
    page = words_of(open_app(job, "steel", query="7Q18O3"))
    assert "is similar to 7Q1803 of Mill X, one character apart (1 piece, on a certificate)" in page
    page = words_of(open_app(job, "steel", query="7Q1803", match="heat 7Q1803 of Mill X"))
    assert (
        "is similar to 7Q18O3 of Mill X, one character apart (1 piece, on no certificate)" in page
    )


def test_a_pile_number_read_in_another_spelling_says_so(open_app, job):
    assert "“10-1” is read as pile 101" in words_of(open_app(job, "steel", query="10-1"))
    assert "is read as" not in words_of(open_app(job, "steel", query="101"))


def test_a_text_on_several_things_is_offered_and_the_choice_stays_in_the_address(open_app, job):
    app = open_app(job, "steel", query="7Q1803")
    assert not app.exception
    assert len(app.dataframe) == 0
    assert "has several matches" in app.button_group(key="choice_match").label
    here = open_app(job, "steel", query="7Q1803", match="heat 7Q1803 of Mill Y")
    assert here.dataframe[0].value["Pieces"].tolist() == [2]
    assert "Heat 7Q1803 of Mill Y" in words_of(here)


def test_what_is_typed_is_searched_for(open_app, job):
    app = open_app(job, "steel")
    app.text_input(key="query").set_value(" L-2 ").run()
    assert app.session_state["query"].strip() == "L-2"
    page = words_of(app)
    assert "Stamp L-2" in page
    assert "None of it is recorded in the ground" in page


def test_an_unknown_text_offers_what_is_similar_and_changes_nothing(open_app, job):
    app = open_app(job, "steel", query="9KOOO1")
    assert "No pile, stamp, lot, heat or certificate matches" in words_of(app)
    assert len(app.dataframe) == 0
    app.button(key="near_9K0001").click().run()
    assert "Heat 9K0001 of Mill X" in words_of(app)


def test_the_whole_job_says_what_is_traced_and_what_is_missing(open_app, job):
    app = open_app(job, "steel")
    assert not app.exception
    page = words_of(app)
    assert "Traced, by piece 60.0%" in page
    for word in (
        "no certificate",
        "stamp used twice",
        "similar heat numbers",
        "heat without certificate",
    ):
        assert word in page, word
    assert (
        app.dataframe[0].value["Gap in traceability"].tolist()
        == ["no certificate lists heat 7Q18O3 of Mill X"] * 2
    )


def test_each_list_has_its_own_rows(open_app, job):
    doubtful = open_app(job, "steel", list="doubtful").dataframe[0].value
    assert doubtful[["Heat", "Similar to"]].to_numpy().tolist() == [["7Q18O3", "7Q1803"]]
    twice = open_app(job, "steel", list="twice").dataframe[0].value
    assert twice["Stamp"].tolist() == ["L-1", "L-1"]


def test_a_chosen_pile_is_one_step_from_its_steel(open_app, job):
    app = open_app(job, "steel", piles="101")
    app.button(key="search_pile").click().run()
    assert "Pile 101" in words_of(app)


def test_a_job_without_steel_says_what_to_import(open_app, tmp_path):
    without = dict.fromkeys(("components", "pieces", "placed", "certificates", "heats"), "")
    app = open_app(steel_job(tmp_path, **without), "steel")
    assert not app.exception
    assert "No steel is recorded yet" in words_of(app)


def test_a_project_without_piles_says_so(open_app, site):
    app = open_app(site, "steel")
    assert not app.exception
    assert "This project has no piles yet" in words_of(app)


def test_a_trace_goes_out_as_one_line_per_piece():
    row = dict.fromkeys(("pile_id", "run_no", "component", "piece", "stamp", "lot"), "x")
    row |= dict.fromkeys(("component_kind", "mill", "heat", "certificate", "certificate_type"), "y")
    trace = pd.DataFrame([{**row, "place": 1, "length_mm": 2100, "gap_text": None, "more": 1}])
    head, line = steel.trace_file(trace).decode().splitlines()
    assert head == (
        "pile,run,place,component,piece,stamp,kind,length_mm,lot,mill,heat,certificate,"
        "certificate_type,gap"
    )
    assert line == "x,x,1,x,x,x,y,2100,x,y,y,y,y,"


def test_boxes_of_a_level_never_overlap_and_long_words_are_cut():
    trace_boxes = pd.DataFrame(
        [("pile", "P1")] + [("component", f"a very long component name {n}") for n in range(9)]
        + [("heat", "H1"), ("certificate", "no certificate")],
        columns=["level", "box"],
    ).assign(count=1, broken=lambda rows: rows["box"].eq("no certificate"))  # fmt: skip
    lines = pd.DataFrame([("pile", "P1", trace_boxes["box"][1], False)],
                         columns=["level", "box", "next_box", "broken"])  # fmt: skip
    figure = steel_trace(trace_boxes, lines)
    for x in range(len(LEVELS)):
        own = sorted(((s.y0, s.y1) for s in figure.layout.shapes if s.x0 < x < s.x1), reverse=True)
        assert all(low > high for (low, _), (_, high) in pairwise(own))
    texts = [note.text for note in figure.layout.annotations]
    assert "✕ no certificate" in texts
    assert all(len(text) <= 25 or text.startswith("<b>") for text in texts)
