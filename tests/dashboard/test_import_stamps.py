"""Import, Stamps: a pattern is tried on the stamps of the register as it is written."""

import pytest

from tests.dashboard.test_screens import words_of
from tests.services.steel_job import steel_job
from tests.services.test_stamps import NOTES


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    return steel_job(tmp_path_factory.mktemp("steel"), notes=NOTES)


@pytest.fixture
def app(open_app, job):
    app = open_app(job, "import_files")
    app.button_group(key="import_part").set_value("Stamps").run()
    assert not app.exception
    return app


def test_a_pattern_is_tried_live_and_told_how_to_keep(app):
    app.text_input[0].set_value(r"(?P<part>L)-(?P<number>\d)").run()
    assert "2 of 3 stamps are read" in words_of(app)
    shown = app.dataframe[0].value
    assert shown["Stamp"].tolist()[0] == "E-7"  # what is not read stands first
    assert shown["part"].fillna("").tolist() == ["", "L", "L"]
    assert "[[stamp_patterns]]" in app.code[0].value
    app.text_input[0].set_value(r"(?P<part>[LE])-(?P<number>\d)").run()
    assert "3 of 3 stamps are read" in words_of(app)


def test_a_pattern_at_fault_says_why(app):
    app.text_input[0].set_value("(x").run()
    assert not app.exception
    assert "The pattern cannot be read" in app.error[0].value


def test_a_stamp_that_says_another_heat_is_counted(app):
    app.text_input[0].set_value(r"(?P<heat>[LE]-\d)").run()
    assert "3 give another heat than is recorded" in words_of(app)
