"""The batch that one command imports: files, folders or bytes read into tables and papers.

Nothing here looks at the ledger. Dates after today are noticed here, from the files alone.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path

import pandas as pd

from core import records
from core.errors import WrongUse
from core.readers import ParsedFile
from core.readers.documents import named_as_table, paper
from core.services.importing.report import ImportReport, Progress, joined
from core.settings import PROJECT_FILE, Project

Content = tuple[str, bytes]


def contents_of(folder: Path, paths: Sequence[Path], report: ImportReport) -> list[Content]:
    """Content of ``paths``; a folder stands for every file in it and below.

    Files that an office program leaves while it is open, and hidden ones, are noticed; a file
    that cannot be read is a problem. Raises WrongUse for a path that is not there, a folder that
    holds the project itself, equal names, and when there is nothing to import.
    """
    chosen: dict[Path, Path] = {}
    for path in paths:
        for file in _below(folder, path, report):
            if reason := _skipped(file, path):
                report.notice(file.name, reason)
            else:
                chosen.setdefault(file.resolve(), file)
    if not chosen:
        raise WrongUse(f"{', '.join(map(str, paths)) or 'The list'} holds no file to import.")
    _refuse_equal_names(list(chosen.values()))
    read = [(file.name, _content(file, report)) for file in chosen.values()]
    return [(name, content) for name, content in read if content is not None]


def contents_by_name(given: Sequence[Content], report: ImportReport) -> list[Content]:
    """Content batch over as bytes, the same rules by name."""
    chosen = []
    for name, content in given:
        path = Path(name.replace("\\", "/"))
        if reason := _skipped(path, path):
            report.notice(path.name, reason)
        else:
            chosen.append((path, content))
    if not chosen:
        raise WrongUse("There is no file to import.")
    _refuse_equal_names([path for path, _ in chosen])
    return [(path.name, content) for path, content in chosen]


def _below(folder: Path, path: Path, report: ImportReport) -> list[Path]:
    if path.is_file():
        return [path]
    if not path.is_dir():
        raise WrongUse(f"{path} is not there; name a file or a folder.")
    if (path / PROJECT_FILE).is_file() or folder.resolve().is_relative_to(path.resolve()):
        raise WrongUse(f"{path} holds a project itself; name the folder with the files.")
    walked = os.walk(
        path, onerror=lambda error: _report_unreadable(Path(error.filename), error, report)
    )
    return sorted(Path(place) / name for place, _, names in walked for name in names)


def _skipped(file: Path, named: Path) -> str:
    """Why a file is not looked at; empty when it is."""
    inside = file.relative_to(named).parts if file != named else (file.name,)
    if file.name.startswith("~$"):
        return "skipped: an office program keeps it while a file is open"
    if any(part.startswith(".") for part in inside):
        return "skipped: hidden"
    return ""


def _content(path: Path, report: ImportReport) -> bytes | None:
    try:
        return path.read_bytes()
    except OSError as error:
        _report_unreadable(path, error, report)
        return None


def _report_unreadable(path: Path, error: OSError, report: ImportReport) -> None:
    report.problem(
        "locked file",
        path.name,
        f"It cannot be read: {error.strerror}.",
        "Close it in the program that holds it, then import it again.",
    )


def _refuse_equal_names(paths: Sequence[Path]) -> None:
    """Refuse two files of one name: a file's name is the source of its rows."""
    places: dict[str, list[Path]] = {}
    for path in paths:
        places.setdefault(path.name.casefold(), []).append(path)
    for same in places.values():
        if len(same) > 1:
            names = " / ".join(sorted({path.name for path in same}))
            where = sorted({str(path.parent) for path in same})
            raise WrongUse(
                f"Two files are called {names} (in {' and in '.join(where)}). Rename one, or "
                "import them one by one when the second corrects the first."
            )


Parse = Callable[[str, bytes], ParsedFile]
KEPT = "kept as attachment; type its values into a template (pilewright templates FOLDER)"


@dataclass(frozen=True)
class Paper:
    """A file that is kept and not read."""

    file: str
    content: bytes

    @property
    def sha256(self) -> str:
        """Digest of its bytes."""
        return hashlib.sha256(self.content).hexdigest()


@dataclass
class ImportBatch:
    """Everything that one command imports: tables as parsed, with their bytes, and papers."""

    tables: list[tuple[ParsedFile, bytes]] = field(default_factory=list)
    papers: list[Paper] = field(default_factory=list)

    def __iter__(self) -> Iterator[tuple[ParsedFile, bytes]]:
        """Tables in dependency order: what others refer to comes first."""
        return iter(sorted(self.tables, key=lambda pair: _dependency(pair[0])))


def read_batch(
    contents: Sequence[Content], parse: Parse, report: ImportReport, progress: Progress
) -> ImportBatch:
    """Every content parsed, or kept as a paper; problems and notices go into ``report``."""
    batch = ImportBatch()
    for number, (name, content) in enumerate(contents, start=1):
        progress(f"reading {name} ({number} of {len(contents)})")
        what = paper(content)
        if not what:
            batch.tables.append((parse(name, content), content))
        elif named_as_table(name):
            report.problem(
                "not a table",
                name,
                f"Its name says table, but it is a {what}.",
                f"Ask for the table itself, or rename it when the {what} is to be kept.",
            )
        else:
            batch.papers.append(Paper(name, content))
    _summarise(batch, report)
    return batch


def _summarise(batch: ImportBatch, report: ImportReport) -> None:
    taken = [one for one, _ in batch.tables]
    report.problems = joined([report.problems, *(one.problems for one in taken)])
    report.not_read = joined([report.not_read, *(one.not_read for one in taken)])
    report.notices = joined([report.notices, *(one.notices for one in taken)])
    report.rows["skipped"] = sum(one.rows_left_out for one in taken)
    rows = [
        (one.file, ", ".join(one.frames), ", ".join(one.layouts), one.rows_read, one.rows_left_out)
        for one in taken
    ]
    rows += [(one.file, "", "", 0, 0) for one in batch.papers]
    report.files = pd.DataFrame(rows, columns=report.files.columns)


def _dependency(one: ParsedFile) -> int:
    return max((list(records.KIND).index(kind) for kind in one.frames), default=0)


def notice_future_dates(
    batch: ImportBatch,
    project: Project,
    last_entered_at: datetime,
    today: date | None,
    report: ImportReport,
) -> None:
    """Notices on days after today and on a clock that runs behind the ledger."""
    now = datetime.now(UTC)
    if now.replace(tzinfo=None) < last_entered_at:
        report.notice(
            "",
            f"this machine's clock is before the last entry ({last_entered_at:%Y-%m-%d %H:%M} "
            "UTC): set the clock",
        )
    today = today or now.astimezone(project.tables.project.timezone).date()
    for taken, _ in batch:
        for kind, frame in taken.frames.items():
            _notice_future_rows(frame, kind, taken.file, today, report)


def _notice_future_rows(
    frame: pd.DataFrame, kind: str, file: str, today: date, report: ImportReport
) -> None:
    for column in records.KIND[kind].columns:
        if column.form != "date" or column.future_allowed:
            continue
        ahead = frame[frame[column.name] > pd.Timestamp(today)]
        if len(ahead):
            first = ahead.iloc[0]
            report.notice(
                file,
                f"dates after today (the first is {first[column.name].date()}): "
                "check the clock or the year",
                first["sheet"],
                int(first["row_no"]),
            )
