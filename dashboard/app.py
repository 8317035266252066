"""The dashboard's door: one project folder, its pages, and a plain page when it cannot be shown."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from core.errors import PilewrightError
from dashboard import state, theme
from dashboard.page import error_page

SCREENS = Path(__file__).parent / "screens"
PAGES = {  # file in screens, and its word in the navigation; the first is the door
    "overview": "Overview",
    "site_plan": "Site plan",
    "torque": "Torque",
    "grout": "Grout",
    "pile": "Pile",
    "steel": "Steel",
    "outstanding": "Outstanding",
    "import_files": "Import",
}
ADDRESS = {"overview": None, "import_files": "import"}  # where the address is not the file's name


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
            st.Page(
                SCREENS / f"{name}.py",
                title=title,
                url_path=ADDRESS.get(name, name),
                default=name == "overview",
            )
            for name, title in PAGES.items()
        ],
        position="top",
    )
    state.load()
    try:
        page.run()
    except PilewrightError as error:
        error_page(error)
    state.write_address()


if __name__ == "__main__":
    main()
