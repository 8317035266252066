"""Blank templates and the data dictionary, made from the declarations."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import pandas as pd

from core.errors import Refused, WrongUse
from core.frames import FRAMES, Frame
from core.ledger import refused, write_atomically
from core.records import KIND, KINDS
from core.reports.dictionary import dictionary
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
            write_atomically(path, content)
    return list(contents)


_OF_FRAMES = ("frame", "column", "type", "unit", "from", "meaning")


def data_dictionary(name: str | None = None, *, frames: bool = False) -> pd.DataFrame:
    """One row per column of every record kind, of every frame (``frames``), or of the one named.

    Raises WrongUse for a name that is neither.
    """
    if name is None:
        return _of_frames(FRAMES.values()) if frames else dictionary(KINDS)
    if name in FRAMES:
        return _of_frames([FRAMES[name]])
    if name in KIND:
        return dictionary([KIND[name]])
    raise WrongUse(
        f"There is no record kind or frame {name!r}; there are the record kinds "
        f"{', '.join(KIND)}, and the frames {', '.join(FRAMES)}."
    )


def _of_frames(frames: Iterable[Frame]) -> pd.DataFrame:
    """``from``: the record kind or key of project.toml, empty for what is worked out."""
    rows = [
        (frame.name, one.name, one.form, one.unit, one.origin, one.meaning)
        for frame in frames
        for one in frame.columns
    ]
    return pd.DataFrame(rows, columns=pd.Index(_OF_FRAMES))
