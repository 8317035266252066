"""What is said of the frozen ledger now: piles, findings and their rows, steel, items, entries."""

import pytest

from core import records
from tests.comparator import answers, frozen
from tests.comparator.differences import Difference

SECTIONS = {
    "assess": answers.assessed,
    "trace": answers.traced,
    "outstanding": answers.outstanding,
    "seen": answers.seen,
}


@pytest.mark.parametrize("section", SECTIONS)
def test_the_same_is_said_of_the_frozen_ledger(section, frozen_now):
    faults = frozen.faults(section, SECTIONS[section](frozen_now))
    assert not faults, "\n".join(faults)


def test_every_entry_of_the_frozen_ledger_is_as_it_was(frozen_folder):
    faults = frozen.faults("history", answers.history(frozen_folder))
    assert not faults, "\n".join(faults)


def test_a_changed_value_a_new_name_and_a_missing_one_are_found():
    before = {"a": {"x": 1.0, "y": None}, "b": ["q", 2]}
    after = {"a": {"x": 1.0 + 1e-9, "z": 0}, "b": ["q", 2, 3]}
    assert list(frozen.changes("s", before, after)) == [
        ("s/a/x", 1.0, 1.0 + 1e-9),
        ("s/a/y", None, frozen.ABSENT),
        ("s/a/z", frozen.ABSENT, 0),
        ("s/b", ["q", 2], ["q", 2, 3]),
    ]
    assert not list(frozen.changes("s", 0.1 + 0.2, 0.3))
    assert list(frozen.changes("s", 1, True)) == [("s", 1, True)]


def test_a_difference_explains_its_own_values_alone_and_must_be_met(frozen_now):
    said = answers.outstanding(frozen_now)
    name = next(iter(said))
    said[name] = {**said[name], "age_days": 12345}
    one = Difference("outstanding/.*/age_days", "a test", after=12345)
    other = Difference("outstanding/.*/responsible", "never met")
    assert f"outstanding/{name}/age_days" in frozen.faults("outstanding", said, ())[0]
    assert frozen.faults("outstanding", said, (one,)) == []
    assert "no difference any more" in frozen.faults("outstanding", said, (one, other))[0]


def test_a_measure_that_the_frozen_version_did_not_have_is_no_change(monkeypatch):
    told = {"piles": {"B01-1": {"stage": "installed"}}}
    more = {"piles": {"B01-1": {"stage": "installed", "twist_deg": 1.5}}}
    assert frozen.faults_of("planted", told, more) == [
        "planted/piles/B01-1/twist_deg: '(absent)' -> 1.5"
    ]
    monkeypatch.setattr(records, "MEASURE", {**records.MEASURE, "twist_deg": None})
    assert frozen.faults_of("planted", told, more) == []
    assert frozen.faults_of("planted", more, {"piles": {"B01-1": {"stage": "installed"}}}) == [
        "planted/piles/B01-1/twist_deg: 1.5 -> '(absent)'"
    ]
