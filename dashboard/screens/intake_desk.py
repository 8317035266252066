"""The desk: files that lie on the Intake screen and what was said about them, until taken in.

It stays while other pages are looked at. Widgets are set from it and write back to it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import streamlit as st

from dashboard import acts, data

Row = tuple[str, str, str, int]  # kind, file, sheet, row


@dataclass
class Desk:
    """Files and choices of one session. Fields that a widget carries are bound by name."""

    files: dict[str, data.Dropped] = field(default_factory=dict)
    by: str | None = None
    sender: str | None = None
    date_order: str = ""
    decimal: str = ""
    take_good_rows: bool = False
    replace: bool = False
    settled: dict[Row, str] = field(default_factory=dict)
    drop: int = 0
    job: acts.ImportJob | None = None
    said: str = ""
    refused: str = ""
    entries: list[int] = field(default_factory=list)

    def clear(self) -> None:
        """Take all files away, and what was said about their rows."""
        self.files, self.settled = {}, {}
        self.take_good_rows = self.replace = False

    def choice(self, **other: Any) -> Any:
        """How the files are to be taken in, as far as somebody has said."""
        asked: dict[str, Any] = {
            "dry_run": True,
            "take_good_rows": self.take_good_rows,
            "replace": self.replace,
            "sender": self.sender or "",
            "date_order": self.date_order,
            "decimal": self.decimal,
            "settled": dict(self.settled),
        }
        return data.choice(**(asked | other))


def desk() -> Desk:
    """The desk of this session."""
    if "_intake" not in st.session_state:
        st.session_state["_intake"] = Desk()
    return st.session_state["_intake"]


def key(name: str) -> str:
    """The key of the widget that carries the desk's field ``name``."""
    return f"intake_{name}"


def bound(name: str) -> dict[str, Any]:
    """What ties a widget to a field: its key, set to the field's value, and the way back."""
    st.session_state[key(name)] = getattr(desk(), name)
    return {"key": key(name), "on_change": _take, "args": (name,)}


def _take(name: str) -> None:
    setattr(desk(), name, st.session_state[key(name)])


def sentence(text: str) -> str:
    """Text for a message, with no sign that would be drawn as a formula or a link."""
    return text.replace("$", "\\$").replace("[", "\\[")
