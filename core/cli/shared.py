"""Arguments that commands share, the two ways in which a command answers, and what it prints.

Text of files may hold signs that steer a terminal. ``PlainOutput`` prints them escaped whatever
command prints; ``progress_text`` is for the progress bar, which steers the terminal itself.
"""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path
from typing import Annotated, Any, TextIO

import pandas as pd
import typer
from rich.markup import escape

from core import services
from core.errors import WrongUse

Folder = Annotated[Path, typer.Argument(help="The project's folder.", metavar="FOLDER")]
By = Annotated[
    str, typer.Option("--by", help="Person responsible for the entry: a name in project.toml.")
]
Note = Annotated[str, typer.Option("--note", help="Reason; kept in the history.")]
AsJson = Annotated[bool, typer.Option("--json", help="Answer in JSON, in store units.")]
AsOf = Annotated[
    str | None,
    typer.Option(
        "--as-of", metavar="ENTRY|DATE", help="Show the state as of an entry or the end of a day."
    ),
]

# Settings of a command whose options had other names before.
_EARLIER = {"owner": "responsible", "kind": "finding", "lift": "release"}
EARLIER_OPTIONS = {"token_normalize_func": lambda name: _EARLIER.get(name, name)}

# Control characters but line feed and tab, and signs that turn the direction of a line.
_CONTROL = re.compile(
    r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069]"
)


def printable(text: str) -> str:
    """``text`` with every sign that steers a terminal as JSON escapes it."""
    return _CONTROL.sub(lambda found: f"\\u{ord(found.group()):04x}", text)


def one_line(text: object) -> str:
    """``text`` as a part of one printed line: a line of a file cannot pose as one of ours."""
    return printable(str(text)).replace("\n", "\\n").replace("\t", " ")


def progress_text(step: str) -> str:
    """A step of the work for the progress bar, without markup."""
    return escape(one_line(step))


class PlainOutput:
    """A stream on which nothing that is printed steers the terminal."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        """Write ``text`` escaped; the length is that of ``text``."""
        self._stream.write(printable(text))
        return len(text)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


def as_of_value(text: str | None) -> int | date | None:
    """An ``--as-of`` value as an entry number or a day. Raises WrongUse for anything else."""
    if text is None:
        return None
    if re.fullmatch(r"\d+", text):
        return int(text)
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise WrongUse(
            f"--as-of takes an entry number or a day such as 2026-03-31, not {text!r}."
        ) from error


def plain(value: Any) -> Any:
    """A frame's value for JSON: missing as null, days and times in ISO form."""
    if isinstance(value, str):
        return value
    if value is None or value is pd.NaT or (pd.api.types.is_scalar(value) and pd.isna(value)):
        return None
    if isinstance(value, pd.Timestamp):
        return value.date().isoformat() if value == value.normalize() else value.isoformat()
    if isinstance(value, date):
        return value.isoformat()
    return value.item() if hasattr(value, "item") else value


def rows(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """A frame as a list of objects for JSON."""
    return [
        {str(name): plain(value) for name, value in zip(frame.columns, row, strict=True)}
        for row in frame.itertuples(index=False)
    ]


def print_json(value: Any) -> None:
    """Print ``value`` as JSON."""
    print(json.dumps(value, ensure_ascii=False, indent=2, allow_nan=False))


def empty_message(assessment: services.Assessment, without: str) -> str:
    """What an empty list of findings means: ``without``, or that the project has no piles yet."""
    if len(assessment.piles) or len(assessment.positions):
        return without
    folder = assessment.folder
    return f"This project has no piles yet. Next: pilewright import {folder} schedule.csv"


def table(frame: pd.DataFrame, empty: str) -> None:
    """Print a frame as a plain table, or ``empty`` when it has no rows."""
    if frame.empty:
        print(empty)
        return
    texts = frame.map(lambda value: "" if plain(value) is None else one_line(plain(value)))
    widths = {name: max(len(str(name)), texts[name].str.len().max()) for name in texts}
    print("  ".join(str(name).ljust(widths[name]) for name in texts).rstrip())
    for row in texts.itertuples(index=False):
        cells = zip(row, widths.values(), strict=True)
        print("  ".join(cell.ljust(width) for cell, width in cells).rstrip())
