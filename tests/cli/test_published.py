"""``pilewright published``: the list, one table, and a table that is not there."""

import json

from tests.cli.test_commands import run


def test_tables_are_listed_and_one_is_printed_with_its_source(capsys):
    code, out, _ = run(capsys, "published")
    assert code == 0
    assert "torque_factors" in out
    assert "counts in a project only when written there" in out
    assert "ASTM A572" in run(capsys, "published", "steel_grades")[1]


def test_a_table_in_json(capsys):
    found = json.loads(run(capsys, "published", "load_test_correlation", "--json")[1])
    assert found[2]["mean_divisor"] == 1.2
    assert found[2]["standard"] == "EN 1997-1 Table A.9"


def test_an_unknown_table_is_wrong_use(capsys):
    code, _, err = run(capsys, "published", "grades")
    assert code == 2
    assert "There is no published table grades." in err
