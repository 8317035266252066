"""Files, folders and bytes that somebody hands in, as one list of names with their content."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from core.errors import WrongUse
from core.services.importing.choice import ImportReport
from core.settings import PROJECT_FILE

Content = tuple[str, bytes]


def contents_of(folder: Path, paths: Sequence[Path], report: ImportReport) -> list[Content]:
    """Content of ``paths``; a folder stands for every file in it and below.

    Files that an office program leaves while it is open, and hidden ones, are remarks; a file
    that cannot be read is a problem. Raises WrongUse for a path that is not there, a folder that
    holds the project itself, equal names, and when there is nothing to take in.
    """
    chosen: dict[Path, Path] = {}
    for path in paths:
        for file in _below(folder, path, report):
            if reason := _passed_over(file, path):
                report.remark(file.name, reason)
            else:
                chosen.setdefault(file.resolve(), file)
    if not chosen:
        raise WrongUse(f"{', '.join(map(str, paths)) or 'The list'} holds no file to take in.")
    _refuse_equal_names(list(chosen.values()))
    read = [(file.name, _content(file, report)) for file in chosen.values()]
    return [(name, content) for name, content in read if content is not None]


def contents_by_name(given: Sequence[Content], report: ImportReport) -> list[Content]:
    """Content handed over as bytes, the same rules by name."""
    chosen = []
    for name, content in given:
        path = Path(name.replace("\\", "/"))
        if reason := _passed_over(path, path):
            report.remark(path.name, reason)
        else:
            chosen.append((path, content))
    if not chosen:
        raise WrongUse("There is no file to take in.")
    _refuse_equal_names([path for path, _ in chosen])
    return [(path.name, content) for path, content in chosen]


def _below(folder: Path, path: Path, report: ImportReport) -> list[Path]:
    if path.is_file():
        return [path]
    if not path.is_dir():
        raise WrongUse(f"{path} is not there; name a file or a folder.")
    if (path / PROJECT_FILE).is_file() or folder.resolve().is_relative_to(path.resolve()):
        raise WrongUse(f"{path} holds a project itself; name the folder with the files.")
    walked = os.walk(path, onerror=lambda error: _say_locked(Path(error.filename), error, report))
    return sorted(Path(place) / name for place, _, names in walked for name in names)


def _passed_over(file: Path, named: Path) -> str:
    """Why a file is not looked at; empty when it is."""
    inside = file.relative_to(named).parts if file != named else (file.name,)
    if file.name.startswith("~$"):
        return "passed over: an office program keeps it while a file is open"
    if any(part.startswith(".") for part in inside):
        return "passed over: hidden"
    return ""


def _content(path: Path, report: ImportReport) -> bytes | None:
    try:
        return path.read_bytes()
    except OSError as error:
        _say_locked(path, error, report)
        return None


def _say_locked(path: Path, error: OSError, report: ImportReport) -> None:
    report.problem(
        "locked file",
        path.name,
        f"It cannot be read: {error.strerror}.",
        "Close it in the program that holds it, then take it in again.",
    )


def _refuse_equal_names(paths: Sequence[Path]) -> None:
    """A file's name is whose word its rows are: two of one name would speak as one."""
    places: dict[str, list[Path]] = {}
    for path in paths:
        places.setdefault(path.name.casefold(), []).append(path)
    for same in places.values():
        if len(same) > 1:
            names = " / ".join(sorted({path.name for path in same}))
            where = sorted({str(path.parent) for path in same})
            raise WrongUse(
                f"Two files are called {names} (in {' and in '.join(where)}). Rename one, or take "
                "them in one by one when the second corrects the first."
            )
