"""Templates as files in a folder, one per kind of record that files may hold."""

from __future__ import annotations

from pathlib import Path

from core.errors import Refused
from core.ledger import refused, write_whole
from core.records import KINDS
from core.reports.templates import template


def write_templates(folder: Path) -> list[Path]:
    """Write a blank workbook per kind into ``folder``, which is made when absent; their paths.

    Raises Refused when one of the files is there already; then nothing is written.
    """
    wanted = {folder / f"{kind.name}.xlsx": kind for kind in KINDS if kind.from_files}
    if folder.exists() and not folder.is_dir():
        raise Refused(f"{folder} is a file; choose a folder.")
    there = [path.name for path in wanted if path.exists()]
    if there:
        raise Refused(f"{folder} already holds {', '.join(there)}; choose another folder.")
    contents = {path: template(kind) for path, kind in wanted.items()}
    with refused(folder):
        folder.mkdir(parents=True, exist_ok=True)
        for path, content in contents.items():
            write_whole(path, content)
    return list(contents)
