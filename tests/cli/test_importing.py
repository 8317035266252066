"""The import command: folders, conventions, notices, conflicts with their sources, changes."""

import json

import pytest

from core import services
from core.ledger import Writer
from tests.cli.test_commands import run
from tests.readers.workbooks import noted_book
from tests.services.small import log, small_project, write
from tests.services.test_layouts import LAYOUT, STRANGE

BY = ("--by", "Bo Invented")


@pytest.fixture
def folder(tmp_path):
    return small_project(tmp_path, log())


def test_a_folder_is_imported_and_what_was_skipped_is_listed(folder, tmp_path, capsys):
    write(tmp_path, "crew/monday/log_2.csv", log("102"))
    write(tmp_path, "crew/~$log_2.xlsx", "x")
    code, out, _ = run(capsys, "import", folder, tmp_path / "crew", *BY)
    assert code == 0, out
    assert "11  rows new" in out
    assert "Notices:\n  ~$log_2.xlsx: skipped" in out
    code, out, _ = run(capsys, "import", folder, tmp_path / "crew", *BY)
    assert code == 0
    assert "Wrote nothing: every row is a duplicate." in out
    assert "log_2.csv: every row is a duplicate" in out


def test_hidden_parts_and_notes_of_a_workbook_are_printed(folder, tmp_path, capsys):
    path = tmp_path / "rig.xlsx"
    path.write_bytes(noted_book(log("102")))
    code, out, _ = run(capsys, "import", folder, path, *BY)
    assert code == 0, out
    assert "rig.xlsx, sheet Log, row 3: Note on cell A3: “reading doubtful”." in out
    assert "rig.xlsx, sheet Log: Hidden column B (" in out


def test_the_answer_in_json_lists_files_and_notices(folder, tmp_path, capsys):
    path = write(tmp_path, "log_1.csv", log())
    code, out, _ = run(capsys, "import", folder, path, *BY, "--json")
    found = json.loads(out)
    assert code == 0
    kinds = {"file": "log_1.csv", "kinds": "run, torque_reading", "layout": ""}
    assert found["files"] == [kinds | {"rows_read": 10, "rows_skipped": 0}]
    notice = {"file": "log_1.csv", "sheet": "", "row": None, "notice": "every row is a duplicate"}
    assert found["notices"] == [notice]


def test_conflicts_are_printed_with_who_gave_the_current_value(folder, tmp_path, capsys):
    path = write(tmp_path, "other.csv", log().replace("2.7,6.4", "2.7,6.3"))
    code, out, _ = run(capsys, "import", folder, path, *BY)
    assert code == 1
    (line,) = [line for line in out.splitlines() if line.startswith("other.csv")]
    for part in (
        "101 / 1 / 2700",
        "6300.0",
        "6400.0",
        "Bo Invented",
        "entry 5",
        "log_1.csv row 10",
    ):
        assert part in line
    found = json.loads(run(capsys, "import", folder, path, *BY, "--json")[1])
    (conflict,) = found["conflicts"]
    assert conflict["person"] == "Bo Invented"
    assert conflict["entered_at"].startswith("2")


@pytest.mark.parametrize("order", ["dmy", "day month year"])
def test_dates_and_decimals_are_read_as_the_options_say(folder, tmp_path, capsys, order):
    text = log("102", day="03/02/2026").replace(",", ";").replace(".", ",")
    path = write(tmp_path, "log_2.csv", text)
    assert run(capsys, "import", folder, path, *BY)[0] == 1
    words = ("--date-order", order, "--decimal", "comma")
    code, out, _ = run(capsys, "import", folder, path, *BY, *words)
    assert code == 0, out
    found = services.entry_changes(folder, 6)
    assert len(found) == 11
    piles = services.assess(folder).piles.set_index("pile_id")
    assert str(piles.loc["102", "run_on"])[:10] == "2026-02-03"


@pytest.mark.parametrize(
    "words", [("--date-order", "american"), ("--decimal", "dot"), ("--sender", "Nobody")]
)
def test_an_unknown_order_decimal_or_sender_is_wrong_use(folder, tmp_path, capsys, words):
    path = write(tmp_path, "log_2.csv", log("102"))
    code, _, err = run(capsys, "import", folder, path, *BY, *words)
    assert code == 2, err


def test_layouts_are_listed_and_used_by_their_sender(folder, tmp_path, capsys):
    assert run(capsys, "layouts", folder)[1] == "No layout is remembered yet.\n"
    assert json.loads(run(capsys, "layouts", folder, "--json")[1]) == []
    services.store_layout(folder, "Crew North", "hand log", LAYOUT, BY[1])
    code, out, _ = run(capsys, "layouts", folder)
    assert code == 0
    assert out.splitlines()[1].split("  ")[0] == "Crew North"
    (row,) = json.loads(run(capsys, "layouts", folder, "--json")[1])
    assert row["reading"]["kinds"] == ["torque_reading"]
    path = write(tmp_path, "hand.csv", STRANGE.replace("102;", "101;"))
    code, out, _ = run(capsys, "import", folder, path, *BY, "--sender", "Crew North")
    assert code == 0, out


def test_changes_of_an_entry_are_listed(folder, tmp_path, capsys):
    path = write(tmp_path, "log_1.csv", log().replace("2.7,6.4", "2.7,6.3"))
    run(capsys, "import", folder, path, *BY)
    code, out, _ = run(capsys, "changes", folder, "6")
    assert code == 0
    assert "101 / 1 / 2700" in out
    (row,) = json.loads(run(capsys, "changes", folder, "6", "--json")[1])
    assert (row["change"], row["before"], row["after"]) == ("changed", "6400.0", "6300.0")
    assert run(capsys, "changes", folder, "1")[1] == "Entry 1 changed no record.\n"
    assert run(capsys, "changes", folder, "99")[0] == 2


def test_missing_rows_are_listed_with_what_removes_them(folder, tmp_path, capsys):
    shorter = "\n".join(line for line in log().splitlines() if not line.endswith("0.9,3.0"))
    path = write(tmp_path, "log_1.csv", shorter + "\n")
    out = run(capsys, "import", folder, path, *BY)[1]
    assert "--replace removes them, without it they stay current" in out
    assert "101 / 1 / 900" in out


def test_columns_that_are_not_read_are_printed_before_anything_is_written(
    folder, tmp_path, capsys, monkeypatch
):
    text = log("102").replace("\n", ",sun\n").replace("(kN·m),sun", "(kN·m),Weather", 1)
    path = write(tmp_path, "log_2.csv", text)
    printed = []

    def written(*given, **named):
        printed.append(capsys.readouterr().out)
        return append(*given, **named)

    append = Writer.append
    monkeypatch.setattr(Writer, "append", written)
    assert run(capsys, "import", folder, path, *BY)[0] == 0
    assert "Columns not read:\n  log_2.csv, column J: “Weather” (sun)" in printed[0]
    found = json.loads(run(capsys, "import", folder, path, *BY, "--json", "--dry-run")[1])
    assert found["not_read"] == [
        {"file": "log_2.csv", "sheet": "", "column": "J", "heading": "Weather", "values": "sun"}
    ]


def test_a_void_column_stops_until_it_is_dismissed_by_name(folder, tmp_path, capsys):
    text = log("102").replace("\n", ",x\n").replace("(kN·m),x", "(kN·m),Void", 1)
    path = write(tmp_path, "log_2.csv", text)
    code, out, _ = run(capsys, "import", folder, path, *BY)
    assert code == 1
    assert "--not-read 'Void'" in out
    code, out, _ = run(capsys, "import", folder, path, *BY, "--not-read", "Voids")
    assert code == 1
    assert "--not-read 'Voids': no column that is not read has this heading" in out
    code, out, _ = run(capsys, "import", folder, path, *BY, "--not-read", "Void")
    assert code == 0, out
    assert "“Void” (x)" in out


def test_a_dismissed_heading_that_no_file_has_is_refused(folder, tmp_path, capsys):
    path = write(tmp_path, "log_2.csv", log("102"))
    asked = ("import", folder, path, *BY, "--not-read", "Weathr")
    for words in ((), ("--json",)):
        code, _, err = run(capsys, *asked, *words)
        assert code == 2
        assert "--not-read 'Weathr': no column that is not read has this heading" in err
    assert "log_2.csv" not in run(capsys, "history", folder)[1]


def test_a_bare_pressure_is_answered_by_an_option_and_remembered(folder, tmp_path, capsys):
    head = "Pile,Run,Date,Rig,Depth (m),Pressure (bar)"
    for pile in ("102", "103"):
        write(tmp_path, f"log_{pile}.csv", f"{head}\n{pile},1,2026-03-02,Rig 1,0.3,20\n")
    first, second = (tmp_path / f"log_{pile}.csv" for pile in ("102", "103"))
    code, out, _ = run(capsys, "import", folder, first, *BY)
    assert code == 1
    assert "--pressure-kind differential" in out
    line = ("--pressure-kind", "line", "--sender", "Rig 1")
    code, out, _ = run(capsys, "import", folder, first, *BY, *line)
    assert code == 1
    assert ": The return pressure beside a line pressure is not given." in out
    assert "--pressure-return '8 bar'" in out
    code, out, _ = run(capsys, "import", folder, first, *BY, *line, "--pressure-return", "8 bar")
    assert code == 0, out
    code, out, _ = run(capsys, "import", folder, second, *BY, "--sender", "Rig 1")
    assert code == 0, out
    code, _, err = run(capsys, "import", folder, second, *BY, "--pressure-return", "8")
    assert code == 2
    assert "such as 8 bar" in err


def test_a_number_on_no_schedule_is_asked_and_answered(folder, tmp_path, capsys):
    path = write(tmp_path, "log_2.csv", log("10.2"))
    other = write(tmp_path, "log_3.csv", log("103"))
    assert not services.import_files(folder, [other], by="Bo Invented").refused
    code, out, _ = run(capsys, "import", folder, path, *BY)
    assert code == 1
    assert "10.2 is not on the schedule; did you mean 102?" in out
    code, _, err = run(capsys, "import", folder, path, *BY, "--pile-number", "10.2")
    assert code == 2
    assert "WRITTEN=PILE" in err
    code, out, _ = run(capsys, "import", folder, path, *BY, "--pile-number", "10.2=102", "--json")
    assert code == 0
    assert json.loads(out)["notices"][0]["notice"] == "Pile “10.2” is read as 102: as answered."
