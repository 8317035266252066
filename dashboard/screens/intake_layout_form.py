"""The form that says how a sheet is laid out: header rows, records, and where each column is."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import streamlit as st

from core import records, units
from dashboard.data import sheets
from dashboard.literal import literal
from dashboard.screens.intake_desk import Form, desk
from dashboard.screens.intake_files import DATE_ORDERS, DECIMALS, column_word, kind_word

ABSENT, CELL, TAB, TEXT = "", "cell", "tab", "text"
PLACES = {
    ABSENT: "not in this sheet",
    CELL: "one cell, such as B3",
    TAB: "the sheet's name",
    TEXT: "one text for all rows",
}
ENDS = {"last row": "at the last row", "blank row": "at the first blank row"}
GUESS = "suggested – confirm"
ADDRESS = re.compile(r"[A-Z]{1,3}[1-9][0-9]{0,6}")
WIDTHS = [1.7, 2.1, 1.0, 1.2, 1.1]


def draw(form: Form, sheet, with_header: Callable[[tuple[int, int]], Any]) -> dict[str, Any]:
    """The preview and the questions; returns the layout as answered so far."""
    st.markdown("**First rows of the sheet**, with its row numbers and column letters")
    st.dataframe(sheet.preview, height=300, alt="First rows of the sheet")
    rows = _header_rows(form, sheet)
    seen = with_header(rows)
    kinds = st.multiselect(
        _asked("What a row of the table is", form, "kinds"),
        [kind.name for kind in records.KINDS if kind.from_files],
        format_func=kind_word,
        **form.ask("kinds", list(sheet.suggested_kinds)),
    )
    columns = _columns(Form(f"{form.start}{rows}/"), seen, kinds)
    mapped = {origin.get("header") for origin in columns.values()}
    layout = {"kinds": kinds, "header_rows": list(rows), "columns": columns}
    layout["not_read"] = [text for text in seen.headers.values() if text not in mapped]
    return layout | _writing(form) | _exceptions(form, list(columns))


def _asked(text: str, form: Form, name: str) -> str:
    return text if form.answered(name) else f"{text} ({GUESS})"


def _header_rows(form: Form, sheet) -> tuple[int, int]:
    first_guess, last_guess = sheet.header_rows
    left, right = st.columns(2, gap="large")
    first = left.number_input(
        _asked("First row of the header", form, "first"),
        min_value=1,
        step=1,
        **form.ask("first", first_guess),
    )
    last = right.number_input(
        _asked("Last row of the header", form, "last"),
        min_value=first,
        step=1,
        **form.ask("last", max(first, last_guess)),
    )
    return first, last


def _columns(form: Form, sheet, kinds: list[str]) -> dict[str, dict[str, Any]]:
    """Origin of every column that is in the sheet; the needed and the guessed stand first."""
    asked = sheets.kind_columns(kinds) if kinds else []
    near = [line for line in asked if line[3] or line[0] in sheet.suggestions]
    far = [line for line in asked if line not in near]
    found = {}
    titles = ("Column", "Where it is", "Cell or text", "Leave out in front", "Unit")
    for place, title in zip(st.columns(WIDTHS), titles, strict=True):
        place.caption(literal(title))
    for line in near:
        found[line[0]] = _column(form, sheet, *line)
    if far:
        with st.expander(f"More columns, if the sheet has them: {len(far)}", expanded=False):
            for line in far:
                found[line[0]] = _column(form, sheet, *line)
    return {name: origin for name, origin in found.items() if origin}


def _column(form: Form, sheet, name: str, word: str, role: str, needed: bool) -> dict[str, Any]:
    """One line: the column, its place, what to leave out in front, its unit."""
    guess = sheet.suggestions.get(name, {})
    label, place, fixed, before, unit = st.columns(WIDTHS, vertical_alignment="center")
    needed_word = " · needed" if needed else ""
    guess_word = f"  \n:small[{GUESS}]" if guess and not form.answered(name) else ""
    label.markdown(f"**{literal(word)}**{needed_word}{guess_word}")
    headers = {f"header {text}": f"{letter}: {text}" for letter, text in sheet.headers.items()}
    chosen = place.selectbox(
        f"Where {literal(word)} is",
        [ABSENT, *headers, CELL, TAB, TEXT],
        format_func=lambda code: headers.get(code, PLACES.get(code, code)),
        label_visibility="collapsed",
        **form.ask(name, _guessed(guess, headers)),
    )
    if chosen == ABSENT:
        return {}
    origin = _origin(form, fixed, chosen, name, word, guess)
    if not any(origin.values()):
        return {}
    if chosen != TEXT:
        origin["before"] = before.text_input(
            f"Left out in front of {literal(word)}",
            label_visibility="collapsed",
            **form.ask(f"{name} before", guess.get("before", "")),
        )
    if role:
        known = units.accepted_spellings(role)
        stated = units.folded(guess.get("unit", ""))
        origin["unit"] = (
            unit.selectbox(
                f"Unit of {literal(word)}",
                known,
                placeholder="unit",
                label_visibility="collapsed",
                **form.ask(f"{name} unit", stated if stated in known else None),
            )
            or ""
        )
    return {part: value for part, value in origin.items() if value}


def _guessed(guess: dict[str, Any], headers: dict[str, str]) -> str:
    if guess.get("cell"):
        return CELL
    if guess.get("tab"):
        return TAB
    code = f"header {guess.get('header', '')}"
    return code if code in headers else ABSENT


def _origin(form: Form, fixed, chosen: str, name: str, word: str, guess) -> dict[str, Any]:
    if chosen == TAB:
        return {"tab": True}
    if chosen not in (CELL, TEXT):
        return {"header": chosen.removeprefix("header ")}
    text = fixed.text_input(
        f"{'Cell' if chosen == CELL else 'Text'} of {literal(word)}",
        label_visibility="collapsed",
        placeholder="B3" if chosen == CELL else "the text",
        **form.ask(f"{name} {chosen}", guess.get(chosen, "")),
    ).strip()
    if chosen == CELL and text and not ADDRESS.fullmatch(text.upper()):
        fixed.caption("a cell is written B3")
        return {}
    return {chosen: text.upper() if chosen == CELL else text}


def _writing(form: Form) -> dict[str, Any]:
    """How dates and numbers are written, and where the table ends."""
    left, middle, right = st.columns(3, gap="medium")
    order = left.selectbox(
        "Dates such as 03/04/2026",
        list(DATE_ORDERS),
        format_func=DATE_ORDERS.get,
        **form.ask("date_order", desk().date_order),
    )
    decimal = middle.selectbox(
        "Decimal mark",
        list(DECIMALS),
        format_func=DECIMALS.get,
        **form.ask("decimal", desk().decimal),
    )
    ends = right.selectbox(
        "The table ends", list(ENDS), format_func=ENDS.get, **form.ask("ends", "last row")
    )
    return {"date_order": order, "decimal": decimal, "ends": ends}


def _exceptions(form: Form, mapped: list[str]) -> dict[str, Any]:
    """Rows and sheets that are no records, blanks that mean as above, a structure's prefix."""
    left, right = st.columns(2, gap="medium")
    over = left.text_input(
        "Rows that start with these words are no records",
        placeholder="Total, Notes",
        **form.ask("passed_over", ""),
    )
    out = right.text_input(
        "Sheets to leave out", placeholder="Summary, Notes", **form.ask("left_out_sheets", "")
    )
    fill = left.multiselect(
        "Columns where blank means as above",
        mapped,
        format_func=column_word,
        placeholder="none",
        **form.ask("fill_down", [], mapped),
    )
    prefix = right.text_input("Put before every pile number", **form.ask("number_prefix", ""))
    return {
        "passed_over": _words(over),
        "left_out_sheets": _words(out),
        "fill_down": fill,
        "number_prefix": prefix.strip(),
    }


def _words(text: str) -> list[str]:
    return [word.strip() for word in text.split(",") if word.strip()]
