"""Two words on one key: who says what, and a person's choice, which holds for what was seen."""

import pandas as pd
import pytest

from core import services
from core.errors import WrongUse
from core.ledger import Ledger, NewEntry
from tests.services.small import ledger, log, small_project, take_in
from tests.services.test_import import torque_at

GOOD = log()
CHANGED = GOOD.replace("2.7,6.4", "2.7,6.3")
PLACE = ("torque_reading", "other.csv", "", 10)


@pytest.fixture
def project(tmp_path):
    return small_project(tmp_path, GOOD)


def by_hand(folder, depth_mm, torque_nm):
    """A reading corrected in a form by the engineer, who saw what stands."""
    row = {"pile_id": ["101"], "run_no": "1", "depth_mm": depth_mm, "torque_read_nm": torque_nm}
    with Ledger(folder).write() as writer:
        frame = pd.DataFrame(row).assign(instrument_id="TI-1", wins=True)
        staged = writer.stage("torque_reading", frame, None)
        return writer.append(NewEntry("Ada Invented", "form"), {"torque_reading": staged.writes})


def last(folder):
    return int(services.history(folder)["entry_no"].iloc[-1])


def test_a_conflict_says_whose_word_stands_and_since_when(project):
    conflict = take_in(project, ("other.csv", CHANGED)).conflicts.iloc[0]
    said = services.history(project).iloc[-1]
    place = tuple(conflict[["kind", "file", "sheet", "row"]])
    assert place == PLACE
    assert (conflict["person"], conflict["entered_at"]) == (said["person"], said["entered_at"])
    assert (conflict["current_entry_no"], conflict["current_file"]) == (
        last(project),
        "log_1.csv",
    )


def test_a_form_that_stands_is_named_with_its_person(project):
    by_hand(project, 2700, 6250.0)
    conflict = take_in(project, ("log_1.csv", CHANGED)).conflicts.iloc[0]
    assert (conflict["person"], conflict["current_file"]) == ("Ada Invented", "")
    assert (conflict["value"], conflict["current_value"]) == ("6300.0", "6250.0")


@pytest.mark.parametrize("decision", ["file", ("file", 5)])
def test_the_file_chosen_wins_its_row_alone(project, decision):
    assert last(project) == 5
    both = CHANGED.replace("2.4,6.2", "2.4,6.1")
    report = take_in(project, ("other.csv", both), settled={PLACE: decision})
    assert report.refused
    assert report.conflicts["key"].tolist() == ["101 / 1 / 2400"]
    report = take_in(project, ("other.csv", CHANGED), settled={PLACE: decision})
    assert not report.refused
    assert report.conflicts.empty
    assert (report.rows["superseded"], report.rows["corroborated"]) == (1, 10)
    assert torque_at(project, 2700) == [6300.0]
    assert torque_at(project, 2700, 5) == [6400.0]


@pytest.mark.parametrize("decision", ["current", ("current", 5)])
def test_the_current_value_chosen_leaves_the_row_out(project, decision):
    report = take_in(project, ("other.csv", CHANGED), settled={PLACE: decision})
    assert not report.refused
    assert report.conflicts.empty
    assert (report.rows["skipped"], report.rows["corroborated"]) == (1, 10)
    assert torque_at(project, 2700) == [6400.0]


@pytest.mark.parametrize("who", ["file", "current"])
def test_a_word_that_changed_since_is_a_conflict_again(project, who):
    entry = by_hand(project, 2700, 6250.0)
    before = ledger(project)
    report = take_in(project, ("other.csv", CHANGED), settled={PLACE: (who, 5)})
    assert report.refused
    assert report.conflicts["current_entry_no"].tolist() == [entry]
    assert ledger(project) == before
    report = take_in(project, ("other.csv", CHANGED), settled={PLACE: (who, entry)})
    assert not report.refused
    assert torque_at(project, 2700) == [6300.0 if who == "file" else 6250.0]


def test_a_choice_for_another_row_sheet_file_or_kind_settles_nothing(project):
    kind, file, sheet, row = PLACE
    others = [("run", file, sheet, row), (kind, "log_1.csv", sheet, row)]
    others += [(kind, file, "Sheet 2", row), (kind, file, sheet, row + 1)]
    settled = dict.fromkeys(others, "file")
    report = take_in(project, ("other.csv", CHANGED), settled=settled)
    assert report.refused
    assert len(report.conflicts) == 1


def test_two_files_of_one_command_that_differ_are_a_conflict_to_settle(project):
    files = ("a.csv", log("102")), ("b.csv", log("102").replace("0.6,2.0", "0.6,2.1"))
    before = ledger(project)
    report = take_in(project, *files)
    assert report.refused
    conflict = report.conflicts.iloc[0]
    assert (conflict["file"], conflict["current_file"]) == ("b.csv", "a.csv")
    assert pd.isna(conflict["current_entry_no"])
    assert pd.isna(conflict["person"])
    assert ledger(project) == before
    place = ("torque_reading", "b.csv", "", 3)
    assert take_in(project, *files, settled={place: ("file", 5)}).refused
    report = take_in(project, *files, settled={place: ("file", None)})
    assert not report.refused
    profile = services.assess(project).measured.profile
    at = profile["pile_id"].eq("102") & profile["depth_mm"].eq(600)
    assert profile.loc[at, "torque_read_nm"].tolist() == [2100.0]


def test_a_corrected_file_supersedes_its_changed_rows_and_leaves_a_correction_by_hand(project):
    by_hand(project, 2700, 6250.0)
    corrected = GOOD.replace("2.4,6.2", "2.4,6.1").replace("2.1,6.0", "2.1,5.9")
    report = take_in(project, ("log_1.csv", corrected))
    assert not report.refused
    counts = {name: number for name, number in report.rows.items() if number}
    assert counts == {"superseded": 2, "unchanged": 9}
    assert [torque_at(project, depth)[0] for depth in (2100, 2400, 2700)] == [5900, 6100, 6250]
    assert torque_at(project, 2400, report.entries[0] - 1) == [6200.0]


def test_a_choice_for_nobody_is_wrong_use(project):
    with pytest.raises(WrongUse, match="not 'me'"):
        take_in(project, ("other.csv", CHANGED), settled={PLACE: "me"})
