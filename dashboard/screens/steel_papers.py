"""Files of certificates: saved as they were sent, looked at page by page, and added."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from dashboard import commands, data, filters
from dashboard.literal import literal, literals

MOST_FILES = 12
ENDINGS = ["pdf", "png", "jpg", "jpeg"]


def show(view: data.View, found, meaning) -> None:
    """Draw the files of the certificates found; of one certificate its pages and the way to add."""
    files = data.steel_files(view, found)
    one = meaning.kind == "certificate"
    if files.empty and not one:
        return
    st.subheader("Files of certificates" if not one else "Files of this certificate")
    if said := st.session_state.pop("paper_said", None):
        st.success(literal(said))
    _save(files)
    if lost := data.lost_scans(view, found):
        st.caption(f"Named, but not kept under just one file of that name: {literals(lost)}.")
    if one and len(files):
        _look(files)
    if one and not filters.now().as_of and len(found.certificates):
        _add(view, meaning.text)


def _save(files: pd.DataFrame) -> None:
    with st.container(horizontal=True, vertical_alignment="center"):
        for row in files.head(MOST_FILES).itertuples():
            st.download_button(
                f"Save {literal(row.file_name)}",
                lambda sha256=row.file_digest: data.attachment(data.folder(), sha256),
                row.file_name,
                mime="application/octet-stream",
                key=f"scan_{row.certificate}_{row.file_digest[:12]}",
                on_click="ignore",
            )
        if len(files) > MOST_FILES:
            st.caption(f"The first {MOST_FILES} files; seek one certificate for its own.")


def _look(files: pd.DataFrame) -> None:
    """One page as a picture; the file itself is never run."""
    drawn = files[files["pages"].gt(0)]
    if drawn.empty:
        return
    with st.expander("Look at a page"):
        names = dict(zip(drawn["file_digest"], drawn["file_name"], strict=True))
        left, right = st.columns([3, 1])
        sha256 = left.selectbox("File", list(names), format_func=names.get, key="paper_file")
        row = drawn[drawn["file_digest"].eq(sha256)].iloc[0]
        page = right.number_input("Page", 1, int(row["pages"]), key="paper_page")
        picture = data.certificate_page(data.folder(), sha256, row["form"], int(page))
        if isinstance(picture, str):
            st.error(literal(picture))
            return
        name = literal(row["file_name"])
        st.image(picture, caption=f"{name}, page {page:,} of {row['pages']:,}")


def _add(view: data.View, certificate: str) -> None:
    with st.expander("Add a file"), st.form(f"attach_{certificate}", clear_on_submit=True):
        file = st.file_uploader("The certificate as PDF, PNG or JPEG", ENDINGS)
        by = st.selectbox("Who adds it", data.names(view), index=None, placeholder="your name")
        sent = st.form_submit_button("Keep it")
    if not sent:
        return
    if file is None or by is None:
        st.error("Choose the file and who adds it. Nothing was written.")
        return
    refused = commands.attach_certificate(
        data.folder(), certificate, file.name, file.getvalue(), by
    )
    if refused:
        st.error(literal(refused))
        return
    st.session_state["paper_said"] = f"Kept: {file.name} shows certificate {certificate}."
    st.rerun()


__all__ = ["show"]
