"""Import: files dropped, previewed, corrected and imported, all or nothing."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import streamlit as st

from core import units
from core.errors import PilewrightError
from dashboard import commands, page
from dashboard.data import importing, views
from dashboard.literal import literal
from dashboard.screens import import_history, import_layout
from dashboard.screens.import_state import (
    DATE_ORDERS,
    DECIMALS,
    PRESSURES,
    bound,
    column_word,
    columns_table,
    counted,
    key,
    kind_word,
    number_pair,
    pending,
    sender_box,
)

PARTS = ("Import files", "History", "Layouts", "Stamps")


def main() -> None:
    """Draw the screen."""
    where = views.folder()
    page.title(importing.settings(where).tables.project.name, _stamp(importing.history(where)))
    part = st.segmented_control(
        "Part", PARTS, default=PARTS[0], key="import_part", required=True,
        label_visibility="collapsed",
    )  # fmt: skip
    if part == "History":
        import_history.show(where)
    elif part == "Layouts":
        import_layout.layouts(where)
    elif part == "Stamps":
        import_layout.stamps(where)
    else:
        _import(where)


def _stamp(entries) -> str:
    if entries.empty:
        return "No entry in the ledger yet."
    last = entries.iloc[0]
    return f"Data as of entry {last['entry_no']}, written {last['when']} by {last['person']}."


def _import(where) -> None:
    if pending().job is not None:
        _watch()
        return
    _outcome()
    if not _people(where):
        return
    _drop_files()
    if not pending().files:
        return
    try:
        report = _preview(where)
        files = list(pending().files.values())
        lines = importing.lines(where, files, pending().choice(where), report)
        _recognised(where, lines, report)
        _headings(report)
        _pile_numbers(where)
        _problems(report)
        import_layout.unrecognised(where, lines)
        _differences(where, report)
        _offer(where, report)
    except PilewrightError as error:
        st.error(literal(str(error)))


SUFFIXES = ["csv", "txt", "tsv", "xlsx", "xlsm", "xls", "xlsb", "ods", "pdf", "png", "jpg", "jpeg"]
LINE = ["File", "Sheet", "Record", "Rows", "Skipped", "Layout", "Problems", "Notices"]


def _people(where: Path) -> bool:
    """Ask who imports the files and who sent them; False when nobody is registered."""
    names = importing.people(where)
    st.subheader("1 · Imported by, received from")
    if not names:
        st.warning("project.toml registers nobody. Add the people of the job to it first.")
        return False
    left, right = st.columns(2, gap="large")
    left.selectbox(
        "Imported by",
        names,
        index=None,
        placeholder="choose your name",
        **bound("by"),
    )
    with right:
        sender_box(where, "Received from (optional for files with known headers)")
    return True


def _drop_files() -> None:
    """The place to drop files, and the files dropped."""
    st.subheader("2 · Files")
    held = pending()
    name = key(f"drop_{held.drop}")
    st.file_uploader(
        "Drop files here. Nothing is written until you press Import at the end of this page.",
        SUFFIXES,
        accept_multiple_files=True,
        key=name,
        on_change=_dropped,
        args=(name,),
    )
    if not held.files:
        return
    st.session_state[key("files")] = list(held.files)
    st.multiselect(
        f"Files to import: {len(held.files)} (× removes one)",
        list(held.files),
        key=key("files"),
        on_change=_kept,
    )
    with st.expander("Dates and numbers in these files", expanded=False):
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
        st.caption("Set these when a problem below asks for it. Applies to all files.")


def _dropped(name: str) -> None:
    held = pending()
    for file in st.session_state[name]:
        held.files[file.name] = importing.dropped(file.name, file.getvalue())
    held.drop += 1  # an empty place for the next files
    held.settled, held.done, held.refused = {}, "", ""


def _kept() -> None:
    kept = st.session_state[key("files")]
    held = pending()
    held.files = {name: file for name, file in held.files.items() if name in kept}
    held.settled = {row: word for row, word in held.settled.items() if row[1] in kept}


def _preview(where: Path):
    """What importing the files would do."""
    held = pending()
    by = held.by or importing.people(where)[0]  # nothing is written yet
    return importing.tried(where, list(held.files.values()), by, held.choice(where))


def _recognised(where: Path, lines: list[importing.Line], report) -> None:
    """One line per file and sheet; the columns of the sheet that is ticked."""
    st.subheader("3 · Recognised")
    picked = st.dataframe(
        _table(lines, report),
        hide_index=True,
        key=key("recognised"),
        on_select="rerun",
        selection_mode="single-row",
        alt="Files and sheets as they were recognised",
    )["selection"]["rows"]
    if lines:
        st.caption("Tick a line to see how its columns are read.")
    for place in picked if picked and picked[0] < len(lines) else []:
        line = lines[place]
        held = importing.looked(where, line.file, pending().choice(where)).sheets
        sheet = next(one for one in held if one.sheet == line.sheet)
        _columns(f"{line.file.name} {line.sheet}".strip(), sheet)
    _notices(report)


def _table(lines: list[importing.Line], report) -> pd.DataFrame:
    problems = report.problems.groupby(["file", "sheet"]).size()
    noticed = report.notices.groupby(["file", "sheet"]).size()
    names = [line.file.name for line in lines]
    left_out = report.files.set_index("file")["rows_skipped"]
    rows = [
        (
            line.file.name,
            line.sheet,
            line.kinds if line.ready else "not recognised",
            line.rows,
            left_out.get(line.file.name) if names.count(line.file.name) == 1 else None,
            line.layout or ("known headers" if line.ready else ""),
            int(problems.get((line.file.name, line.sheet), 0)),
            int(noticed.get((line.file.name, line.sheet), 0)),
        )
        for line in lines
    ]
    for name in pending().files:
        if name not in names:
            faults, notices = int(problems.get((name, ""), 0)), int(noticed.get((name, ""), 0))
            record = "not read" if faults else "kept, not read"
            rows.append((name, "", record, 0, 0, "", faults, notices))
    return pd.DataFrame(rows, columns=LINE).astype({"Skipped": "Int64"})


def _columns(title: str, sheet) -> None:
    st.markdown(f"**{literal(title)}**")
    if sheet.recognised.empty:
        st.markdown("No column of this sheet is read yet.")
        return
    columns_table(sheet.recognised)


def _notices(report) -> None:
    notices = report.notices
    if len(notices):
        with st.expander(f"Notices: {len(notices)} (they do not stop the import)", expanded=False):
            rows = notices.rename(columns=str.capitalize)
            st.dataframe(rows, hide_index=True, key=key("notices"), alt="Notices")


PRESSURE_KINDS = {
    "": "not answered",
    "differential": "differential pressure",
    "line": "line pressure",
}
PRESSURE_PLACES = {"pressure": "in logs and runs", "curve pressure": "on calibration certificates"}


def _headings(report) -> None:
    """The columns not read, and a choice for each question."""
    _columns_not_read(report.not_read)
    problems, held = report.problems, pending()
    stopped = problems.loc[problems["kind"].eq("column not read"), "column"].tolist()
    asked = [
        name
        for name in PRESSURES
        if any(held.answer(name)) or problems["kind"].str.startswith(f"{name} ").any()
    ]
    if not (stopped or asked or held.not_read):
        return
    st.subheader("Questions about headings")
    for name in asked:
        _pressure(name)
    if stopped or held.not_read:
        st.multiselect(
            "Columns to ignore",
            list(dict.fromkeys([*held.not_read, *stopped])),
            placeholder="choose the columns to ignore",
            help="A column chosen here is ignored; the others stop the import.",
            **bound("not_read"),
        )
    st.caption(
        f"Answers are remembered for {literal(held.sender)} with the import."
        if held.sender
        else "Choose under Received from, at the top of this page, to keep the answers."
    )


def _pressure(name: str) -> None:
    """Of which kind the pressures are; of line pressures also the return pressure assumed."""
    held, start = pending(), name.replace(" ", "_")
    left, right = st.columns(2, gap="large")
    left.selectbox(
        f"Pressures {literal(PRESSURE_PLACES[name])} are",
        list(PRESSURE_KINDS),
        format_func=PRESSURE_KINDS.get,
        help="Differential: across the motor. Line: at its inlet, with the return pressure in it.",
        **bound(f"{start}_kind"),
    )
    if held.answer(name)[0] == "differential":
        return
    right.text_input(
        f"Return pressure assumed {literal(PRESSURE_PLACES[name])}",
        placeholder="such as 8 bar, or: not recorded",
        **bound(f"{start}_return"),
    )
    fault = importing.answer_fault(name, *held.answer(name))
    if fault:
        st.error(literal(fault))


def _columns_not_read(columns: pd.DataFrame) -> None:
    if columns.empty:
        return
    with st.expander(f"Columns not read: {len(columns)}", expanded=False):
        page.table(columns.rename(columns=str.capitalize))


def _pile_numbers(where: Path) -> None:
    """A choice per number: the scheduled pile that it resembles, or another pile."""
    held = pending()
    by = held.by or importing.people(where)[0]
    choice = held.choice(where, pile_numbers={})
    found = importing.tried(where, list(held.files.values()), by, choice).questions
    if found.empty:
        return
    st.subheader(f"Pile numbers to confirm: {counted(found['written'].nunique(), 'number')}")
    st.markdown("No schedule has these numbers; each is one character from a pile without a run.")
    for row in found.drop_duplicates("written").to_dict("records"):
        _pile_number(row)


def _pile_number(row: dict) -> None:
    written, meant = row["written"], row["candidate"]
    own = key(f"pile_number_{written}")
    names = {meant: f"{meant} of the schedule", written: f"{written} is another pile"}
    answer = pending().pile_numbers.get(written)
    st.session_state[own] = answer if answer in names else None
    place = f"{row['file']}, row {row['row']}, {counted(row['rows'], 'row')}"
    st.radio(
        literal(f"{written} ({place}): did you mean {meant}?"),
        list(names),
        index=None,
        format_func=lambda number: literal(names[number]),
        horizontal=True,
        key=own,
        on_change=_answer_pile_number,
        args=(written, own),
    )


def _answer_pile_number(written: str, own: str) -> None:
    pending().pile_numbers[written] = st.session_state[own]


PROBLEM_HEADINGS = {
    "file": "File",
    "sheet": "Sheet",
    "row": "Row",
    "column": "Column",
    "value": "Value",
    "problem": "Problem",
    "remedy": "What to do",
}
ALL_FILES = "all files"
FEW, MOST = 6, 200  # rows that stand without scrolling, rows that are drawn


def _problems(report) -> None:
    """The problems as a table that can be filtered and downloaded."""
    problems = report.problems
    if problems.empty:
        if pending().skip_bad_rows:
            _skip_bad_rows(report)
        return
    st.subheader(f"Problems: {len(problems):,}")
    with st.container(horizontal=True, vertical_alignment="bottom"):
        with st.container(width=320):
            files = [ALL_FILES, *problems["file"].unique()]
            chosen = st.selectbox("Show the problems of", files, key=key("problems_of"))
        rows = _rows(problems if chosen == ALL_FILES else problems[problems["file"] == chosen])
        st.download_button(
            "Download as CSV",
            importing.problems_file(rows),
            "problems.csv",
            "text/csv",
            key=key("problems_csv"),
            on_click="ignore",
        )
    with st.container(height=420 if len(rows) > FEW else "content"):
        page.table(rows.head(MOST), ("Row",))
    if len(rows) > MOST:
        st.caption(f"The first {MOST} of {len(rows):,}; the download holds every one.")
    _skip_bad_rows(report)


def _rows(problems: pd.DataFrame) -> pd.DataFrame:
    return problems[list(PROBLEM_HEADINGS)].rename(columns=PROBLEM_HEADINGS)


def _skip_bad_rows(report) -> None:
    count = counted(report.rows["skipped"], "row")
    st.toggle(
        f"Skip the {count} with a problem or an undecided conflict, and import the rest",
        help="Off: any problem stops the whole import. On: these rows are not imported; import the "
        "corrected file later and only they are added.",
        **bound("skip_bad_rows"),
    )


CHOICES = {"file": "replace current value", "current": "keep current value"}
DECIDED = {"file": "replace", "current": "keep", "": "open"}


def _differences(where: Path, report) -> None:
    """The conflicts with the choices made, and the rows that the earlier version had."""
    _conflicts(where)
    _missing(report)


def _conflicts(where: Path) -> None:
    held = pending()
    found = importing.tried(
        where,
        list(held.files.values()),
        held.by or importing.people(where)[0],
        held.choice(where, settled={}, replace=False),
    ).conflicts
    if found.empty:
        return
    if held.replace:
        count = counted(len(set(_places(found))), "row")
        st.warning(f"Replaced too, whatever was decided: {count} with another current value.")
        return
    stood = dict(zip(_places(found), _entries(found), strict=True))
    open_rows = [row for row, entry in stood.items() if _decision(row, entry) == "open"]
    st.subheader(f"Conflicts: {counted(len(stood), 'row')} that differ from the current value")
    st.markdown(_to_decide(len(open_rows)))
    picked = st.dataframe(
        _side_by_side(where, found),
        hide_index=True,
        height=min(420, 38 + 35 * len(found)),
        key=key("conflicts"),
        on_select="rerun",
        selection_mode="multi-row",
        alt="Conflicts between the dropped files and the ledger",
    )["selection"]["rows"]
    places = _places(found)
    ticked = [places[at] for at in picked if at < len(places)]
    with st.container(horizontal=True):
        for word, text in CHOICES.items():
            which = f"{len(ticked)} ticked" if ticked else "all"
            st.button(
                f"{literal(text.capitalize())} ({literal(which)})",
                key=key(f"settle_{word}"),
                on_click=_settle,
                args=({row: stood[row] for row in ticked or stood}, word),
            )


def _to_decide(count: int) -> str:
    if not count:
        return "Every row is decided."
    if pending().skip_bad_rows:
        return f"Not decided, so skipped: {counted(count, 'row')}. Tick rows and choose."
    return f"To be decided: {counted(count, 'row')}. Tick some and choose, or choose for all."


def _places(found: pd.DataFrame) -> list[tuple[str, str, str, int]]:
    columns = (found[name] for name in ("kind", "file", "sheet", "row"))
    return [(kind, file, sheet, int(row)) for kind, file, sheet, row in zip(*columns, strict=True)]


def _entries(found: pd.DataFrame) -> list[int | None]:
    return [None if pd.isna(entry) else int(entry) for entry in found["current_entry_no"]]


def _settle(stood: dict, word: str) -> None:
    pending().settled |= {row: (word, entry) for row, entry in stood.items()}


def _decision(row, entry: int | None) -> str:
    """The choice made for a row, unless the current value has changed since."""
    word, seen = pending().settled.get(row, ("", None))
    return DECIDED[word if seen == entry else ""]


def _side_by_side(where: Path, found: pd.DataFrame) -> pd.DataFrame:
    both = zip(_places(found), _entries(found), strict=True)
    chosen = [_decision(row, entry) for row, entry in both]
    values = zip(found["column"], found["value"], found["current_value"], strict=True)
    pairs = [number_pair(column, str(new), str(old)) for column, new, old in values]
    return pd.DataFrame(
        {
            "Decided": chosen,
            "Record": found["kind"].map(kind_word),
            "Key": found["key"],
            "Column": found["column"].map(column_word),
            "Unit": found["column"].map(units.unit_word),
            "This file": [new for new, _ in pairs],
            "Current value": [old for _, old in pairs],
            "Current value by": found["person"],
            "On": importing.local_texts(where, found["entered_at"]),
            "From file": found["current_file"].fillna("a form"),
            "From row": found["current_row"],
            "File": found["file"],
            "Sheet": found["sheet"],
            "Row": found["row"],
        }
    )


def _missing(report) -> None:
    gone = report.missing_keys
    if gone.empty and not pending().replace:
        return
    if len(gone):
        st.subheader(f"Rows of the earlier version that are missing now: {len(gone):,}")
        rows = pd.DataFrame(
            {
                "File": gone["file"],
                "Sheet": gone["sheet"],
                "Record": gone["kind"].map(kind_word),
                "Key": gone["key"],
            }
        )
        st.dataframe(rows, hide_index=True, key=key("missing"), alt="Rows that are missing now")
    st.toggle(
        "Replace the earlier version of these files",
        help="On: rows of the earlier version that are missing here are removed, and where these "
        "files differ from another source, their values replace the current ones.",
        **bound("replace"),
    )


ROW_WORDS = {
    "added": "new",
    "superseded": "corrected",
    "corroborated": "confirmed by a second source",
    "removed": "removed",
    "unchanged": "duplicate",
    "skipped": "skipped",
}
WRITTEN = ("added", "superseded", "corroborated", "removed")


def _offer(where: Path, report) -> None:
    """Say what the act will do, and do it when asked."""
    held = pending()
    st.subheader("4 · Import")
    obstacles = _obstacles(report)
    for obstacle in obstacles:
        st.markdown(f"- {literal(obstacle)}")
    if not report.refused:
        st.markdown(literal(f"{_counts(report)}."))
    rows = sum(report.rows[word] for word in WRITTEN)
    files = counted(len(held.files), "file")
    label = f"Import {counted(rows, 'row')} from {files}"
    if st.button(
        label if not report.refused else "Import",
        key=key("run"),
        type="primary",
        disabled=bool(obstacles),
    ):
        contents = [(file.name, file.content) for file in held.files.values()]
        held.done, held.refused = "", ""
        held.job = commands.ImportJob(where, contents, held.by, held.choice(where))
        st.rerun()


def _obstacles(report) -> list[str]:
    held = pending()
    found = []
    if held.by is None:
        found.append("Choose your name under Imported by, at the top of this page.")
    if report.refused and len(report.questions):
        found.append("Confirm the pile numbers that are on no schedule.")
    if report.refused and len(report.problems) > len(report.questions):
        found.append(
            "Resolve the problems above: answer the questions, or correct the files and drop them "
            "again. Or skip those rows."
        )
    if report.refused and len(report.conflicts):
        found.append("Decide the conflicts, or skip those rows.")
    if not report.refused and not sum(report.rows[word] for word in WRITTEN):
        found.append("Nothing is new: every row of these files is in the ledger already.")
    return found


def _counts(report) -> str:
    parts = [
        f"{report.rows[word]:,} {text}" for word, text in ROW_WORDS.items() if report.rows[word]
    ]
    return "Rows: " + (", ".join(parts) or "none")


@st.fragment(run_every="1s")
def _watch() -> None:
    """Progress of the act, and a way to stop it; the page is drawn anew when it has ended."""
    held = pending()
    job = held.job
    if job is None:
        return
    if job.done:
        held.job = None
        _finish(held, *job.outcome())
        st.rerun(scope="app")
    st.subheader("Importing")
    st.markdown(f"{literal(job.step.capitalize())} … ({job.seconds:d} s)")
    if job.is_cancelled:
        st.markdown("Stopping; what was written so far is undone.")
    else:
        st.button("Cancel", key=key("cancel"), on_click=job.cancel)
    st.caption("You can use other pages meanwhile; the import goes on.")


def _finish(held, report, refusal: str) -> None:
    held.entries = []
    if report is None:
        held.refused = refusal
    elif report.refused:
        held.refused = "The ledger changed meanwhile; nothing was written. Check the preview again."
    else:
        held.entries = report.entries
        numbers = ", ".join(map(str, report.entries)) or "none"
        held.done = f"Imported. Entries written: {numbers}. {_counts(report)}."
        held.clear()


def _outcome() -> None:
    """What came of the last act."""
    held = pending()
    if held.refused:
        st.error(literal(held.refused))
    if not held.done:
        return
    st.success(literal(held.done))
    if not held.entries:
        return
    with st.container(horizontal=True):
        st.page_link("screens/site_plan.py", label="Open the site plan")
        st.page_link("screens/overview.py", label="Open the overview")


main()
