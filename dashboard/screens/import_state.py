"""The import being prepared: files and choices of one session, and the widgets tied to them.

It stays while other pages are looked at. Widgets are set from it and write back to it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pandas as pd
import streamlit as st

from core import records, units
from dashboard import commands, page
from dashboard.data import importing
from dashboard.literal import literal

PRESSURES = ("pressure", "curve pressure")  # what may be asked of which kind it is
Row = tuple[str, str, str, int]  # kind, file, sheet, row; settled by a word and what stood then


@dataclass
class PendingImport:
    """Files and choices of one session. Fields that a widget carries are bound by name."""

    files: dict[str, importing.Dropped] = field(default_factory=dict)
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
    done: str = ""
    refused: str = ""
    entries: list[int] = field(default_factory=list)

    def clear(self) -> None:
        """Remove all files, and what was decided about their rows."""
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
        """How the files are to be imported, as far as it is chosen."""
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
        return importing.choice(where, **(asked | other))

    def _pressures(self) -> dict[str, tuple[str, str]]:
        """Answers about pressures as far as they can be used."""
        answers = {name: self.answer(name) for name in PRESSURES}
        return {
            name: given
            for name, given in answers.items()
            if any(given) and not importing.answer_fault(name, *given)
        }


def pending() -> PendingImport:
    """The import being prepared in this session."""
    if "_import" not in st.session_state:
        st.session_state["_import"] = PendingImport()
    return st.session_state["_import"]


def key(name: str) -> str:
    """The key of the widget that carries the field ``name``."""
    return f"import_{name}"


def bound(name: str, place: str = "") -> dict[str, Any]:
    """What ties a widget to a field: its key, set to the field's value, and the way back.

    ``place`` tells apart two widgets of one field.
    """
    own = key(name + place)
    st.session_state[own] = getattr(pending(), name)
    return {"key": own, "on_change": _store, "args": (name, own)}


def _store(name: str, own: str) -> None:
    setattr(pending(), name, st.session_state[own])


class Form:
    """Answers about one sheet, each tied to a widget; ``start`` tells this sheet's from others."""

    def __init__(self, start: str) -> None:
        self.start = start

    def ask(self, name: str, default: Any, among: list[str] | None = None) -> dict[str, Any]:
        """What ties a widget to an answer; ``default`` until somebody changes it.

        Of several answers those not ``among`` what is offered now are left out.
        """
        whole = self.start + name
        held = pending().answers.get(whole, default)
        st.session_state[key(whole)] = held if among is None else [x for x in held if x in among]
        return {"key": key(whole), "on_change": _answer, "args": (whole,)}

    def answered(self, name: str) -> bool:
        """Whether a person has answered, so that nothing is suggested any more."""
        return self.start + name in pending().answers


def _answer(whole: str) -> None:
    pending().answers[whole] = st.session_state[key(whole)]


def counted(number: int, word: str) -> str:
    """A number with its noun: 1 row, 2 rows."""
    return f"{number:,} {word}{'' if number == 1 else 's'}"


DATE_ORDERS = {
    "": "not stated",
    "year month day": "year month day",
    "day month year": "day month year",
    "month day year": "month day year",
    "day number": "day numbers of a spreadsheet",
}


DECIMALS = {"": "not stated", "point": "point: 1,234.5", "comma": "comma: 1.234,5"}


def sender_box(where: Path, label: str, place: str = "") -> None:
    """The senders of whom something is remembered, or a new name."""
    known, own = importing.senders(where), pending().sender
    st.selectbox(
        literal(label),
        [*known, *([own] if own and own not in known else [])],
        index=None,
        accept_new_options=True,
        placeholder="choose, or type a crew, surveyor or supplier",
        help="Layouts are remembered for a sender, so that its next file needs no mapping.",
        **bound("sender", place),
    )


def columns_table(found: pd.DataFrame) -> None:
    """Columns of a sheet: record, header, unit, and three values as they are converted."""
    samples = found[["sample_1", "sample_2", "sample_3"]].fillna("")
    rows = pd.DataFrame(
        {
            "Record": found["kind"],
            "Column": found["word"],
            "Read from": found["header"],
            "Unit": found["unit"],
            "First": samples["sample_1"],
            "Second": samples["sample_2"],
            "Third": samples["sample_3"],
        }
    )
    page.table(rows)


def kind_word(kind: str) -> str:
    """A record kind as people call it."""
    return records.KIND[kind].word if kind in records.KIND else kind


def column_word(column: str) -> str:
    """A column's name without its unit, in words."""
    suffix = units.suffix_of(column)
    return column.removesuffix(suffix.ending if suffix else "").replace("_", " ")


def number_pair(column: str, one: str, other: str) -> tuple[str, str]:
    """Two measured values as text, of two decimals or as many as tell them apart; others as is."""
    if not units.unit_word(column) or not one or not other:
        return one, other
    try:
        numbers = float(one), float(other)
    except ValueError:  # a row that is there or removed
        return one, other
    whole = all(number.is_integer() for number in numbers)
    for decimals in (0,) if whole else range(2, 13):
        pair = tuple(f"{number:,.{decimals}f}" for number in numbers)
        if pair[0] != pair[1]:
            break
    return pair
