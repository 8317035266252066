"""The command `trace`: its list, its JSON, and what it answers to a wrong question."""

import json

import openpyxl
import pandas as pd
import pytest

from tests.cli.test_commands import run
from tests.services.steel_job import steel_job
from tests.services.test_trace import KEYS


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return steel_job(tmp_path_factory.mktemp("steel"))


def test_json_is_a_list_of_pieces_with_their_keys(folder, capsys):
    code, out, err = run(capsys, "trace", folder, "--heat", "9K0001", "--json")
    assert code == 0, err
    (piece,) = json.loads(out)
    assert list(piece) == KEYS
    assert (piece["pile"], piece["stamp"], piece["certificate"]) == ("101", "E-7", "MC-5")
    assert (piece["place"], piece["length_mm"], piece["gap"]) == (2, 1500, None)


def test_the_text_has_totals_and_what_is_in_the_store(folder, capsys):
    out = run(capsys, "trace", folder, "--lot", "E-7")[1]
    assert "lot E-7: 1 pile, 1 piece, 1.50 m; of each pile its last string." in out
    assert "Not placed:" in out


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        ((), "Name exactly one of --pile, --stamp, --lot, --heat and --certificate."),
        (("--pile", "101", "--lot", "E-7"), "Name exactly one"),
        (("--pile", "101", "--mill", "Mill X"), "--mill goes with --heat only."),
        (("--heat", "7Q1803"), "of several mills: Mill X, Mill Y"),
        (("--pile", "1O1"), "There is no pile 1O1. Nearest known: 101, one character apart"),
    ],
)
def test_a_wrong_question_is_wrong_use(folder, capsys, words, answer):
    code, _, err = run(capsys, "trace", folder, *words)
    assert code == 2
    assert answer in err


def test_the_matrix_is_every_piece_placed_as_a_new_file(folder, capsys, tmp_path):
    for name in ("matrix.csv", "matrix.xlsx"):
        code, out, err = run(capsys, "trace", folder, "--matrix", tmp_path / name)
        assert code == 0, err
        assert "3 pieces of steel placed" in out
    frame = pd.read_csv(tmp_path / "matrix.csv", dtype="str")
    assert frame[["pile_id", "state", "stamp", "heat", "certificate"]].to_numpy().tolist() == [
        ["101", "criteria met", "L-1", "7Q1803", "MC-6"],
        ["101", "criteria met", "L-1", "7Q1803", "MC-5"],
        ["101", "criteria met", "E-7", "9K0001", "MC-5"],
    ]
    book = openpyxl.load_workbook(tmp_path / "matrix.xlsx")
    cells = [[cell.value for cell in row] for row in book["Trace matrix"].iter_rows()]
    assert [row[8] for row in cells] == ["Stamp", "L-1", "L-1", "E-7"]
    assert book["About this matrix"]["B1"].value == "Invented footbridge"


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        (("--matrix", "matrix.pdf"), "ends in .csv or .xlsx, not in .pdf"),
        (("--matrix", "matrix.csv", "--pile", "101"), "goes with --as-of alone"),
        (("--matrix", "matrix.csv", "--mill", "Mill X"), "goes with --as-of alone"),
        (("--matrix", "matrix.csv", "--json"), "goes with --as-of alone"),
    ],
)
def test_a_matrix_of_another_kind_or_of_a_part_is_refused(
    folder, capsys, tmp_path, monkeypatch, words, answer
):
    monkeypatch.chdir(tmp_path)
    code, _, err = run(capsys, "trace", folder, *words)
    assert code == 2
    assert answer in err
    assert not list(tmp_path.glob("matrix*"))
