"""Text of files on a terminal: printed, and never obeyed by it."""

from __future__ import annotations

import json

import pytest
from rich.text import Text

from core.cli.shared import one_line, printable, progress_text
from tests.cli.test_commands import run
from tests.services.small import INSTRUMENTS, SCHEDULE, SETTINGS, log, started, write

STEERING = "\x1b[2J\x1b]8;;http://127.0.0.1/\x07\x9b31m\u202e"  # clears, links, colours, turns
IN_FILES = "\x9b31m\u202eB"  # what a text file may hold: others make it no text
NAME, PILE = f"Bridge{STEERING}", f"9{IN_FILES}"


@pytest.fixture
def job(tmp_path):
    """A project whose name and whose pile number steer a terminal."""
    settings = SETTINGS.replace('"Invented footbridge"', json.dumps(NAME))
    schedule = SCHEDULE.replace("\n101,", f"\n{PILE},")
    files = [("schedule.csv", schedule), ("instruments.csv", INSTRUMENTS), ("log.csv", log(PILE))]
    return started(tmp_path, settings, *files)


def steers(text):
    return [sign for sign in text if sign in STEERING and not sign.isprintable()]


def test_names_and_pile_numbers_are_printed_escaped(job, capsys):
    _, out, err = run(capsys, "assess", job)
    assert steers(out + err) == []
    assert "Bridge\\u001b[2J" in out
    assert "9\\u009b31m\\u202eB" in out


def test_a_problem_shows_the_value_escaped_and_on_one_line(job, tmp_path, capsys):
    text = log().replace("0.9,3.0", f'0.9,"3{IN_FILES}\n  log.csv: no problems"')
    path = write(tmp_path, "log.csv", text)
    code, out, err = run(capsys, "import", job, path, "--by", "Bo Invented")
    assert code == 1
    assert steers(out + err) == []
    assert "\\u009b31m" in out
    assert "  log.csv: no problems" not in out.splitlines()


def test_json_stays_json_and_means_the_text_as_written(job, capsys):
    _, out, _ = run(capsys, "assess", job, "--json")
    assert steers(out) == []
    assert any(PILE in pile.values() for pile in json.loads(out)["piles"])


def test_an_error_names_its_text_escaped(job, capsys):
    code, _, err = run(capsys, "assess", job, "--as-of", "\x1b[2J")
    assert code == 2
    assert "\x1b" not in err


@pytest.mark.parametrize(
    "step", ["reading [link=http://127.0.0.1]log.csv[/link]", "reading [bold]a.csv", f"x{STEERING}"]
)
def test_the_progress_bar_shows_markup_and_obeys_none(step):
    shown = Text.from_markup(progress_text(step))
    assert shown.spans == []
    assert shown.plain == one_line(step)


@pytest.mark.parametrize("text", ["5.0 kN·m ≥ 4", "Møller & Sons", "a\tb\nc", "日本"])
def test_ordinary_text_is_printed_as_it_is(text):
    assert printable(text) == text
