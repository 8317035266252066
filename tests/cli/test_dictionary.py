"""The data dictionary has every column of every record kind and frame, as it is declared."""

from __future__ import annotations

import json

import pytest

from core import services, units
from core.errors import WrongUse
from core.frames import FRAMES
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
    found = services.data_dictionary().set_index(["kind", "column"])["choices"]
    assert found["schedule", "area"] == "a key of areas in project.toml"
    assert found["torque_reading", "direction"] == "advancing; reversed"


def test_the_dictionary_of_frames_has_a_row_per_column(capsys):
    code, out, _ = run(capsys, "dictionary", "--frames", "--json")
    assert code == 0
    wanted = [(frame.name, one.name) for frame in FRAMES.values() for one in frame.columns]
    assert [(row["frame"], row["column"]) for row in json.loads(out)] == wanted


def test_a_frame_is_printed_with_unit_origin_and_meaning(capsys):
    code, out, _ = run(capsys, "dictionary", "piles")
    assert code == 0
    line = {words[1]: " ".join(words[2:]) for words in map(str.split, out.splitlines())}
    assert line["wall_mm"] == "number mm sections.wall_mm Thickness of the shaft's wall."
    assert line["cutoff_level_m"] == "number m schedule Design level of the top."
    assert line["final_torque_nm"] == "number N·m Final torque."


def test_an_unknown_name_is_answered_with_those_there_are():
    with pytest.raises(
        WrongUse, match=r"kind or frame 'weather'; .* schedule, pile.* frames piles"
    ):
        services.data_dictionary("weather")
