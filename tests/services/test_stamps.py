"""Stamps of the register read by the project's pattern, or by one that is tried."""

import pytest

from core import services
from core.errors import ProjectError, WrongUse
from core.settings import parse_project
from tests.services.steel_job import settings, steel_job

NOTES = "Delivery note,Date delivered,Supplier\nDN-1,2026-02-20,Invented supplier\n"
PATTERN = r"(?P<part>[LE])-(?P<number>\d)"


@pytest.fixture
def job(tmp_path):
    said = f"""
[[stamp_patterns]]
supplier = "Invented supplier"
pattern = '{PATTERN}'
"""
    return steel_job(tmp_path, settings() + said, notes=NOTES)


def test_stamps_come_with_their_supplier_and_heats(job):
    found = services.stamps_on_register(job).set_index("stamp")
    assert set(found["supplier"]) == {"Invented supplier"}
    assert found.loc["L-1", "heats"] == "7Q1803"
    assert found.loc["E-7", "heats"] == "9K0001"


def test_those_that_differ_and_those_not_read_stand_first(job):
    read = services.read_stamps(services.stamps_on_register(job), r"(?P<heat>L-\d)")
    assert read["stamp"].iloc[0] in ("L-1", "L-2")
    assert read["differs"].tolist() == [True, True, False]
    read = services.read_stamps(services.stamps_on_register(job), PATTERN)
    assert read["reads"].all()
    assert sorted(read["part"]) == ["E", "L", "L"]


def test_one_stamp_says_its_facts_by_the_pattern_of_its_supplier(job):
    project = services.assess(job).project
    assert services.stamp_parts(project, "L-1", ["Invented supplier"]) == {
        "part": "L",
        "number": "1",
    }
    assert services.stamp_parts(project, "L-1", ["Somebody else"]) == {}
    assert services.stamp_parts(project, "Q-1", ["Invented supplier"]) == {}


def test_a_pattern_at_fault_is_refused_where_it_is_tried_and_in_the_settings(job):
    with pytest.raises(WrongUse, match=r"The pattern cannot be read: .*unnamed"):
        services.read_stamps(services.stamps_on_register(job), "(x)")
    text = (job / "project.toml").read_text().replace(PATTERN, "(x")
    with pytest.raises(ProjectError, match=r"stamp_patterns\.0\.pattern: cannot be read"):
        parse_project(text)
    text = text.replace("(x", "(?P<stamp>x)")
    with pytest.raises(ProjectError, match="a group cannot be called stamp"):
        parse_project(text)
