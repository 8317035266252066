"""How a sheet that is not recognised is laid out; remembered layouts; patterns of stamps."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pandas as pd
import streamlit as st

from core import records, units
from core.errors import PilewrightError
from dashboard import commands, page
from dashboard.data import importing, steel
from dashboard.literal import literal
from dashboard.screens.import_state import (
    DATE_ORDERS,
    DECIMALS,
    Form,
    column_word,
    columns_table,
    key,
    kind_word,
    pending,
    sender_box,
)

TRIAL = "layout being tried"


def unrecognised(where: Path, lines: list[importing.Line]) -> None:
    """The sheets that cannot be read yet, and the form for one of them."""
    unread = [line for line in lines if not line.ready]
    if not unread:
        return
    st.subheader(f"Sheets not recognised: {len(unread)}")
    st.markdown(
        "Describe the layout of such a sheet once; it is remembered for the sender. Or remove the "
        "file, correct its headers and drop it again."
    )
    names = [" · ".join(filter(None, (line.file.name, line.sheet))) for line in unread]
    picked = st.selectbox("Sheet to lay out", names, key=key("sheet"))
    with st.container(border=True, key="layout"):
        line = unread[names.index(picked)]
        held = importing.looked(where, line.file, pending().choice(where)).sheets
        _form(where, line.file, next(one for one in held if one.sheet == line.sheet))


@st.fragment
def _form(where: Path, file, sheet) -> None:
    start = f"{file.digest[:12]}/{sheet.sheet}/"
    layout = _questions(
        Form(start), sheet, lambda rows: importing.with_header(where, file, sheet, rows)
    )
    if st.button("Preview this layout", key=key("try"), type="primary"):
        pending().layouts[start] = layout
    if not layout["kinds"]:
        st.markdown("Choose the record kind.")
        return
    tried = pending().layouts.get(start)
    if tried is None:
        return
    if tried != layout:
        st.markdown("The layout was changed since the last preview. Preview it again.")
        return
    try:
        found = _read_with(where, file, sheet, layout)
    except PilewrightError as error:
        st.error(literal(str(error)))
        return
    if found is None:
        st.error("A header, cell or prefix named here is not in this sheet at that place.")
        return
    if not found.ready:
        st.error("The sheet cannot be read with this layout. Check the header rows and the units.")
        return
    st.markdown("**Preview.** Check the three values of every column.")
    columns_table(found.recognised)
    _remember(where, layout)


def _draft(layout) -> dict:
    return {"sender": pending().sender or "nobody yet", "name": TRIAL, "layout": layout}


def _read_with(where: Path, file, sheet, layout):
    choice = pending().choice(where)
    held = importing.looked(where, file, choice, [_draft(layout)]).sheets
    found = (one for one in held if one.sheet == sheet.sheet and one.layout == TRIAL)
    return next(found, None)


def _remember(where: Path, layout) -> None:
    held = pending()
    if not held.by:
        st.warning("Choose your name under Imported by, at the top of this page.")
        return
    left, middle, right = st.columns([1.2, 1.2, 1], vertical_alignment="bottom")
    with left:
        sender_box(where, "Remember it for the sender", " of the layout")
    name = middle.text_input(
        "Name of the layout", key=key("layout_name"), placeholder="such as: daily log"
    )
    named = bool(name and held.sender)
    label = f"Remember for {literal(held.sender)}" if held.sender else "Remember"
    if right.button(label, key=key("remember"), disabled=not named):
        refused = commands.store_layout(where, held.sender, name, layout, held.by)
        if refused:
            st.error(literal(refused))
            return
        held.entries = []
        held.done = f"The layout “{name}” is remembered for {held.sender}."
        st.rerun(scope="app")


ABSENT, CELL, TAB, TEXT = "", "cell", "tab", "text"
PLACES = {
    ABSENT: "not in this sheet",
    CELL: "one cell, such as B3",
    TAB: "the sheet's name",
    TEXT: "one text for all rows",
}
ENDS = {"last row": "at the last row", "blank row": "at the first blank row"}
SUGGESTED = "✱"  # behind the name of what is suggested
ADDRESS = re.compile(r"[A-Z]{1,3}[1-9][0-9]{0,6}")
WIDTHS = [1.7, 2.1, 1.0, 1.2, 1.1]


def _questions(form: Form, sheet, with_header: Callable[[tuple[int, int]], Any]) -> dict[str, Any]:
    """The preview and the questions; returns the layout as answered so far."""
    st.caption(f"{SUGGESTED} Suggested from the headers; check and confirm.")
    st.markdown("**First rows of the sheet**, with its row numbers and column letters")
    st.dataframe(sheet.preview, height=300, alt="First rows of the sheet")
    rows = _header_rows(form, sheet)
    seen = with_header(rows)
    kinds = st.multiselect(
        _asked("Record kind", form, "kinds"),
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
    return text if form.answered(name) else f"{text} {SUGGESTED}"


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
    asked = importing.kind_columns(kinds) if kinds else []
    near = [line for line in asked if line[3] or line[0] in sheet.suggestions]
    far = [line for line in asked if line not in near]
    found = {}
    titles = ("Column", "Where it is", "Cell or text", "Strip prefix", "Unit")
    for place, title in zip(st.columns(WIDTHS), titles, strict=True):
        place.caption(literal(title))
    for line in near:
        found[line[0]] = _column(form, sheet, *line)
    if far:
        with st.expander(f"Optional columns: {len(far)}", expanded=False):
            for line in far:
                found[line[0]] = _column(form, sheet, *line)
    return {name: origin for name, origin in found.items() if origin}


def _column(form: Form, sheet, name: str, word: str, role: str, needed: bool) -> dict[str, Any]:
    """One line: the column, its place, what to leave out in front, its unit."""
    guess = sheet.suggestions.get(name, {})
    label, place, fixed, before, unit = st.columns(WIDTHS, vertical_alignment="center")
    needed_word = " · required" if needed else ""
    guess_word = f" {SUGGESTED}" if guess and not form.answered(name) else ""
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
            f"Prefix to strip from {literal(word)}",
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
        **form.ask("date_order", pending().date_order),
    )
    decimal = middle.selectbox(
        "Decimal mark",
        list(DECIMALS),
        format_func=DECIMALS.get,
        **form.ask("decimal", pending().decimal),
    )
    ends = right.selectbox(
        "The table ends", list(ENDS), format_func=ENDS.get, **form.ask("ends", "last row")
    )
    return {"date_order": order, "decimal": decimal, "ends": ends}


def _exceptions(form: Form, mapped: list[str]) -> dict[str, Any]:
    """Rows and sheets that are no records, blanks that mean as above, a structure's prefix."""
    left, right = st.columns(2, gap="medium")
    over = left.text_input(
        "Skip rows starting with",
        placeholder="Total, Notes",
        **form.ask("passed_over", ""),
    )
    out = right.text_input(
        "Sheets to skip", placeholder="Summary, Notes", **form.ask("left_out_sheets", "")
    )
    fill = left.multiselect(
        "Fill down blank cells in",
        mapped,
        format_func=column_word,
        placeholder="none",
        **form.ask("fill_down", [], mapped),
    )
    prefix = right.text_input("Add prefix to every pile number", **form.ask("number_prefix", ""))
    return {
        "passed_over": _words(over),
        "left_out_sheets": _words(out),
        "fill_down": fill,
        "number_prefix": prefix.strip(),
    }


def _words(text: str) -> list[str]:
    return [word.strip() for word in text.split(",") if word.strip()]


def layouts(where: Path) -> None:
    """One line per layout: sender, name, who defined it in which entry."""
    found = importing.layouts(where)
    if found.empty:
        st.markdown(
            "No layout is remembered yet. Drop a file whose headers are not known: the page asks "
            "how it is laid out, once for each sender."
        )
        return
    page.table(
        pd.DataFrame(
            {
                "Sender": found["sender"],
                "Layout": found["mapping_name"],
                "Defined by": found["person"],
                "Entry": found["entry_no"],
            }
        )
    )
    st.caption(
        "To change one, map a sheet of this sender again and give it the same name. To forget "
        "one, withdraw its entry under History."
    )


MOST_STAMPS = 500
STAMP_HELP = (
    "A regular expression with named groups, such as (?P<year>[0-9]{2})-(?P<heat>[0-9A-Z]{6}). "
    "The whole stamp must match; | separates alternatives."
)


def stamps(where) -> None:
    """Draw the supplier, the pattern and what it reads."""
    st.subheader("How stamps are read")
    st.markdown(
        "A stamp may hold several facts: material, year, heat, the maker's own number. How one "
        "supplier writes them is set once in `project.toml`; here a pattern is tried on the stamps "
        "recorded. They stay as they are written."
    )
    found, held = steel.stamps(where), steel.stamp_patterns(where)
    suppliers = sorted({*found["supplier"], *held} - {""})
    if found.empty or not suppliers:
        st.markdown("No component of a named supplier is recorded yet.")
        return
    supplier = st.selectbox("Supplier", suppliers, key=key("stamp_supplier"))
    pattern = st.text_input(
        "Pattern",
        held.get(supplier, ""),
        key=key(f"stamp_pattern_{supplier}"),
        help=STAMP_HELP,
        placeholder="(?P<heat>[0-9A-Z]+)",
    )
    if not pattern:
        st.markdown("Write a pattern to see what it reads.")
        return
    try:
        read = steel.stamps_read(where, supplier, pattern)
    except PilewrightError as error:
        st.error(literal(str(error)))
        return
    _stamps_read(read)
    if pattern != held.get(supplier):
        st.markdown("To use it, put this into `project.toml`:")
        st.code(f"[[stamp_patterns]]\nsupplier = '{supplier}'\npattern = '''{pattern}'''\n", "toml")


def _stamps_read(read: pd.DataFrame) -> None:
    number, differ = int(read["reads"].sum()), int(read["differs"].sum())
    st.markdown(f"**{number:,} of {len(read):,} stamps are read.**" + (
        f" {differ:,} give another heat than is recorded; they are listed first."
        if differ else ""))  # fmt: skip
    rest = [name for name in read if name not in ("reads", "differs", "supplier")]
    shown = read[["reads", *rest]].head(MOST_STAMPS)
    shown = shown.assign(reads=shown["reads"].map({True: "yes", False: "no"}))
    words = {"reads": "Read", "stamp": "Stamp", "delivery_id": "Delivery",
             "component_kind": "Component", "heats": "Heats recorded"}  # fmt: skip
    st.dataframe(shown.rename(columns=words), hide_index=True, placeholder="")
    if len(read) > MOST_STAMPS:
        st.caption(f"The first {MOST_STAMPS} of {len(read):,}, those not read before the others.")
