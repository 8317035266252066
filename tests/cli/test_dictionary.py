"""The data dictionary has every column of every record kind, as its declaration has it."""

from __future__ import annotations

import json

import pytest

from core import flow, units
from core.errors import WrongUse
from core.records import KIND, KINDS
from tests.cli.test_commands import run


def test_the_dictionary_has_a_row_per_column_in_the_order_of_the_kinds(capsys):
    code, out, _ = run(capsys, "dictionary", "--json")
    assert code == 0
    rows = json.loads(out)
    wanted = [(kind.name, column.name) for kind in KINDS for column in kind.columns]
    assert [(row["kind"], row["column"]) for row in rows] == wanted
    for row in rows:
        kind = KIND[row["kind"]]
        column = kind.column(row["column"])
        assert row["type"] == column.form
        assert row["unit"] == units.unit_word(column.name)
        assert (row["required"], row["key"]) == (column.required, column.name in kind.key)
        assert (row["minimum"], row["maximum"]) == (column.low, column.high)
        assert row["meaning"] == column.meaning
        assert row["example"].startswith(column.example)


def test_one_kind_is_printed_as_a_table(capsys):
    code, out, _ = run(capsys, "dictionary", "torque_reading")
    assert code == 0
    lines = out.splitlines()
    assert len(lines) == 1 + len(KIND["torque_reading"].columns)
    depth = next(line for line in lines if " depth_mm " in line)
    assert "100000" in depth
    assert "0.3 m " in depth
    pile = next(line for line in lines if " pile_id " in line)
    assert "run.pile_id (without it: refused)" in pile


def test_choices_are_words_or_keys_of_the_settings():
    found = flow.data_dictionary().set_index(["kind", "column"])["choices"]
    assert found["schedule", "area"] == "a key of areas in project.toml"
    assert found["torque_reading", "direction"] == "advancing; reversed"


def test_an_unknown_kind_is_named_with_those_there_are():
    with pytest.raises(WrongUse, match="no record kind 'weather'; there are: schedule, pile"):
        flow.data_dictionary("weather")
