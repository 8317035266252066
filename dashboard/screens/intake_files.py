"""Who takes files in, the files themselves, and what was understood of each sheet."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import streamlit as st

from core import records, units
from dashboard import page
from dashboard.data import intake, sheets
from dashboard.literal import literal
from dashboard.screens.intake_desk import bound, desk, key

KINDS = ["csv", "txt", "tsv", "xlsx", "xlsm", "xls", "xlsb", "ods", "pdf", "png", "jpg", "jpeg"]
DATE_ORDERS = {
    "": "not said",
    "year month day": "year month day",
    "day month year": "day month year",
    "month day year": "month day year",
    "day number": "day numbers of a spreadsheet",
}
LINE = ["File", "Sheet", "Record", "Rows", "Left out", "Layout", "Problems", "Remarks"]
DECIMALS = {"": "not said", "point": "point: 1,234.5", "comma": "comma: 1.234,5"}


def who(where: Path) -> bool:
    """Ask who takes the files in and who sent them; False when nobody is registered."""
    names = intake.people(where)
    st.subheader("1 · Who, and from whom")
    if not names:
        st.warning("project.toml registers nobody. Add the people of the job to it first.")
        return False
    left, right = st.columns(2, gap="large")
    left.selectbox(
        "Who takes the files in",
        names,
        index=None,
        placeholder="choose your name",
        **bound("by"),
    )
    with right:
        sender_box(where, "Who sent them (not needed for files with known headers)")
    return True


def sender_box(where: Path, label: str, place: str = "") -> None:
    """The senders of whom something is remembered, or a new name."""
    known, own = intake.senders(where), desk().sender
    st.selectbox(
        literal(label),
        [*known, *([own] if own and own not in known else [])],
        index=None,
        accept_new_options=True,
        placeholder="choose, or type a crew, surveyor or supplier",
        help="Layouts are remembered for a sender, so that its next file needs no mapping.",
        **bound("sender", place),
    )


def drop() -> None:
    """The place to drop files, and the files that lie there."""
    st.subheader("2 · Files")
    held = desk()
    name = key(f"drop_{held.drop}")
    st.file_uploader(
        "Drop files here. Nothing is written before you say so at the end of this page.",
        KINDS,
        accept_multiple_files=True,
        key=name,
        on_change=_dropped,
        args=(name,),
    )
    if not held.files:
        return
    st.session_state[key("files")] = list(held.files)
    st.multiselect(
        f"Files on the desk: {len(held.files)} (× takes one away)",
        list(held.files),
        key=key("files"),
        on_change=_kept,
    )
    with st.expander("How these files write dates and numbers", expanded=False):
        left, right = st.columns(2, gap="large")
        left.selectbox(
            "Dates such as 03/04/2026",
            list(DATE_ORDERS),
            format_func=DATE_ORDERS.get,
            **bound("date_order"),
        )
        right.selectbox(
            "Decimal mark", list(DECIMALS), format_func=DECIMALS.get, **bound("decimal")
        )
        st.caption("Say it here when a problem asks for it. It counts for every file on the desk.")


def _dropped(name: str) -> None:
    held = desk()
    for file in st.session_state[name]:
        held.files[file.name] = intake.dropped(file.name, file.getvalue())
    held.drop += 1  # an empty place for the next files
    held.settled, held.said, held.refused = {}, "", ""


def _kept() -> None:
    kept = st.session_state[key("files")]
    held = desk()
    held.files = {name: file for name, file in held.files.items() if name in kept}
    held.settled = {row: word for row, word in held.settled.items() if row[1] in kept}


def tried(where: Path):
    """What taking in the files on the desk would do."""
    held = desk()
    by = held.by or intake.people(where)[0]  # nothing is written, so nobody speaks yet
    return intake.tried(where, list(held.files.values()), by, held.choice(where))


def understood(where: Path, lines: list[sheets.Line], report) -> None:
    """One line per file and sheet; the columns of the sheet that is ticked."""
    st.subheader("3 · What was understood")
    picked = st.dataframe(
        _table(lines, report),
        hide_index=True,
        key=key("understood"),
        on_select="rerun",
        selection_mode="single-row",
        alt="Files and sheets as they were understood",
    )["selection"]["rows"]
    if lines:
        st.caption("Tick a line to see how its columns are read.")
    for place in picked if picked and picked[0] < len(lines) else []:
        line = lines[place]
        held = sheets.looked(where, line.file, desk().choice(where)).sheets
        sheet = next(one for one in held if one.sheet == line.sheet)
        _columns(f"{line.file.name} {line.sheet}".strip(), sheet)
    _remarks(report)


def _table(lines: list[sheets.Line], report) -> pd.DataFrame:
    counted = report.problems.groupby(["file", "sheet"]).size()
    remarked = report.notices.groupby(["file", "sheet"]).size()
    names = [line.file.name for line in lines]
    left_out = report.files.set_index("file")["rows_skipped"]
    rows = [
        (
            line.file.name,
            line.sheet,
            line.kinds if line.ready else "not known",
            line.rows,
            left_out.get(line.file.name) if names.count(line.file.name) == 1 else None,
            line.layout or ("known headers" if line.ready else ""),
            int(counted.get((line.file.name, line.sheet), 0)),
            int(remarked.get((line.file.name, line.sheet), 0)),
        )
        for line in lines
    ]
    for name in desk().files:
        if name not in names:
            faults, said = int(counted.get((name, ""), 0)), int(remarked.get((name, ""), 0))
            record = "not read" if faults else "kept, not read"
            rows.append((name, "", record, 0, 0, "", faults, said))
    return pd.DataFrame(rows, columns=LINE).astype({"Left out": "Int64"})


def _columns(title: str, sheet) -> None:
    st.markdown(f"**{literal(title)}**")
    if sheet.understood.empty:
        st.markdown("No column of this sheet is read yet.")
        return
    columns_table(sheet.understood)


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


def _remarks(report) -> None:
    remarks = report.notices
    if len(remarks):
        with st.expander(f"Remarks: {len(remarks)} (they stop nothing)", expanded=False):
            rows = remarks.rename(columns=str.capitalize)
            st.dataframe(rows, hide_index=True, key=key("remarks"), alt="Remarks")


def kind_word(kind: str) -> str:
    """A record kind as people call it."""
    return records.KIND[kind].word if kind in records.KIND else kind


def column_word(column: str) -> str:
    """A column's name without its unit, in words."""
    suffix = units.suffix_of(column)
    return column.removesuffix(suffix.ending if suffix else "").replace("_", " ")
