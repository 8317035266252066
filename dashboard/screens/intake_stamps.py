"""How a supplier's stamps are read: a pattern tried on the stamps of the register."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from core.errors import PilewrightError
from dashboard.data import steel
from dashboard.literal import literal
from dashboard.screens.intake_desk import key

MOST_ROWS = 500
HELP = (
    "A regular expression with named groups, such as (?P<year>[0-9]{2})-(?P<heat>[0-9A-Z]{6}). "
    "The whole stamp must fit; | stands between ways of stamping."
)


def show(where) -> None:
    """Draw the supplier, the pattern and what it reads."""
    st.subheader("How stamps are read")
    st.markdown(
        "A stamp may hold several facts: material, year, heat, the maker's own number. How one "
        "supplier writes them is said once in `project.toml`; here a pattern is tried on stamps "
        "recorded. They stay as they are written."
    )
    stamps, held = steel.stamps(where), steel.stamp_patterns(where)
    suppliers = sorted({*stamps["supplier"], *held} - {""})
    if stamps.empty or not suppliers:
        st.markdown("No component of a named supplier is recorded yet.")
        return
    supplier = st.selectbox("Supplier", suppliers, key=key("stamp_supplier"))
    pattern = st.text_input(
        "Pattern",
        held.get(supplier, ""),
        key=key(f"stamp_pattern_{supplier}"),
        help=HELP,
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
    _told(read)
    if pattern != held.get(supplier):
        st.markdown("To use it, put this into `project.toml`:")
        st.code(f"[[stamp_patterns]]\nsupplier = '{supplier}'\npattern = '''{pattern}'''\n", "toml")


def _told(read: pd.DataFrame) -> None:
    number, differ = int(read["reads"].sum()), int(read["differs"].sum())
    st.markdown(f"**{number:,} of {len(read):,} stamps are read.**" + (
        f" {differ:,} say another heat than is recorded: they stand first, for a person to look at."
        if differ else ""))  # fmt: skip
    rest = [name for name in read if name not in ("reads", "differs", "supplier")]
    shown = read[["reads", *rest]].head(MOST_ROWS)
    shown = shown.assign(reads=shown["reads"].map({True: "yes", False: "no"}))
    words = {"reads": "Read", "stamp": "Stamp", "delivery_id": "Delivery",
             "component_kind": "Component", "heats": "Heats recorded"}  # fmt: skip
    st.dataframe(shown.rename(columns=words), hide_index=True, placeholder="")
    if len(read) > MOST_ROWS:
        st.caption(f"The first {MOST_ROWS} of {len(read):,}, those not read before the others.")


__all__ = ["show"]
