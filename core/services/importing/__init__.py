"""The corridor of intake: files are read and checked, staged against the ledger, and appended.

One command is one transaction: one entry per file, kinds in dependency order, all or nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path

from core import readers
from core.errors import WrongUse
from core.ledger import Ledger
from core.readers import Taken
from core.services.importing.choice import (
    ImportChoice,
    ImportReport,
    Progress,
    conflict_sentence,
    not_among_columns,
    not_read_sentence,
    problem_sentence,
    remark_sentence,
)
from core.services.importing.contents import Content, contents_by_name, contents_of
from core.services.importing.days import say_what_lies_ahead
from core.services.importing.how import how_of, remembered
from core.services.importing.ledger import Act
from core.services.importing.pile_numbers import matched
from core.services.importing.reading import read
from core.settings import Project, load_project

__all__ = [
    "ImportChoice",
    "ImportReport",
    "conflict_sentence",
    "import_contents",
    "import_files",
    "not_among_columns",
    "not_read_sentence",
    "problem_sentence",
    "remark_sentence",
]

Seen = Callable[[ImportReport], object]


def _unseen(report: ImportReport) -> None:
    """Nobody looks at the report before anything is written."""


def import_files(
    folder: Path,
    files: Sequence[Path],
    *,
    by: str,
    choice: ImportChoice | None = None,
    progress: Progress = lambda step: None,
    today: date | None = None,
    seen: Seen = _unseen,
) -> ImportReport:
    """Take ``files``, and all files of the folders among them, in as one act.

    A problem or an unsettled conflict stops everything unless ``take_good_rows`` leaves those
    rows out; the report says what it was. ``progress`` is told every step before it is done; what
    it raises undoes all of them. ``seen`` is given the report when the files are read and nothing
    is written yet. ``today`` is the day by this machine's clock unless given. Raises
    ProjectError, WrongUse, StoreBusy, StoreTooNew.
    """
    return _import(
        folder, lambda report: contents_of(folder, files, report), by, choice, progress, today, seen
    )


def import_contents(
    folder: Path,
    contents: Sequence[Content],
    *,
    by: str,
    choice: ImportChoice | None = None,
    progress: Progress = lambda step: None,
    today: date | None = None,
) -> ImportReport:
    """Take files in by name and content, as ``import_files`` does."""
    return _import(
        folder, lambda report: contents_by_name(contents, report), by, choice, progress, today
    )


def _import(
    folder: Path,
    found: Callable[[ImportReport], list[Content]],
    by: str,
    choice: ImportChoice | None,
    progress: Progress,
    today: date | None,
    seen: Seen = _unseen,
) -> ImportReport:
    choice = choice or ImportChoice()
    settings = load_project(folder)
    person = settings.person(by).name if by else _only_person(settings)
    report = ImportReport(dry_run=choice.dry_run)
    contents = found(report)
    with Ledger(folder).read() as reader:
        how = how_of(choice, *remembered(reader, choice))

    def taken(name: str, content: bytes) -> Taken:
        return readers.take(content, name, settings, how)

    handed = read(contents, taken, report, progress)
    seen(report)
    # Rows left out would look like rows gone, which --replace removes.
    if len(report.problems) and (choice.replace or not choice.take_good_rows):
        report.refused = True
        return report
    with Ledger(folder).write() as writer:
        say_what_lies_ahead(handed, settings, writer.last_entered_at(), today, report)
        writer.record_settings(settings.text, person)
        handed = matched(handed, writer, choice.pile_numbers, report)
        Act(writer, person, choice, report, progress).do(handed)
    return report


def _only_person(settings: Project) -> str:
    people = settings.tables.people
    if len(people) == 1:
        return people[0].name
    known = ", ".join(person.name for person in people) or "nobody; add them to project.toml"
    raise WrongUse(f"Say who takes the files in with --by NAME (registered: {known}).")
