"""What hangs on one thing sought: tables first, then the chain drawn, then files."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from core import units
from dashboard import data, filters, theme
from dashboard.charts import steel
from dashboard.literal import literal
from dashboard.screens import frame, steel_papers, steel_quarantine, steel_tables

PILES = ("pile_id", "area", "state", "stage", "pieces", "length_mm", "breaks")
PIECES = (
    "pile_id", "place", "component", "stamp", "piece", "mill", "heat", "certificate",
    "certificate_type", "page", "break", "length_mm", "lot", "delivery_id", "run_no", "latest",
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


def draw(view: data.View, meaning, system: str) -> None:
    """Draw everything that hangs on ``meaning``."""
    found = data.steel_found(view, meaning)
    st.subheader(literal(meaning.words[0].upper() + meaning.words[1:]))
    _numbers(found.totals, meaning, system)
    _says(data.stamp_says(view, meaning))
    steel_quarantine.show_alike(view, meaning)
    concerns = data.steel_concerns(view, meaning)
    _concerns(concerns, system)
    _breaks(found, concerns.empty)
    if meaning.kind == "heat":
        steel_quarantine.show(view, meaning, system)
    if len(found.chain):
        _piles(found, system)
        _chain(view, meaning, found)
        _table("Pieces", found.chain, PIECES, system)
    _table("Heats", found.heats, HEATS, system)
    _table("Certificates", found.certificates, CERTIFICATES, system)
    steel_papers.show(view, found, meaning)
    of_pile = "Deliveries that it came with" if meaning.kind == "pile" else "Deliveries"
    _table(f"{of_pile}, and what of them is not placed", found.stock, STOCK, system)
    _table("Cut from one another", found.remnants, REMNANTS, system)


def _numbers(totals: dict[str, float], meaning, system: str) -> None:
    cells = {
        "Piles": f"{totals['piles']:,}",
        "Pieces placed": f"{totals['pieces']:,}",
        "Length": units.text(totals["length_mm"], "length_mm", system),
        "Not placed": _not_placed(totals["not_placed"], totals["too_many"]),
        "Breaks": f"{totals['breaks']:,}",
    }
    if meaning.kind == "pile":
        cells = {word: cells[word] for word in list(cells)[1:] if word != "Not placed"}
    for place, (word, value) in zip(st.columns(len(cells)), cells.items(), strict=True):
        place.metric(literal(word), literal(value), border=True, height="stretch")


def _says(facts: dict[str, str]) -> None:
    """What a stamp says of itself by its supplier's pattern."""
    if facts:
        told = " · ".join(
            f"{literal(name.replace('_', ' '))} **{literal(text)}**" for name, text in facts.items()
        )
        st.markdown(f"The stamp says: {told}")


def _not_placed(left: int, too_many: int) -> str:
    if not too_many:
        return f"{left:,}"
    return (f"{left:,}, " if left else "") + f"{too_many:,} too many"


def _concerns(found: pd.DataFrame, system: str) -> None:
    """Open findings, before any word on its chains."""
    if found.empty:
        return
    st.markdown("**Findings that concern it**")
    first = found.head(MOST_CONCERNS)
    rows = {
        "Result": first["result"].map(theme.result_mark),
        "Finding": first["kind"],
        "Measured": frame.quantities(first, "measured", system),
        "Limit": frame.quantities(first, "limit_value", system),
        "Note": first["note"],
        "Piles": first["piles"],
    }
    frame.table(pd.DataFrame(rows), ("Measured", "Limit"), ("Result",))
    if len(found) > len(first):
        st.caption(f"The worst {len(first)} of {len(found):,}; Outstanding lists all of them.")


def _breaks(found, clear: bool) -> None:
    """Where chains stop; ``clear``: no finding objects, so that a whole chain may be told."""
    if found.chain.empty:
        st.markdown("**Nothing of it is recorded in the ground.**")
    elif found.breaks.empty and clear:
        st.markdown("**On paper no chain stops before its certificate.**")
    elif not found.breaks.empty:
        st.markdown("**Where the chain stops**")
        named = {"break": "In words", "pieces": "Pieces"}
        frame.table(found.breaks.rename(columns=named), ("Pieces",))


def _piles(found, system: str) -> None:
    st.subheader("Piles")
    st.caption("Furthest along in the work first: under concrete, tested, surveyed. Tick a row to "
               "choose its pile.")  # fmt: skip
    steel_tables.table(found.piles, PILES, system, "Piles", steel_tables.choose_pile)
    if pile := filters.now().pile:
        frame.pile_links(pile)


def _table(title: str, rows, columns: tuple[str, ...], system: str) -> None:
    if rows.empty:
        return
    st.subheader(literal(title))
    steel_tables.table(rows, columns, system, title)


def _chain(view: data.View, meaning, found) -> None:
    st.subheader("Chain")
    figure = data.drawn(
        "steel chain",
        (view.key, meaning),
        lambda: steel.steel_chain(*data.steel_boxes(view, meaning)),
    )
    st.plotly_chart(
        figure,
        key=filters.key("chain"),
        config={"displayModeBar": False, "scrollZoom": False},
        alt=f"Piles, components, heats and certificates of {meaning.words}",
    )
    st.caption(
        "✕ and a dotted line: the chain stops there. With more than "
        f"{data.MOST_BOXES} boxes piles are folded by area, components by kind, heats and "
        "certificates by mill; the number of each stands in brackets."
    )
    st.download_button(
        "Download this chain as CSV",
        lambda: data.chain_file(found.chain),
        f"chain_entry_{view.assessment.entry}.csv",
        key="download_chain",
        on_click="ignore",
    )
