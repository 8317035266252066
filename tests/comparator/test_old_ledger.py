"""A ledger of an older program opens, verifies, keeps its sign-offs and takes an import."""

import pytest

from core import services
from tests.comparator import frozen

FOREMAN = "Milo Tarrant"


@pytest.fixture
def folder(tmp_path):
    return frozen.unpacked(tmp_path)


def test_it_verifies_whole_with_the_head_it_had(folder):
    head = frozen.expected()["history"]
    faults, now = services.verify(folder)
    assert faults == []
    assert now == head[max(head, key=int)]["hash"]


def test_an_import_is_taken_and_the_sign_offs_of_other_piles_stay(folder, tmp_path):
    before = services.assess(folder)
    signed = before.piles[before.piles["state"].eq("accepted")]
    assert len(signed) > 40
    log = tmp_path / "toe_again.csv"
    pile = signed["pile_id"].iloc[0]
    log.write_text(f"pile,run,depth (m),torque (kNm)\n{pile},1,0.35,2.1\n", encoding="utf-8")
    report = services.import_files(folder, [log], by=FOREMAN)
    assert report.problems.empty, report.problems.to_dict("records")
    assert report.entries
    after = services.assess(folder)
    assert after.entry > before.entry
    still = set(after.piles.loc[after.piles["state"].eq("accepted"), "pile_id"])
    assert set(signed["pile_id"]) - {pile} <= still
    assert services.verify(folder)[0] == []


def test_an_assessment_as_of_an_entry_before_the_import_is_as_it_was(folder, tmp_path):
    notes = tmp_path / "piles.csv"
    notes.write_text("pile,position,duty\nX-1,B01-1,test on works\n", encoding="utf-8")
    report = services.import_files(folder, [notes], by=FOREMAN)
    assert report.entries, report.problems.to_dict("records")
    said = {"65": frozen.answers.at_entry(services.assess(folder, 65))}
    assert frozen.faults_as_of(said) == []
