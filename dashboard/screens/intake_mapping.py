"""A sheet that is not understood: a person says once how it is laid out, and it is remembered."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from core.errors import PilewrightError
from dashboard import commands
from dashboard.data import sheets
from dashboard.literal import literal
from dashboard.screens import intake_files, intake_layout_form
from dashboard.screens.intake_desk import Form, desk, key

DRAFT = "layout being tried"


def show(where: Path, lines: list[sheets.Line]) -> None:
    """The sheets that cannot be read yet, and the form for one of them."""
    unread = [line for line in lines if not line.ready]
    if not unread:
        return
    st.subheader(f"Sheets that are not understood: {len(unread)}")
    st.markdown(
        "Say once how such a sheet is laid out; it is remembered for the sender. Or take the "
        "file away, correct its headers and drop it again."
    )
    names = [" · ".join(filter(None, (line.file.name, line.sheet))) for line in unread]
    picked = st.selectbox("Sheet to lay out", names, key=key("sheet"))
    with st.container(border=True, key="layout"):
        line = unread[names.index(picked)]
        held = sheets.looked(where, line.file, desk().choice(where)).sheets
        _form(where, line.file, next(one for one in held if one.sheet == line.sheet))


@st.fragment
def _form(where: Path, file, sheet) -> None:
    start = f"{file.digest[:12]}/{sheet.sheet}/"
    layout = intake_layout_form.draw(
        Form(start), sheet, lambda rows: sheets.with_header(where, file, sheet, rows)
    )
    if st.button("Try this layout", key=key("try"), type="primary"):
        desk().layouts[start] = layout
    if not layout["kinds"]:
        st.markdown("Say what a row of the table is.")
        return
    tried = desk().layouts.get(start)
    if tried is None:
        return
    if tried != layout:
        st.markdown("The layout was changed since it was tried. Try it again.")
        return
    try:
        found = _read_with(where, file, sheet, layout)
    except PilewrightError as error:
        st.error(literal(str(error)))
        return
    if found is None:
        st.error("Not every header, cell and text to leave out is in this sheet where you say.")
        return
    if not found.ready:
        st.error("The sheet cannot be read so. Check the header rows and the units.")
        return
    st.markdown("**So the sheet would be read.** Check the three values of every column.")
    intake_files.columns_table(found.understood)
    _remember(where, layout)


def _draft(layout) -> dict:
    return {"sender": desk().sender or "nobody yet", "name": DRAFT, "layout": layout}


def _read_with(where: Path, file, sheet, layout):
    choice = desk().choice(where)
    held = sheets.looked(where, file, choice, [_draft(layout)]).sheets
    found = (one for one in held if one.sheet == sheet.sheet and one.layout == DRAFT)
    return next(found, None)


def _remember(where: Path, layout) -> None:
    held = desk()
    if not held.by:
        st.warning("Choose at the top of this page who takes the files in.")
        return
    left, middle, right = st.columns([1.2, 1.2, 1], vertical_alignment="bottom")
    with left:
        intake_files.sender_box(where, "Remember it for the sender", " of the layout")
    name = middle.text_input(
        "Name of the layout", key=key("layout_name"), placeholder="such as: daily log"
    )
    said = bool(name and held.sender)
    label = f"Remember for {literal(held.sender)}" if held.sender else "Remember"
    if right.button(label, key=key("remember"), disabled=not said):
        refused = commands.remember_layout(where, held.sender, name, layout, held.by)
        if refused:
            st.error(literal(refused))
            return
        held.entries = []
        held.said = f"The layout “{name}” is remembered for {held.sender}."
        st.rerun(scope="app")
