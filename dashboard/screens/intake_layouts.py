"""The layouts that the ledger remembers, by sender."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import streamlit as st

from dashboard import page
from dashboard.data import intake


def show(where: Path) -> None:
    """One line per layout: sender, name, who told it in which entry."""
    found = intake.layouts(where)
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
                "Told by": found["person"],
                "Entry": found["entry_no"],
            }
        )
    )
    st.caption(
        "To change one, map a sheet of this sender again and give it the same name. To forget "
        "one, withdraw its entry under History."
    )
