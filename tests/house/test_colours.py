"""Where colours stand: states in core/words.py, figures in theme.py, the page in config.toml."""

import re

import pytest

from tests.house.tree import files, name

INK_AND_PAPER = {"#111", "#fff"}  # of what is printed
COLOUR = re.compile(r"#[0-9a-fA-F]{3,8}\b(?![^\n]*\{)")
SHEETS = [path for ending in (".css", ".js") for path in files(ending)]


def test_there_are_sheets_to_look_at():
    assert {"dashboard/assets/style.css", "dashboard/plan/sheet.js"} <= set(map(name, SHEETS))


@pytest.mark.parametrize("path", SHEETS, ids=name)
def test_style_sheet_and_plan_have_no_colour_of_their_own(path):
    assert set(COLOUR.findall(path.read_text(encoding="utf-8"))) <= INK_AND_PAPER
