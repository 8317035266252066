"""The dashboard's door: one project folder, its pages, and a plain page when it cannot be shown."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from core.errors import PilewrightError
from dashboard import filters, theme
from dashboard.screens.trouble import trouble

SCREENS = Path(__file__).parent / "screens"


def main() -> None:
    """Draw the page that the address names."""
    st.set_page_config(
        page_title="Pilewright",
        page_icon=str(theme.ICON),
        layout="wide",
        initial_sidebar_state="collapsed",
    )
    st.html(theme.style_sheet())
    page = st.navigation(
        [
            st.Page(SCREENS / "overview.py", title="Overview", default=True),
            st.Page(SCREENS / "site_plan.py", title="Site plan", url_path="site_plan"),
            st.Page(SCREENS / "torque.py", title="Torque", url_path="torque"),
            st.Page(SCREENS / "grout.py", title="Grout", url_path="grout"),
            st.Page(SCREENS / "pile.py", title="Pile", url_path="pile"),
            st.Page(SCREENS / "steel.py", title="Steel", url_path="steel"),
            st.Page(SCREENS / "outstanding.py", title="Outstanding", url_path="outstanding"),
            st.Page(SCREENS / "intake.py", title="Intake", url_path="intake"),
        ],
        position="top",
    )
    filters.load()
    try:
        page.run()
    except PilewrightError as error:
        trouble(error)


main()
