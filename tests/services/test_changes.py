"""What one entry changed, against what stood before it; and the file that it kept."""

import hashlib

import pytest

from core import services
from core.errors import StoreDamaged, WrongUse
from tests.services.small import log, small_project, take_in

GOOD = log()
SHORTER = "\n".join(line for line in GOOD.splitlines() if not line.endswith("0.9,3.0")) + "\n"


@pytest.fixture
def project(tmp_path):
    return small_project(tmp_path, GOOD)


def changes(folder, entry):
    """Kind, key, change, column, before and after of each row."""
    found = services.entry_changes(folder, entry)
    columns = ["kind", "key", "change", "column", "before", "after"]
    assert list(found.columns) == [*columns, "row", "sheet"]
    return [tuple(row) for row in found[columns].to_numpy()]


def last(folder):
    return int(services.history(folder)["entry_no"].iloc[-1])


def test_a_new_file_has_new_keys_with_their_rows(project):
    found = services.entry_changes(project, last(project))
    assert set(found["change"]) == {"new"}
    assert found["kind"].value_counts().to_dict() == {"torque_reading": 10, "run": 1}
    assert found.iloc[1][["key", "row"]].tolist() == ["101 / 1 / 300", 2]


def test_a_corrected_file_shows_exactly_its_changed_values(project):
    report = take_in(project, ("log_1.csv", GOOD.replace("2.7,6.4", "2.7,6.3")))
    assert changes(project, report.entries[0]) == [
        ("torque_reading", "101 / 1 / 2700", "changed", "torque_read_nm", "6400.0", "6300.0")
    ]
    assert services.entry_changes(project, report.entries[0])["row"].tolist() == [10]


def test_several_values_of_one_row_are_several_changes(project):
    changed = GOOD.replace("2026-03-02", "2026-03-03").replace("torque and depth", "instructed")
    changed = changed.replace("instructed reached", "instructed")
    report = take_in(project, ("log_1.csv", changed))
    assert changes(project, report.entries[0]) == [
        ("run", "101 / 1", "changed", "run_on", "2026-03-02", "2026-03-03"),
        ("run", "101 / 1", "changed", "stop_reason", "torque and depth reached", "instructed"),
    ]


def test_a_copy_is_a_second_source(project):
    report = take_in(project, ("copy.csv", GOOD))
    found = changes(project, report.entries[0])
    assert len(found) == 11
    assert {row[2:] for row in found} == {("confirmed by a second source", "", "", "")}


def test_removed_keys_are_shown_as_removed(project):
    report = take_in(project, ("log_1.csv", SHORTER), replace=True)
    assert changes(project, report.entries[0]) == [
        ("torque_reading", "101 / 1 / 900", "removed", "", "", "")
    ]


def test_a_withdrawal_shows_what_no_longer_stands_and_what_stands_again(project):
    first = last(project)
    second = take_in(project, ("log_1.csv", GOOD.replace("2.7,6.4", "2.7,6.3"))).entries[0]
    gone = services.withdraw(project, second, "Ada Invented", "typed wrongly")
    assert changes(project, gone) == [
        ("torque_reading", "101 / 1 / 2700", "changed", "torque_read_nm", "6300.0", "6400.0")
    ]
    gone = services.withdraw(project, first, "Ada Invented", "wrong job")
    assert {row[2] for row in changes(project, gone)} == {"removed"}
    assert len(changes(project, gone)) == 11


def test_settings_change_no_record_and_an_unknown_entry_is_wrong_use(project):
    assert changes(project, 1) == []
    for unknown in (0, last(project) + 1):
        with pytest.raises(WrongUse, match=f"no entry {unknown}"):
            services.entry_changes(project, unknown)


def test_a_file_taken_in_is_had_back_by_its_digest_alone_when_an_entry_names_it(project):
    digest = services.history(project)["sha256"].iloc[-1]
    assert services.attachment(project, digest) == GOOD.encode()
    stray = b"put here by hand"
    name = hashlib.sha256(stray).hexdigest()
    (project / "attachments" / name).write_bytes(stray)
    for unknown in (name, "../project.toml", ""):
        with pytest.raises(WrongUse, match="No entry names"):
            services.attachment(project, unknown)
    (project / "attachments" / digest).write_bytes(b"changed")
    with pytest.raises(StoreDamaged, match="missing or changed"):
        services.attachment(project, digest)
