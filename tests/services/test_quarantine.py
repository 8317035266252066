"""A heat called back: exactly its piles move, and come back when the quarantine is lifted."""

import pytest

from core import services
from core.errors import Refused, WrongUse
from tests.services.small import copied, log, state, take_in
from tests.services.steel_job import HEATS, PIECES, PLACED, steel_job

SECOND = """\
Pile,Run,Place in string,Stamp,Used length (m),Bolts
102,1,1,L-2,,none needed
102,1,2,E-7,,fitted and tight
"""


@pytest.fixture
def job(tmp_path):
    """Piles 101 and 102 in order on lot E-7 of heat 9K0001; only 102 has a shaft of 7Q1804."""
    return copied(tmp_path, _job)


def _job(parent):
    pieces = PIECES.replace("L-2,DN-1,shaft,Mill X,7Q1803", "L-2,DN-1,shaft,Mill X,7Q1804")
    folder = steel_job(parent, pieces=pieces, heats=HEATS + "MC-5,Mill X,7Q1804,2\n")
    head, *rows = log("102").splitlines()
    lines = [head.replace(",Depth", ",Stick-up (m),Cut off (m),Depth")]
    lines += [",".join([*r.split(",")[:7], "0.4", "0.2", *r.split(",")[7:]]) for r in rows]
    report = take_in(folder, ("log_102.csv", "\n".join(lines) + "\n"), ("placed_102.csv", SECOND))
    assert not report.refused, report
    assert {state(services.assess(folder), pile) for pile in ("101", "102")} == {"criteria met"}
    return folder


def states(folder):
    piles = services.assess(folder).piles
    return dict(zip(piles["pile_id"].fillna(piles["position_id"]), piles["state"], strict=True))


def test_a_quarantine_moves_exactly_the_piles_of_its_heat_and_lifting_brings_them_back(job):
    services.accept(job, ["101"], "Ada Invented", "seen on site")
    before = states(job)
    held = services.put_in_quarantine(job, "9K0001", "Bo Invented", "mill calls it back")
    assert sorted(held.affected) == ["101", "102"]
    moved = states(job)
    assert {pile for pile in before if moved[pile] != before[pile]} == {"101", "102"}
    assert moved["101"] == moved["102"] == "engineer review"
    back = services.release_heat(job, "9K0001", "Ada Invented", "retested, report 7")
    assert back.entry == held.entry + 1
    assert states(job) == before == {"101": "accepted", "102": "criteria met", "103": "not started"}


def test_only_the_piles_that_hold_the_heat_of_that_mill_move(job):
    before = states(job)
    held = services.put_in_quarantine(job, "7Q1804", "Bo Invented", "report 3", mill="Mill X")
    assert held.affected == ["102"]
    moved = states(job)
    assert {pile for pile in before if moved[pile] != before[pile]} == {"102"}


def test_a_heat_in_no_pile_moves_none(tmp_path):
    folder = steel_job(tmp_path, heats=HEATS + "MC-6,Mill Y,8888,4\n")
    before = states(folder)
    assert services.put_in_quarantine(folder, "8888", "Bo Invented", "paper alone").piles.empty
    assert states(folder) == before


def test_the_finding_names_who_and_why_and_cites_the_quarantine(job):
    services.put_in_quarantine(job, "9K0001", "Bo Invented", "mill calls it back")
    assessment = services.assess(job)
    found = assessment.findings[assessment.findings["kind"].eq("heat in quarantine")]
    assert set(found["subject"]) == {"101", "102"}
    assert found["note"].str.contains("Bo Invented: mill calls it back", regex=False).all()
    rows = assessment.evidence("101")
    records = set(rows.loc[rows["kind"].eq("heat in quarantine"), "record"])
    assert records == {"quarantine", "piece"}


def test_both_words_stand_in_the_history_of_the_pile_with_name_and_reason(job):
    services.put_in_quarantine(job, "9K0001", "Bo Invented", "mill calls it back")
    services.release_heat(job, "9K0001", "Ada Invented", "retested, report 7")
    assessment = services.assess(job)
    piles = assessment.piles
    history = services.pile_history(assessment, piles[piles["pile_id"].eq("101")].iloc[0])
    told = history.works[history.works["happening"].eq("quarantine")]
    assert list(told["detail"]) == [
        "lifted, Ada Invented: retested, report 7",
        "in quarantine, Bo Invented: mill calls it back",
    ]
    assert set(told["entry_no"]) <= set(history.entries["entry_no"])
    other = services.pile_history(assessment, piles[piles["position_id"].eq("103")].iloc[0])
    assert not other.works["happening"].eq("quarantine").any()
    notes = list(services.history(job)["note"])[-2:]
    assert notes == [
        "heat 9K0001 of Mill X in quarantine: mill calls it back",
        "heat 9K0001 of Mill X lifted: retested, report 7",
    ]


def test_as_of_an_earlier_entry_the_heat_is_not_yet_called_back(job):
    entry = services.assess(job).entry
    services.put_in_quarantine(job, "9K0001", "Bo Invented", "mill calls it back")
    assert state(services.assess(job, entry)) == "criteria met"
    assert state(services.assess(job)) == "engineer review"


def test_a_quarantine_withdrawn_never_was(job):
    entry = services.put_in_quarantine(job, "9K0001", "Bo Invented", "wrong heat").entry
    services.withdraw(job, entry, "Ada Invented", "typed the wrong heat")
    assert state(services.assess(job)) == "criteria met"


@pytest.mark.parametrize(
    ("act", "told", "error"),
    [
        ({"heat": "9K0OO1"}, "Nearest known: 9K0001", WrongUse),
        ({"heat": "7Q1803"}, "Name one: --mill M", WrongUse),
        ({"reason": " "}, "needs a reason", WrongUse),
        ({"by": "Nobody"}, "not among the people", WrongUse),
    ],
)
def test_what_cannot_be_decided_is_refused_and_nothing_is_written(job, act, told, error):
    asked = {"heat": "9K0001", "by": "Bo Invented", "reason": "called back"} | act
    with pytest.raises(error, match=told):
        services.put_in_quarantine(job, asked["heat"], asked["by"], asked["reason"])
    assert services.steel_of(services.assess(job)).story.empty


def test_twice_in_and_out_without_the_right_are_refused(job):
    with pytest.raises(Refused, match="is not in quarantine"):
        services.release_heat(job, "9K0001", "Ada Invented", "early")
    services.put_in_quarantine(job, "9K0001", "Bo Invented", "called back")
    with pytest.raises(Refused, match="in quarantine already"):
        services.put_in_quarantine(job, "9K0001", "Bo Invented", "called back")
    with pytest.raises(Refused, match=r"held by: Ada Invented"):
        services.release_heat(job, "9K0001", "Bo Invented", "I think so")


def test_a_piece_of_a_mill_that_nobody_knows_is_called_back_with_every_mill(tmp_path):
    pieces = PIECES.replace("L-1,DN-1,shaft,Mill X,7Q1803,", "L-1,DN-1,shaft,,7Q1803,")
    folder = steel_job(tmp_path, pieces=pieces, placed=PLACED)
    held = services.put_in_quarantine(folder, "7Q1803", "Bo Invented", "called back", "Mill X")
    assert list(held.piles["pile_id"]) == ["101"]
    assessment = services.assess(folder)
    kinds = assessment.findings.loc[assessment.findings["subject"].eq("101"), "kind"]
    assert "heat in quarantine" in set(kinds)


def test_trace_search_and_recall_of_a_mill_find_the_same_steel_without_a_mill(tmp_path):
    pieces = PIECES.replace("L-1,DN-1,shaft,Mill X,7Q1803,", "L-1,DN-1,shaft,,7Q1803,")
    assessment = services.assess(steel_job(tmp_path, pieces=pieces, placed=PLACED))
    meaning = services.Match("heat", "7Q1803", "Mill X")
    traced = services.trace(assessment, "heat", "7Q1803", "Mill X").placed
    assert set(traced["pile"]) == {"101"}
    assert set(traced["mill"].fillna("")) == {""}
    found = services.search(services.steel_of(assessment), meaning)
    assert set(found.trace["pile_id"]) == {"101"}
    assert set(services.quarantine_effect(assessment, "7Q1803", "Mill X").piles["pile_id"]) == {
        "101"
    }
