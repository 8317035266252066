"""Commands as typed: what they print, what they answer in JSON, and their exit codes."""

import json
import shutil
import subprocess
import sys
from contextlib import redirect_stdout
from io import StringIO

import pytest

from core import cli
from tests.services.small import CERTIFICATES, INSTRUMENTS, SCHEDULE, SETTINGS, log, write


def exit_code(*words):
    """Exit code of one command line."""
    argv, sys.argv = sys.argv, ["pilewright", *map(str, words)]
    try:
        cli.main()
    except SystemExit as done:
        return done.code or 0
    finally:
        sys.argv = argv
    return 0


def run(capsys, *words):
    """Exit code, standard output and standard error of one command line."""
    code = exit_code(*words)
    out, err = capsys.readouterr()
    return code, out, err


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A job made and filled by commands."""
    parent = tmp_path_factory.mktemp("made")
    folder = parent / "job"
    assert exit_code("new", folder) == 0
    (folder / "project.toml").write_text(SETTINGS, encoding="utf-8")
    files = {"schedule.csv": SCHEDULE, "instruments.csv": INSTRUMENTS, "c.csv": CERTIFICATES}
    paths = [write(parent, name, text) for name, text in {**files, "log.csv": log()}.items()]
    with redirect_stdout(StringIO()) as out:
        code = exit_code("import", folder, *paths, "--by", "Bo Invented")
    assert code == 0, out.getvalue()
    assert "18  rows new" in out.getvalue()
    return folder


@pytest.fixture
def folder(made, tmp_path):
    """A copy of it for one test."""
    return shutil.copytree(made, tmp_path / "job")


def test_help_stands_on_every_command(capsys):
    code, out, _ = run(capsys, "--help")
    assert code == 0
    for command in ("demo", "new", "open", "import", "accept", "withdraw", "backup", "assess"):
        assert command in out
        assert run(capsys, command, "--help")[0] == 0


def test_assess_prints_counts_open_findings_and_the_caution(folder, capsys):
    code, out, _ = run(capsys, "assess", folder)
    assert code == 0
    assert "positions accepted: 0 of 3" in out
    assert "1  criteria met" in out
    assert "nothing here is an approval" in out


def test_assess_in_json_has_the_promised_keys(folder, capsys):
    code, out, _ = run(capsys, "assess", folder, "--json")
    found = json.loads(out)
    assert code == 0
    assert found["positions"] == {"current": 3, "accepted": 0}
    assert found["piles"][0]["state"] == "criteria met"
    assert found["piles"][0]["findings"][0]["evidence"][0]["file"] == "log.csv"


def test_import_in_json_counts_rows_and_names_problems(folder, tmp_path, capsys):
    bad = write(tmp_path, "bad.csv", log("102").replace("0.6,2.0", "0.6,two"))
    code, out, _ = run(capsys, "import", folder, bad, "--by", "Bo Invented", "--json")
    found = json.loads(out)
    assert code == 1
    assert found["entries"] == []
    assert (found["problems"][0]["file"], found["problems"][0]["row"]) == ("bad.csv", 3)
    wanted = {"kind", "file", "sheet", "row", "column", "value", "problem", "remedy"}
    assert wanted <= set(found["problems"][0])
    counts = {"rows_added", "rows_superseded", "rows_unchanged", "rows_corroborated"}
    assert counts | {"rows_removed", "rows_skipped", "missing_keys", "conflicts"} <= set(found)


def test_skip_bad_rows_exits_with_0_and_lists_what_it_left_out(folder, tmp_path, capsys):
    bad = write(tmp_path, "bad.csv", log("102").replace("0.6,2.0", "0.6,two"))
    words = ("import", folder, bad, "--by", "Bo Invented", "--skip-bad-rows")
    code, out, _ = run(capsys, *words)
    assert code == 0
    assert "bad.csv, row 3" in out
    assert "1  rows skipped" in out


def test_a_dry_run_writes_nothing(folder, tmp_path, capsys):
    good = write(tmp_path, "two.csv", log("102"))
    code, out, _ = run(capsys, "import", folder, good, "--by", "Bo Invented", "--dry-run")
    assert code == 0
    assert "11  rows new" in out
    assert "two.csv" not in run(capsys, "history", folder)[1]


def test_as_forces_a_kind_and_an_unknown_kind_is_wrong_use(folder, tmp_path, capsys):
    path = write(tmp_path, "one.csv", "Pile,Depth (m),Torque (kN·m),Instrument\n101,0.3,1.0,TI-1\n")
    words = ("import", folder, path, "--by", "Bo Invented", "--as")
    code, out, _ = run(capsys, *words, "torque_reading", "--dry-run")
    assert code == 0, out
    assert "1  rows confirmed by a second source" in out
    code, _, err = run(capsys, *words, "weather")
    assert code == 2
    assert "torque_reading" in err


def test_accept_is_refused_with_1_and_done_with_0(folder, capsys):
    refused = run(capsys, "accept", folder, "102", "--by", "Ada Invented", "--note", "ok")
    assert refused[0] == 2
    assert "No such pile: 102" in refused[2]
    no_right = run(capsys, "accept", folder, "101", "--by", "Bo Invented", "--note", "ok")
    assert no_right[0] == 1
    done = run(capsys, "accept", folder, "101", "--by", "Ada Invented", "--note", "sheet read")
    assert done[0] == 0
    assert done[1].endswith("Ada Invented signed off 1 pile.\n")
    assert "positions accepted: 1 of 3" in run(capsys, "assess", folder)[1]
    _code, out, _ = run(capsys, "assess", folder, "--json", "--as-of", "5")
    assert json.loads(out)["positions"]["accepted"] == 0


def test_two_piles_are_signed_off_at_once(folder, tmp_path, capsys):
    run(capsys, "import", folder, write(tmp_path, "two.csv", log("102")), "--by", "Bo Invented")
    words = ("101", "102", "--by", "Ada Invented", "--note", "sheets read")
    code, out, err = run(capsys, "accept", folder, *words)
    assert code == 0, err
    assert out.endswith("signed off 2 piles.\n")


def test_a_blank_note_is_wrong_use(folder, capsys):
    blank = ("--by", "Ada Invented", "--note", "  ")
    for act in (("accept", folder, "101"), ("withdraw", folder, "5")):
        code, _, err = run(capsys, *act, *blank)
        assert code == 2
        assert "needs a " in err


def test_assess_prints_measured_and_limit_with_their_unit(folder, tmp_path, capsys):
    weak = write(tmp_path, "weak.csv", log("102", [1.0] * 10))
    run(capsys, "import", folder, weak, "--by", "Bo Invented")
    lines = run(capsys, "assess", folder)[1].splitlines()
    (line,) = [line for line in lines if line.startswith("102") and "required torque" in line]
    assert "1.00 kN·m  5.00 kN·m" in line


def test_history_withdraw_verify_and_backup(folder, tmp_path, capsys):
    entries = json.loads(run(capsys, "history", folder, "--json")[1])
    assert [entry["act"] for entry in entries] == ["settings", *["file"] * 4]
    last = str(entries[-1]["entry_no"])
    withdrawn = run(capsys, "withdraw", folder, last, "--by", "Ada Invented", "--note", "wrong")
    assert withdrawn[0] == 0
    assert "withdrawn" in run(capsys, "history", folder)[1]
    code, out, _ = run(capsys, "verify", folder)
    assert (code, out.startswith("The ledger is intact")) == (0, True)
    code, out, _ = run(capsys, "backup", folder, tmp_path / "copy")
    assert code == 0
    assert run(capsys, "verify", tmp_path / "copy")[0] == 0
    assert run(capsys, "backup", folder, tmp_path / "copy")[0] == 1


def test_backup_names_a_registered_person_or_nobody(folder, tmp_path, capsys):
    code, _, err = run(capsys, "backup", folder, tmp_path / "copy", "--by", "Cy Invented")
    assert code == 2, err
    assert "Cy Invented" in err
    assert not (tmp_path / "copy").exists()
    code, out, _ = run(capsys, "backup", folder, tmp_path / "copy", "--by", "Bo Invented")
    assert code == 0
    assert f"Backed up to {tmp_path / 'copy'} by Bo Invented." in out


def test_an_empty_project_names_the_import_as_the_next_step(tmp_path, capsys):
    run(capsys, "new", tmp_path / "job")
    for command in ("assess", "outstanding"):
        code, out, _ = run(capsys, command, tmp_path / "job")
        assert code == 0
        assert f"no piles yet. Next: pilewright import {tmp_path / 'job'} schedule.csv" in out
        assert "No open finding" not in out
        assert "Nothing is outstanding" not in out


def test_a_missing_ledger_is_a_fault_for_every_command_and_none_makes_a_new_one(folder, capsys):
    (folder / "project.duckdb").unlink()
    kept = sorted(path.name for path in (folder / "attachments").iterdir())
    log = folder / "incoming.csv"
    log.write_text(SCHEDULE, encoding="utf-8")
    commands = (
        ["verify"],
        ["verify", "--json"],
        ["assess"],
        ["history"],
        ["outstanding"],
        ["import", str(log), "--by", "Bo Invented"],
        ["backup", str(folder / "copy")],
    )
    for command, *rest in commands:
        code, _, err = run(capsys, command, folder, *rest)
        assert code == 1, command
        assert err.strip().startswith("The ledger project.duckdb is missing from ")
        assert "pilewright restore BACKUP NEW_FOLDER" in err
    assert not (folder / "project.duckdb").exists()
    assert sorted(path.name for path in (folder / "attachments").iterdir()) == kept


def test_verify_exits_with_1_and_names_the_entry_of_a_changed_attachment(folder, capsys):
    kept = sorted((folder / "attachments").iterdir())[0]
    kept.chmod(0o644)
    kept.write_bytes(b"something else")
    code, out, _ = run(capsys, "verify", folder)
    assert code == 1
    assert "entry" in out.lower()


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["frobnicate"], 2),
        (["assess"], 2),
        (["assess", "{missing}"], 1),
        (["assess", "{job}", "--as-of", "yesterday"], 2),
        (["assess", "{job}", "--as-of", "999"], 2),
        (["accept", "{job}", "101", "--note", "x"], 2),
        (["withdraw", "{job}", "999", "--by", "Ada Invented", "--note", "x"], 2),
        (["new", "{job}"], 1),
        (["restore", "{missing}", "{job}"], 2),
        (["open", "{missing}"], 1),
    ],
)
def test_wrong_use_is_2_and_what_cannot_be_done_is_1(folder, tmp_path, capsys, words, code):
    places = {"job": folder, "missing": tmp_path / "nowhere"}
    given = [word.format(**places) for word in words]
    assert run(capsys, *given)[0] == code


def test_as_of_a_day_before_anything_was_entered_knows_nothing(folder, capsys):
    code, out, _ = run(capsys, "assess", folder, "--json", "--as-of", "2020-01-01")
    assert code == 0
    assert json.loads(out)["piles"] == []


def test_the_installed_command_answers():
    done = subprocess.run(
        [sys.executable, "-c", "from core.cli import main; main()", "--help"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert "helical-pile job" in done.stdout
