"""Steel: the trace of one thing looked up, its quarantine, and the files of its certificates."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pandas as pd
import streamlit as st

from core import units, words
from dashboard import commands, page, state, theme
from dashboard.charts import steel as charts
from dashboard.data import importing, steel, views
from dashboard.literal import literal, literals

PILES = ("pile_id", "area", "state", "stage", "pieces", "length_mm", "gaps")
PIECES = (
    "pile_id", "place", "component", "stamp", "piece", "mill", "heat", "certificate",
    "certificate_type", "page", "gap_text", "length_mm", "lot", "delivery_id", "run_no", "latest",
)  # fmt: skip
HEATS = ("mill", "heat", "certificate", "certificate_type", "page", "placed", "yield_mpa",
         "tensile_mpa", "elongation_percent", "carbon_percent", "carbon_equivalent_percent",
         "melted_in")  # fmt: skip
CERTIFICATES = ("certificate", "certificate_type", "issuer", "issued_on", "standard", "grade",
                "checked_by")  # fmt: skip
STOCK = ("stamp", "component", "lot", "delivery_id", "not_placed", "quantity", "placed",
         "left_over", "scrapped", "length_mm", "zinc_lot", "zinc_um", "supplier",
         "delivered_on")  # fmt: skip
REMNANTS = ("stamp", "cut_from", "component", "length_mm", "pile_id", "not_placed")
MOST_CONCERNS = 12


def draw(view: views.View, meaning, system: str) -> None:
    """Draw everything that is linked to ``meaning``."""
    found = steel.trace(view, meaning)
    st.subheader(literal(meaning.words[0].upper() + meaning.words[1:]))
    _numbers(found.totals, meaning, system)
    _stamp_facts(steel.stamp_parts(view, meaning))
    _look_alikes(view, meaning)
    concerns = steel.concerns(view, meaning)
    _concerns(concerns, system)
    _gaps(found, concerns.empty)
    if meaning.kind == "heat":
        _quarantine(view, meaning, system)
    if len(found.trace):
        _piles(found, system)
        _trace(view, meaning, found)
        _titled_table("Pieces", found.trace, PIECES, system)
    _titled_table("Heats", found.heats, HEATS, system)
    _titled_table("Certificates", found.certificates, CERTIFICATES, system)
    _certificate_files(view, found, meaning)
    of_pile = "Its deliveries" if meaning.kind == "pile" else "Deliveries"
    _titled_table(f"{of_pile} and what is not placed", found.stock, STOCK, system)
    _titled_table("Remnants", found.remnants, REMNANTS, system)


def _numbers(totals: dict[str, float], meaning, system: str) -> None:
    cells = {
        "Piles": f"{totals['piles']:,}",
        "Pieces placed": f"{totals['pieces']:,}",
        "Length": units.text(totals["length_mm"], "length_mm", system),
        "Not placed": _not_placed(totals["not_placed"], totals["too_many"]),
        "Gaps in traceability": f"{totals['gaps']:,}",
    }
    if meaning.kind == "pile":
        cells = {word: cells[word] for word in list(cells)[1:] if word != "Not placed"}
    for place, (word, value) in zip(st.columns(len(cells)), cells.items(), strict=True):
        place.metric(literal(word), literal(value), border=True, height="stretch")


def _stamp_facts(facts: dict[str, str]) -> None:
    """What a stamp means by its supplier's pattern."""
    if facts:
        parts = " · ".join(
            f"{literal(name.replace('_', ' '))} **{literal(text)}**" for name, text in facts.items()
        )
        st.markdown(f"The stamp reads: {parts}")


def _not_placed(left: int, too_many: int) -> str:
    if not too_many:
        return f"{left:,}"
    return (f"{left:,}, " if left else "") + f"{too_many:,} too many"


def _concerns(found: pd.DataFrame, system: str) -> None:
    """Open findings, before any word on traceability."""
    if found.empty:
        return
    st.markdown("**Open findings**")
    first = found.head(MOST_CONCERNS)
    rows = {
        "Result": first["result"].map(theme.result_mark),
        "Finding": first["kind"],
        **page.measured_texts(first, system)[["Measured", "Limit"]],
        "Note": first["note"],
        "Piles": first["piles"],
    }
    page.table(pd.DataFrame(rows), ("Measured", "Limit"), ("Result",))
    if len(found) > len(first):
        st.caption(f"The worst {len(first)} of {len(found):,}; Outstanding lists them all.")


def _gaps(found, clear: bool) -> None:
    """Gaps in traceability; ``clear``: no finding is open, so that a full trace may be stated."""
    if found.trace.empty:
        st.markdown("**None of it is recorded in the ground.**")
    elif found.gaps.empty and clear:
        st.markdown("**No gaps: on paper every piece is traced to its certificate.**")
    elif not found.gaps.empty:
        st.markdown("**Gaps in traceability**")
        named = {"gap_text": "Gap", "pieces": "Pieces"}
        page.table(found.gaps.rename(columns=named), ("Pieces",))


def _piles(found, system: str) -> None:
    st.subheader("Piles")
    st.caption("Latest work stage first: under concrete, tested, surveyed. Tick a row to "
               "select its pile.")  # fmt: skip
    table(found.piles, PILES, system, "Piles", choose_pile)
    if pile := state.current_filters().pile:
        page.pile_links(pile)


def _titled_table(title: str, rows, columns: tuple[str, ...], system: str) -> None:
    if rows.empty:
        return
    st.subheader(literal(title))
    table(rows, columns, system, title)


def _trace(view: views.View, meaning, found) -> None:
    st.subheader("Trace")
    figure = views.cached_figure(
        "steel trace",
        (view.key, meaning),
        lambda: charts.steel_trace(*steel.trace_boxes(view, meaning)),
    )
    st.plotly_chart(
        figure,
        key=state.key("trace"),
        config={"displayModeBar": False, "scrollZoom": False},
        alt=f"Piles, components, heats and certificates of {meaning.words}",
    )
    st.caption(
        "✕ and a dotted line: a gap. With more than "
        f"{steel.MOST_BOXES} boxes piles are grouped by area, components by kind, heats and "
        "certificates by mill; the number of each is in brackets."
    )
    st.download_button(
        "Download this trace as CSV",
        lambda: steel.trace_file(found.trace),
        f"trace_entry_{view.assessment.entry}.csv",
        key="download_trace",
        on_click="ignore",
    )


HEIGHT, ROW, MOST_HIGH = 38, 35, 420
WIDE = {"gap_text": 400, "note": 420}
YES_NO = {True: "yes", False: "no"}
WORDS = {"latest": {True: "yes", False: "earlier run"}, "listed": YES_NO, "other_listed": YES_NO}
HEADINGS = {
    "result": "Result",
    "pile_id": "Pile",
    "area": "Area",
    "state": "State",
    "stage": "Work stage",
    "place": "Place from the toe",
    "component": "Component",
    "piece": "Piece",
    "stamp": "Stamp",
    "gap_text": "Gap in traceability",
    "cut_from": "Cut from",
    "mill": "Mill",
    "heat": "Heat",
    "looks_like": "Similar to",
    "listed": "On a certificate",
    "other_listed": "Similar one on a certificate",
    "certificate": "Certificate",
    "certificate_type": "Type",
    "certificate_type_asked": "Required type",
    "page": "Page",
    "lot": "Lot",
    "delivery_id": "Delivery",
    "supplier": "Supplier",
    "delivered_on": "Delivered on",
    "not_placed": "Not placed",
    "too_many": "Too many",
    "quantity": "Delivered",
    "placed": "In the ground",
    "left_over": "Left over",
    "scrapped": "Scrapped",
    "pieces": "Pieces",
    "other_pieces": "Pieces with the similar heat",
    "length_mm": "Length",
    "gaps": "Gaps",
    "issuer": "Issued by",
    "issued_on": "Issued on",
    "standard": "Standard",
    "grade": "Grade",
    "checked_by": "Checked by",
    "yield_mpa": "Yield strength",
    "tensile_mpa": "Tensile strength",
    "elongation_percent": "Elongation",
    "carbon_percent": "Carbon",
    "carbon_equivalent_percent": "Carbon equivalent",
    "melted_in": "Melted in",
    "zinc_lot": "Zinc lot",
    "zinc_um": "Zinc thickness",
    "decided_on": "Date",
    "quarantine_status": "Quarantine",
    "person": "By",
    "reason": "Reason",
    "run_no": "Run",
    "latest": "Last run",
    "traceability": "Traced by",
    "note": "Note",
    "age_days": "Age [days]",
}


def table(
    rows: pd.DataFrame,
    columns: tuple[str, ...],
    system: str,
    name: str,
    picked: Callable[[pd.DataFrame], None] | None = None,
) -> None:
    """``rows`` with their headings and units; ``picked`` receives the row that is ticked."""
    shown, formats = in_words(rows, columns, system)
    key = state.key(f"steel_{name}_{hash(tuple(rows.index))}_{len(rows)}")
    choosing: Mapping[str, object] = {}
    if picked:
        choosing = {
            "on_select": lambda: _pass_on(key, rows, picked),
            "selection_mode": "single-row",
        }
    st.dataframe(
        shown,
        hide_index=True,
        height=min(MOST_HIGH, HEIGHT + ROW * len(shown)),
        key=key,
        column_config=formats,
        placeholder="–",
        alt=name,
        **choosing,
    )


def _pass_on(key: str, rows: pd.DataFrame, picked: Callable[[pd.DataFrame], None]) -> None:
    places = st.session_state[key]["selection"]["rows"]
    picked(rows.iloc[[place for place in places if place < len(rows)]])


def choose_pile(rows: pd.DataFrame) -> None:
    """Select the pile of the row ticked."""
    state.select(rows["pile_id"].dropna())


def look_up(column: str) -> Callable[[pd.DataFrame], None]:
    """Look up what is in ``column`` of the row ticked."""

    def search(rows: pd.DataFrame) -> None:
        for text in rows[column].dropna():
            state.search(str(text))

    return search


def in_words(
    rows: pd.DataFrame, columns: tuple[str, ...], system: str
) -> tuple[pd.DataFrame, dict[str, object]]:
    """Columns for people, and how numbers are printed; a column without any value is left out."""
    shown, formats = {}, {}
    for column in columns:
        values, heading = rows[column], HEADINGS[column]
        unit = units.shown_unit(column, system)
        if values.isna().all():
            continue
        if column == "state":
            values = values.map(lambda word: f"{words.STATE[word].letter} · {word}", "ignore")
        elif column == "result":
            values = values.map(theme.RESULT_SIGNS) + " " + values
        elif column in WORDS:
            values = values.map(WORDS[column])
        elif column == "not_placed" and values.lt(0).any():
            values = values.map(
                lambda left: f"{-left:,} too many" if left < 0 else f"{left:,}", "ignore"
            )
        elif column.endswith("_on"):
            values = values.dt.date
            formats[heading] = page.DAY
        elif column in WIDE:
            formats[heading] = st.column_config.TextColumn(width=WIDE[column])
        elif unit:
            heading = f"{heading} [{unit.symbol}]"
            values = units.shown_values(values.astype(float), column, system)
            formats[heading] = st.column_config.NumberColumn(format=f"%.{unit.decimals}f")
        shown[heading] = values
    return pd.DataFrame(shown), formats


QUARANTINE_COLUMNS = ("decided_on", "quarantine_status", "mill", "person", "reason")
QUARANTINED_PILES = ("pile_id", "area", "state", "stage")


def _quarantine(view: views.View, meaning, system: str) -> None:
    """Draw the quarantine of one heat."""
    effect = steel.quarantine_effect(view, meaning)
    decisions = steel.quarantine_history(view, meaning)
    inside = steel.in_quarantine(view, meaning)
    if done := st.session_state.pop("quarantine_done", None):
        st.success(literal(done))
    if inside:
        last = decisions.iloc[0]
        st.error(
            f"In quarantine since {literal(theme.day(last['decided_on']))}, "
            f"{literal(last['person'])}: "
            f"{literal(last['reason'])}",
            icon=":material/front_hand:",
        )
    st.subheader("Quarantine", anchor="quarantine")
    if not inside:
        _affected(effect, system)
    if state.current_filters().as_of:
        st.markdown("Quarantine is decided on the project as it is now. Clear *As of* first.")
    elif inside:
        with st.expander("Release heat"):
            lift = commands.release_heat
            _form(view, meaning, "Release heat", lift, steel.releasers(view))
    else:
        with st.expander("Quarantine heat"):
            _form(view, meaning, "Quarantine heat", commands.put_in_quarantine, steel.names(view))
    if len(decisions):
        st.markdown("**Quarantine history**")
        table(decisions, QUARANTINE_COLUMNS, system, "Quarantine history")


def _affected(effect, system: str) -> None:
    """Piles that would no longer be *criteria met* or accepted."""
    affected = effect.piles[effect.piles["affected"]]
    st.markdown(
        f"Not in quarantine. Piles with this heat: {len(effect.piles):,}; of these *criteria met* "
        f"or accepted, which a quarantine moves to *engineer review*: **{len(affected):,}**."
    )
    if len(affected):
        with st.expander(f"The {len(affected):,} piles by number"):
            table(affected, QUARANTINED_PILES, system, "Piles that a quarantine moves")


def _form(view: views.View, meaning, label: str, act, names: list[str]) -> None:
    if not names:
        st.markdown("No role has this right; add it in project.toml.")
        return
    with st.form(f"quarantine_{meaning.text}_{meaning.mill}"):
        by = st.selectbox("Decided by", names, index=None, placeholder="select your name")
        reason = st.text_area("Reason, with the letter or report", height=80)
        sent = st.form_submit_button(literal(label))
    st.caption("Names are not verified.")
    if not sent:
        return
    if by is None:
        st.error("Select who decides. Nothing was written.")
        return
    refused = act(views.folder(), meaning.text, meaning.mill, by, reason)
    if refused:
        st.error(literal(refused))
        return
    st.session_state["quarantine_done"] = f"{label}: {meaning.text}, by {by}. Recorded."
    st.rerun()


def _look_alikes(view: views.View, meaning) -> None:
    """Heats easily confused with this one, and the form for a stamp read again."""
    heats = steel.similar_heats(view, meaning)
    if heats.empty:
        return
    similar = ", ".join(
        f"{row.heat} of {row.mill or 'a mill not recorded'}, "
        f"{steel.suggestion_text(meaning.text, row.heat).partition(', ')[2]} ({row.pieces:,} "
        f"{'piece' if row.pieces == 1 else 'pieces'}, "
        f"{'on a certificate' if row.listed else 'on no certificate'})"
        for row in heats.itertuples()
    )
    st.warning(
        f"Heat {literal(meaning.text)} is similar to {literal(similar)}. O and 0, I, l and 1, S "
        "and 5, B and 8, Z and 2 are easily confused. Check both, and check the stamps."
    )
    if state.current_filters().as_of:
        return
    with st.expander("Correct the heat of these pieces"):
        _reading(view, meaning, list(heats["heat"]))


def _reading(view: views.View, meaning, heats: list[str]) -> None:
    with st.form(f"read_again_{meaning.text}"):
        becomes = st.selectbox("Correct heat", heats, index=None, placeholder="select the heat")
        by = st.selectbox("Corrected by", steel.names(view), index=None, placeholder="your name")
        reason = st.text_area("Evidence: who read which stamps or photographs", height=80)
        sent = st.form_submit_button("Correct pieces")
    st.caption(f"Every piece recorded as {literal(meaning.text)} is corrected by an entry of its "
               "own; what was written before stays in the history.")  # fmt: skip
    if not sent:
        return
    if by is None or becomes is None:
        st.error("Select the heat and who corrects it. Nothing was written.")
        return
    args = (meaning.text, meaning.mill, becomes, by, reason)
    if refused := commands.correct_heat(views.folder(), *args):
        st.error(literal(refused))
        return
    st.session_state["quarantine_done"] = f"Corrected: {meaning.text} is now {becomes}."
    state.rerun_with(query=becomes, match="")


MOST_FILES = 12
ENDINGS = ["pdf", "png", "jpg", "jpeg"]


def _certificate_files(view: views.View, found, meaning) -> None:
    """Draw the files of the certificates found; of one certificate its pages and the way to add."""
    files = steel.files(view, found)
    one = meaning.kind == "certificate"
    if files.empty and not one:
        return
    st.subheader("Files of certificates" if not one else "Files of this certificate")
    if done := st.session_state.pop("file_added", None):
        st.success(literal(done))
    _save(files)
    if lost := steel.lost_scans(view, found):
        st.caption(f"Listed, but not stored as one file: {literals(lost)}.")
    if one and len(files):
        _look(files)
    if one and not state.current_filters().as_of and len(found.certificates):
        _add(view, meaning.text)


def _save(files: pd.DataFrame) -> None:
    with st.container(horizontal=True, vertical_alignment="center"):
        for row in files.head(MOST_FILES).itertuples():
            st.download_button(
                f"Save {literal(row.file_name)}",
                lambda sha256=row.file_digest: importing.attachment(views.folder(), sha256),
                row.file_name,
                mime="application/octet-stream",
                key=f"scan_{row.certificate}_{row.file_digest[:12]}",
                on_click="ignore",
            )
        if len(files) > MOST_FILES:
            st.caption(f"The first {MOST_FILES} files; look up one certificate for its own.")


def _look(files: pd.DataFrame) -> None:
    """One page as a picture; the file itself is never run."""
    drawn = files[files["pages"].gt(0)]
    if drawn.empty:
        return
    with st.expander("View a page"):
        names = dict(zip(drawn["file_digest"], drawn["file_name"], strict=True))
        left, right = st.columns([3, 1])
        sha256 = left.selectbox("File", list(names), format_func=names.get, key="certificate_file")
        row = drawn[drawn["file_digest"].eq(sha256)].iloc[0]
        number = right.number_input("Page", 1, int(row["pages"]), key="certificate_page")
        picture = steel.certificate_page(views.folder(), sha256, row["form"], int(number))
        if isinstance(picture, str):
            st.error(literal(picture))
            return
        name = literal(row["file_name"])
        st.image(picture, caption=f"{name}, page {number:,} of {row['pages']:,}")


def _add(view: views.View, certificate: str) -> None:
    with st.expander("Add a file"), st.form(f"attach_{certificate}", clear_on_submit=True):
        file = st.file_uploader("The certificate as PDF, PNG or JPEG", ENDINGS)
        by = st.selectbox("Added by", steel.names(view), index=None, placeholder="your name")
        sent = st.form_submit_button("Add file")
    if not sent:
        return
    if file is None or by is None:
        st.error("Select the file and who adds it. Nothing was written.")
        return
    refused = commands.attach_certificate(
        views.folder(), certificate, file.name, file.getvalue(), by
    )
    if refused:
        st.error(literal(refused))
        return
    st.session_state["file_added"] = f"Added: {file.name} shows certificate {certificate}."
    st.rerun()
