"""``pilewright assess --what-if``: its text, its JSON and a sentence it does not understand."""

import json

import pytest

from tests.cli.test_commands import run
from tests.services.small import log, small_project


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return small_project(tmp_path_factory.mktemp("small"), log())


def test_the_text_lists_the_piles_that_move(folder, capsys):
    code, out, err = run(capsys, "assess", folder, "--what-if", "loads x 1.29")
    assert code == 0, err
    assert "Scenario: loads x 1.29. Nothing is stored." in out
    assert "piles that change their state: 1" in out
    assert "101 A criteria met engineer review" in " ".join(out.split())
    assert "nothing here is an approval" in out


def test_json_names_pile_states_and_reason(folder, capsys):
    told = json.loads(run(capsys, "assess", folder, "--what-if", "loads x 1.29", "--json")[1])
    assert told["scenario"] == ["loads x 1.29"]
    (pile,) = told["changed_piles"]
    assert (pile["pile"], pile["now"], pile["in_scenario"]) == (
        "101",
        "criteria met",
        "engineer review",
    )
    assert told["counts"]["in_scenario"]["engineer review"] == 1


def test_a_sentence_that_is_not_understood_is_wrong_use(folder, capsys):
    code, _, err = run(capsys, "assess", folder, "--what-if", "more rain")
    assert code == 2
    assert "loads x 1.1" in err
