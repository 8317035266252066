"""The command `explain`: its text, its JSON, and a pile that is not there."""

import json

import pytest

from tests.cli.test_commands import run
from tests.services.small import log, small_project


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return small_project(tmp_path_factory.mktemp("small"), log())


def test_the_text_shows_equation_numbers_result_source_and_caution(folder, capsys):
    code, out, err = run(capsys, "explain", folder, "101")
    assert code == 0, err
    # The last three readings are 6.2, 6.4 and 6.6 kN·m.
    assert "T = (T₁ + … + Tₙ)/n" in out
    assert "T₃ = 6,600 N·m  torque at 3.00 m; log_1.csv, row 11" in out
    assert "    = 6,400 N·m" in out
    assert "Source: trade practice, no source" in out
    assert "nothing here is an approval" in out


def test_json_holds_the_steps(folder, capsys):
    told = json.loads(run(capsys, "explain", folder, "101", "--json")[1])
    assert told["pile"] == "101"
    final = next(step for step in told["steps"] if step["measure"] == "final_torque_nm")
    assert [put["row"] for put in final["inputs"]] == [9, 10, 11]


def test_a_pile_without_work_says_so(folder, capsys):
    code, _, err = run(capsys, "explain", folder, "102")
    assert code == 2
    assert "holds no pile 102" in err
