"""Progress and cancelling: whatever is raised at any step, nothing of the command is left."""

import pytest

from core import services
from tests.services.small import ledger, log, small_project

CONTENTS = [
    ("log_2.csv", log("102").encode()),
    ("log_3.csv", log("103").encode()),
    ("photo.png", b"\x89PNG\r\n\x1a\n..."),
]
STEPS = [
    "reading log_2.csv (1 of 3)",
    "reading log_3.csv (2 of 3)",
    "reading photo.png (3 of 3)",
    "comparing runs of log_2.csv (1 of 2)",
    "comparing torque readings of log_2.csv (1 of 2)",
    "comparing runs of log_3.csv (2 of 2)",
    "comparing torque readings of log_3.csv (2 of 2)",
    "keeping log_2.csv (1 of 2)",
    "storing runs of log_2.csv (1 of 2)",
    "storing torque readings of log_2.csv (1 of 2)",
    "keeping log_3.csv (2 of 2)",
    "storing runs of log_3.csv (2 of 2)",
    "storing torque readings of log_3.csv (2 of 2)",
    "keeping photo.png (1 of 1)",
]


class Cancelled(Exception):
    """What a screen raises when somebody presses the button."""


class Cancelling:
    """Progress that hears every step and raises at one of them."""

    def __init__(self, at: int | None = None, what=Cancelled):
        self.steps, self.at, self.what = [], at, what

    def __call__(self, step: str) -> None:
        self.steps.append(step)
        if len(self.steps) - 1 == self.at:
            raise self.what


def take(project, progress):
    return services.import_contents(project, CONTENTS, by="Bo Invented", progress=progress)


@pytest.fixture(scope="module")
def project(tmp_path_factory):
    """One project for all: nothing is written to it until the last test does."""
    return small_project(tmp_path_factory.mktemp("cancel"), log())


@pytest.mark.parametrize("at", range(len(STEPS)), ids=lambda at: STEPS[at])
def test_cancelled_before_a_step_the_ledger_and_the_attachments_are_as_they_were(project, at):
    before = ledger(project)
    # New settings would be recorded by the same command.
    settings = project / "project.toml"
    settings.write_text(settings.read_text(encoding="utf-8") + "\n# changed\n", encoding="utf-8")
    progress = Cancelling(at)
    with pytest.raises(Cancelled):
        take(project, progress)
    assert progress.steps == STEPS[: at + 1]
    assert ledger(project) == before


def test_an_interrupt_from_the_keyboard_leaves_nothing_either(project):
    before = ledger(project)
    with pytest.raises(KeyboardInterrupt):
        take(project, Cancelling(len(STEPS) - 1, KeyboardInterrupt))
    assert ledger(project) == before


def test_an_attachment_that_was_there_before_survives_a_cancelled_command(project):
    known = ("log_1.csv", log().encode())
    before = ledger(project)
    with pytest.raises(Cancelled):
        services.import_contents(
            project, [("copy.csv", known[1])], by="Bo Invented", progress=Cancelling(5)
        )
    assert ledger(project) == before
    assert services.verify(project)[0] == []


def test_not_cancelled_it_tells_every_step_and_goes_in(project):
    progress = Cancelling()
    report = take(project, progress)
    assert not report.refused, report.problems
    assert progress.steps == STEPS
    assert len(report.entries) == 3
    assert services.verify(project)[0] == []
