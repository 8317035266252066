"""The table of statuses, one by one: a row against what its source said and what stands."""

from __future__ import annotations

import pandas as pd
import pytest

from core.errors import WrongUse
from core.ledger import NewEntry
from core.selection import readings_of_runs
from tests.ledger.invented import readings, runs, statuses, take, toes


def test_row_on_a_key_that_nobody_spoke_of_is_added(ledger):
    assert statuses(take(ledger, "run", runs(("P1", 9000)), "runs.csv")) == ["added"]
    assert toes(ledger, 1) == {"P1": 9000}


def test_row_equal_to_what_its_own_file_said_is_unchanged_and_writes_no_entry(ledger):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    assert statuses(take(ledger, "run", runs(("P1", 9000)), "runs.csv")) == ["unchanged"]
    with ledger.read() as reader:
        assert reader.last_entry() == 1


def test_row_equal_to_what_its_own_file_said_is_unchanged_whatever_stands(ledger):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    take(ledger, "run", runs(("P1", 9100)), "other.csv", replace=True)
    assert statuses(take(ledger, "run", runs(("P1", 9000)), "runs.csv")) == ["unchanged"]
    assert toes(ledger, 2) == {"P1": 9100}


def test_corrected_row_of_the_file_that_stands_supersedes_it(ledger):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    assert statuses(take(ledger, "run", runs(("P1", 9100)), "runs.csv")) == ["superseded"]
    assert toes(ledger, 2) == {"P1": 9100}
    assert toes(ledger, 1) == {"P1": 9000}


def test_file_is_the_same_source_in_another_folder_and_in_other_case(ledger):
    take(ledger, "run", runs(("P1", 9000)), "Week 1/Runs.csv")
    assert statuses(take(ledger, "run", runs(("P1", 9100)), "C:\\old\\RUNS.CSV")) == ["superseded"]


def test_other_value_of_another_file_is_a_conflict_and_is_not_written(ledger):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    staged = take(ledger, "run", runs(("P1", 9100)), "other.csv")
    assert statuses(staged) == ["conflict"]
    assert toes(ledger, 1) == {"P1": 9000}
    conflict = staged.conflicts.iloc[0]
    assert (conflict["pile_id"], conflict["column"]) == ("P1", "toe_mm")
    assert (conflict["value"], conflict["current_value"]) == ("9100", "9000")
    assert (conflict["current_file"], conflict["current_entry_no"]) == ("runs.csv", 1)


def test_equal_value_of_another_file_corroborates(ledger):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    assert statuses(take(ledger, "run", runs(("P1", 9000)), "other.csv")) == ["corroborated"]
    with ledger.write() as writer:
        writer.withdraw(1, "Ann", "wrong file")
    assert toes(ledger, 3) == {"P1": 9000}


def test_correction_of_a_file_whose_word_another_file_replaced_is_a_conflict(ledger):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    take(ledger, "run", runs(("P1", 9100)), "other.csv", replace=True)
    assert statuses(take(ledger, "run", runs(("P1", 9200)), "runs.csv")) == ["conflict"]


def test_correction_to_the_value_that_another_file_has_standing_corroborates(ledger):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    take(ledger, "run", runs(("P1", 9100)), "other.csv", replace=True)
    assert statuses(take(ledger, "run", runs(("P1", 9100)), "runs.csv")) == ["corroborated"]


def test_replace_lets_the_file_win_its_conflicts(ledger):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    staged = take(ledger, "run", runs(("P1", 9100)), "other.csv", replace=True)
    assert statuses(staged) == ["superseded"]
    assert staged.conflicts.empty
    assert toes(ledger, 2) == {"P1": 9100}


def test_form_conflicts_with_a_file_unless_it_names_the_row_it_saw(ledger):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    blind = runs(("P1", 9100))
    assert statuses(take(ledger, "run", blind, None)) == ["conflict"]
    seeing = blind.assign(saw_entry_no=pd.array([1], dtype="Int64"))
    assert statuses(take(ledger, "run", seeing, None)) == ["superseded"]
    assert toes(ledger, 2) == {"P1": 9100}


def test_form_that_saw_an_older_row_is_a_conflict(ledger):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    take(ledger, "run", runs(("P1", 9100)), "runs.csv")
    late = runs(("P1", 9200)).assign(saw_entry_no=pd.array([1], dtype="Int64"))
    assert statuses(take(ledger, "run", late, None)) == ["conflict"]


def test_keys_missing_in_the_new_version_are_listed_and_stay(ledger):
    take(ledger, "run", runs(("P1", 9000), ("P2", 8000)), "runs.csv")
    staged = take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    assert list(staged.missing_keys["pile_id"]) == ["P2"]
    assert toes(ledger, 1) == {"P1": 9000, "P2": 8000}


def test_replace_removes_the_missing_keys(ledger):
    take(ledger, "run", runs(("P1", 9000), ("P2", 8000)), "runs.csv")
    staged = take(ledger, "run", runs(("P1", 9000)), "runs.csv", replace=True)
    assert list(staged.removals["pile_id"]) == ["P2"]
    assert toes(ledger, 2) == {"P1": 9000}
    assert toes(ledger, 1) == {"P1": 9000, "P2": 8000}


def test_replace_with_an_empty_frame_removes_all_that_the_file_said(ledger):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    take(ledger, "run", runs(), "runs.csv", replace=True)
    assert toes(ledger, 2) == {}


def test_key_that_was_removed_is_added_again(ledger):
    take(ledger, "run", runs(("P1", 9000), ("P2", 8000)), "runs.csv")
    take(ledger, "run", runs(("P1", 9000)), "runs.csv", replace=True)
    assert statuses(take(ledger, "run", runs(("P2", 8000)), "runs.csv")) == ["added"]
    assert toes(ledger, 3) == {"P1": 9000, "P2": 8000}


def test_key_that_one_file_removed_is_added_by_another(ledger):
    take(ledger, "run", runs(("P1", 9000), ("P2", 8000)), "runs.csv")
    take(ledger, "run", runs(("P1", 9000)), "runs.csv", replace=True)
    assert statuses(take(ledger, "run", runs(("P2", 8100)), "other.csv")) == ["added"]


def test_another_value_for_a_key_that_another_file_removed_is_a_conflict(ledger):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    take(ledger, "run", runs(("P1", 9000)), "other.csv")
    take(ledger, "run", runs(), "other.csv", replace=True)
    staged = take(ledger, "run", runs(("P1", 9100)), "runs.csv")
    assert statuses(staged) == ["conflict"]
    assert list(staged.conflicts["current_value"]) == ["removed"]


def test_two_sheets_of_one_file_are_two_sources(ledger):
    take(ledger, "run", runs(("P1", 9000), sheet="North"), "runs.xlsx")
    staged = take(ledger, "run", runs(("P2", 8000), sheet="South"), "runs.xlsx")
    assert statuses(staged) == ["added"]
    assert staged.missing_keys.empty


def test_forms_leave_nothing_missing(ledger):
    take(ledger, "run", runs(("P1", 9000)), None)
    assert take(ledger, "run", runs(("P2", 8000)), None).missing_keys.empty


def test_withdrawn_words_are_not_compared_with(ledger):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    with ledger.write() as writer:
        writer.withdraw(1, "Ann", "wrong file")
    assert statuses(take(ledger, "run", runs(("P1", 9000)), "runs.csv")) == ["added"]


@pytest.mark.parametrize(
    ("before", "after", "status"),
    [(None, None, "unchanged"), (None, 9000, "superseded"), (9000, None, "superseded")],
)
def test_missing_values_compare_like_any_other(ledger, before, after, status):
    take(ledger, "run", runs(("P1", before)), "runs.csv")
    assert statuses(take(ledger, "run", runs(("P1", after)), "runs.csv")) == [status]
    assert toes(ledger, 2) == {"P1": after}


def test_missing_day_is_not_equal_to_any_day(ledger):
    take(ledger, "run", runs(("P1", 9000)).assign(started_at=pd.NaT), "runs.csv")
    later = runs(("P1", 9000)).assign(started_at=pd.Timestamp("2026-03-02 08:00"))
    assert statuses(take(ledger, "run", later, "other.csv")) == ["conflict"]


def test_empty_text_is_not_a_missing_text(ledger):
    take(ledger, "run", runs(("P1", 9000)).assign(remarks=""), "runs.csv")
    missing = runs(("P1", 9000)).assign(remarks=None)
    assert statuses(take(ledger, "run", missing, "runs.csv")) == ["superseded"]


def test_reading_without_its_run_has_a_missing_reference_and_is_not_written(ledger):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    staged = take(ledger, "torque_reading", readings(("P1", 300, 5e3), ("P9", 300, 5e3)), "t.csv")
    assert statuses(staged) == ["added", "missing reference"]
    assert list(staged.writes["pile_id"]) == ["P1"]


def test_reading_finds_the_run_that_the_same_command_staged(ledger):
    with ledger.write() as writer:
        first = writer.stage("run", runs(("P1", 9000)), "runs.csv")
        second = writer.stage("torque_reading", readings(("P1", 300, 5e3)), "t.csv")
        assert statuses(second) == ["added"]
        writer.append(NewEntry("Ann", "file", "runs.csv"), {"run": first.writes})
        writer.append(NewEntry("Ann", "file", "t.csv"), {"torque_reading": second.writes})
    with ledger.read() as reader:
        found = readings_of_runs(reader.current("torque_reading", 2), reader.current("run", 2))
    assert found.frame()["toe_mm"].to_list() == [9000]


def test_reading_of_a_withdrawn_run_has_a_missing_reference(ledger):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    with ledger.write() as writer:
        writer.withdraw(1, "Ann", "wrong file")
    staged = take(ledger, "torque_reading", readings(("P1", 300, 5e3)), "t.csv")
    assert statuses(staged) == ["missing reference"]


def test_certificate_needs_its_instrument_and_a_point_its_certificate(ledger):
    certificate = pd.DataFrame({"instrument_id": ["G1"], "certificate": ["C1"]})
    point = certificate.assign(gear="", point_no="1", point_torque_nm=5e3)
    assert statuses(take(ledger, "calibration", certificate, "c.csv")) == ["missing reference"]
    take(ledger, "instrument", pd.DataFrame({"instrument_id": ["G1"]}), "i.csv")
    assert statuses(take(ledger, "calibration_point", point, "p.csv")) == ["missing reference"]
    assert statuses(take(ledger, "calibration", certificate, "c.csv")) == ["added"]
    assert statuses(take(ledger, "calibration_point", point, "p.csv")) == ["added"]


def test_run_of_a_pile_on_no_schedule_is_kept(ledger):
    assert statuses(take(ledger, "run", runs(("on no schedule", 1000)), "runs.csv")) == ["added"]


def test_second_file_of_one_command_is_compared_with_the_first(ledger):
    with ledger.write() as writer:
        writer.stage("run", runs(("P1", 9000)), "a.csv")
        assert statuses(writer.stage("run", runs(("P1", 9000)), "b.csv")) == ["corroborated"]
        staged = writer.stage("run", runs(("P1", 9100)), "c.csv")
        assert statuses(staged) == ["conflict"]
        assert list(staged.conflicts["current_file"]) == ["b.csv"]
        writer.discard()
    with ledger.read() as reader:
        assert reader.last_entry() == 0


def test_key_twice_in_one_frame_is_refused_with_both_rows(ledger):
    with ledger.write() as writer, pytest.raises(WrongUse, match=r"Rows 2, 3 of runs\.csv"):
        writer.stage("run", runs(("P1", 9000), ("P1", 9100)), "runs.csv")


def test_row_without_its_key_is_refused(ledger):
    with ledger.write() as writer, pytest.raises(WrongUse, match="pile_id"):
        writer.stage("run", runs((None, 9000)), "runs.csv")
