"""The command `outstanding`: its list, its JSON, what can be asked of it, and its files."""

import json

import pytest

from tests.cli.test_commands import run
from tests.services.small import log, small_project


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A project with a good pile, 101, and a weak one, 102."""
    return small_project(tmp_path_factory.mktemp("weak"), log(), log("102", [1.0] * 10))


def items(capsys, folder, *words):
    code, out, err = run(capsys, "outstanding", folder, "--json", *words)
    assert code == 0, err
    return json.loads(out)


def test_the_list_says_what_blocks_and_who_clears(folder, capsys):
    first = items(capsys, folder)[0]
    assert (first["kind"], first["subject"]) == ("required torque", "102")
    assert (first["blocks"], first["responsible"]) == (
        ["acceptance of the pile", "concrete over the head"],
        "DES",
    )
    assert set(first) >= {
        "kind",
        "subject",
        "blocks",
        "responsible",
        "closed_by",
        "due_date",
        "age_days",
    }
    assert (first["measured"], first["sense"], first["limit"]) == (1000.0, "at least", 5000.0)
    assert (first["unit"], first["clause"]) == ("N·m", "5.1")
    assert first["due_date"] == "2026-03-02"
    assert first["age_days"] == 29  # entered after the day that judges, so from the due day


def test_the_text_tells_the_numbers_with_their_limit(folder, capsys):
    out = run(capsys, "outstanding", folder)[1]
    assert "1.00 kN·m, minimum 5.00 kN·m" in out
    assert "acceptance of the pile, concrete over the head" in out


def test_part_of_the_list_can_be_asked_for(folder, capsys):
    everything = items(capsys, folder)
    part = ["--area", "A", "--responsible", "des", "--blocks", "c"]
    assert items(capsys, folder, *part)
    assert items(capsys, folder, *part, "--overdue") == []  # a decision, no record or result
    assert items(capsys, folder, "--finding", "required torque") == everything[:1]
    assert items(capsys, folder, "--owner", "FM") == []  # names of before
    assert items(capsys, folder, "--kind", "required torque") == everything[:1]


def test_a_kind_is_asked_for_by_its_word_its_id_or_an_earlier_word(folder, capsys):
    given = ("mean torque without the peak reading", "torque_without_peak")
    by_name = [
        items(capsys, folder, "--finding", name)
        for name in (*given, "torque without the greatest reading")
    ]
    assert len(by_name[0]) == 1
    assert by_name[0] == by_name[1] == by_name[2]


@pytest.mark.parametrize(
    ("words", "allowed"),
    [
        (("--responsible", "BOSS"), "DES, ENG, PM"),
        (("--blocks", "AX"), "A, C, P, H, W"),
        (("--area", "Z"), "takes A"),
        (("--finding", "weather"), "required torque"),
    ],
)
def test_what_nobody_can_ask_for_is_wrong_use_and_says_what_can(folder, capsys, words, allowed):
    code, _, err = run(capsys, "outstanding", folder, *words)
    assert code == 2
    assert allowed in err


def test_the_list_is_written_as_csv_or_xlsx_and_never_over_a_file(folder, tmp_path, capsys):
    for name in ("list.csv", "list.XLSX"):
        code, out, _ = run(capsys, "outstanding", folder, "--out", tmp_path / name)
        assert code == 0
        assert f"Written to {tmp_path / name}" in out
    assert (tmp_path / "list.csv").read_text(encoding="utf-8").startswith("kind,subject,")
    assert (tmp_path / "list.XLSX").read_bytes().startswith(b"PK")
    assert run(capsys, "outstanding", folder, "--out", tmp_path / "list.csv")[0] == 1
    assert run(capsys, "outstanding", folder, "--out", tmp_path / "no" / "list.csv")[0] == 1
    code, _, err = run(capsys, "outstanding", folder, "--out", tmp_path / "list.pdf")
    assert (code, ".csv or .xlsx" in err) == (2, True)
