"""The desk: files that lie on the Intake screen and what was said about them, until taken in.

It stays while other pages are looked at. Widgets are set from it and write back to it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import streamlit as st

from dashboard import commands
from dashboard.data import intake, sheets

PRESSURES = ("pressure", "curve pressure")  # what may be asked of which kind it is
Row = tuple[str, str, str, int]  # kind, file, sheet, row; settled by a word and what stood then


@dataclass
class Desk:
    """Files and choices of one session. Fields that a widget carries are bound by name."""

    files: dict[str, intake.Dropped] = field(default_factory=dict)
    by: str | None = None
    sender: str | None = None
    date_order: str = ""
    decimal: str = ""
    pressure_kind: str = ""
    pressure_return: str = ""
    curve_pressure_kind: str = ""
    curve_pressure_return: str = ""
    not_read: list[str] = field(default_factory=list)
    skip_bad_rows: bool = False
    replace: bool = False
    settled: dict[Row, tuple[str, int | None]] = field(default_factory=dict)
    pile_numbers: dict[str, str] = field(default_factory=dict)
    answers: dict[str, Any] = field(default_factory=dict)
    layouts: dict[str, dict[str, Any]] = field(default_factory=dict)
    drop: int = 0
    job: commands.ImportJob | None = None
    said: str = ""
    refused: str = ""
    entries: list[int] = field(default_factory=list)

    def clear(self) -> None:
        """Take all files away, and what was said about their rows."""
        self.files, self.settled, self.answers, self.layouts = {}, {}, {}, {}
        self.pile_numbers = {}
        self.skip_bad_rows = self.replace = False
        self.pressure_kind = self.pressure_return = ""
        self.curve_pressure_kind = self.curve_pressure_return = ""
        self.not_read = []

    def answer(self, name: str) -> tuple[str, str]:
        """Kind and return pressure answered for one sort of pressure; the return of a line only."""
        start = name.replace(" ", "_")
        kind = getattr(self, f"{start}_kind")
        return kind, getattr(self, f"{start}_return").strip() if kind != "differential" else ""

    def choice(self, where: Path, **other: Any) -> Any:
        """How the files are to be taken in, as far as somebody has said."""
        asked: dict[str, Any] = {
            "dry_run": True,
            "skip_bad_rows": self.skip_bad_rows,
            "replace": self.replace,
            "sender": self.sender or "",
            "date_order": self.date_order,
            "decimal": self.decimal,
            "pressures": self._pressures(),
            "not_read": tuple(self.not_read),
            "answers_of": self.sender or "",
            "settled": dict(self.settled),
            "pile_numbers": dict(self.pile_numbers),
        }
        return intake.choice(where, **(asked | other))

    def _pressures(self) -> dict[str, tuple[str, str]]:
        """Answers about pressures as far as they can be used."""
        answers = {name: self.answer(name) for name in PRESSURES}
        return {
            name: given
            for name, given in answers.items()
            if any(given) and not sheets.answer_fault(name, *given)
        }


def desk() -> Desk:
    """The desk of this session."""
    if "_intake" not in st.session_state:
        st.session_state["_intake"] = Desk()
    return st.session_state["_intake"]


def key(name: str) -> str:
    """The key of the widget that carries the desk's field ``name``."""
    return f"intake_{name}"


def bound(name: str, place: str = "") -> dict[str, Any]:
    """What ties a widget to a field: its key, set to the field's value, and the way back.

    ``place`` tells apart two widgets of one field.
    """
    own = key(name + place)
    st.session_state[own] = getattr(desk(), name)
    return {"key": own, "on_change": _take, "args": (name, own)}


def _take(name: str, own: str) -> None:
    setattr(desk(), name, st.session_state[own])


class Form:
    """Answers about one sheet, each tied to a widget; ``start`` tells this sheet's from others."""

    def __init__(self, start: str) -> None:
        self.start = start

    def ask(self, name: str, default: Any, among: list[str] | None = None) -> dict[str, Any]:
        """What ties a widget to an answer; ``default`` until somebody changes it.

        Of several answers those not ``among`` what is offered now are left out.
        """
        whole = self.start + name
        held = desk().answers.get(whole, default)
        st.session_state[key(whole)] = held if among is None else [x for x in held if x in among]
        return {"key": key(whole), "on_change": _answer, "args": (whole,)}

    def answered(self, name: str) -> bool:
        """Whether a person has answered, so that no guess stands any more."""
        return self.start + name in desk().answers


def _answer(whole: str) -> None:
    desk().answers[whole] = st.session_state[key(whole)]


def counted(number: int, word: str) -> str:
    """A number with its noun: 1 row, 2 rows."""
    return f"{number:,} {word}{'' if number == 1 else 's'}"
