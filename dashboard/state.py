"""Choices shared by all pages: piles, filters, units, as-of. The address holds them.

A choice stands in the session under its name in the address. While a widget of the page holds it,
Streamlit keeps both the same (``bind="query-params"``); the rest, the selected piles above all, is
written by `write_address` after the page. So every choice stays from page to page, and a link
shows another person the same view.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import pandas as pd
import streamlit as st
from streamlit.runtime.scriptrunner import get_script_run_ctx
from streamlit.runtime.state import get_session_state

from core.units import SYSTEMS
from dashboard.literal import literal

MAX_PILES = 100
# Names in the address, by what they hold.
FILTERS = ("area", "state", "rig", "type")
LISTS = ("piles", *FILTERS, "responsible", "blocks", "finding")
TEXTS = ("units", "as_of", "axis", "x-axis", "list", "part", "query", "match", "scenario")
YES_NO = ("overdue", "worksheet")
DAYS = ("run_from", "run_to")
NAMES = (*LISTS, *TEXTS, *YES_NO, *DAYS)
# What older links say instead: names, and values that are no longer the words on the page.
OLD_NAMES = {
    "ask": "list", "along": "axis", "over": "x-axis", "meant": "match", "worked": "worksheet",
    "sought": "query", "owner": "responsible", "kind": "finding", "suppose": "scenario",
}  # fmt: skip
OLD_VALUES = {
    ("axis", "level_m"): "level", ("x-axis", "take_ratio"): "take ratio of each lift",
    ("x-axis", "net"): "net grout against void", ("part", "strength"): "Strength",
    ("responsible", "contractor's quality person"): "contractor's quality control",
    ("part", "batches"): "Batches", ("part", "days"): "Sampling by day",
}  # fmt: skip


@dataclass(frozen=True)
class Choices:
    """What the person has chosen. Empty means: everything, the project's units, now."""

    piles: tuple[str, ...] = ()
    area: tuple[str, ...] = ()
    state: tuple[str, ...] = ()
    rig: tuple[str, ...] = ()
    type: tuple[str, ...] = ()
    responsible: tuple[str, ...] = ()
    blocks: tuple[str, ...] = ()
    finding: tuple[str, ...] = ()
    overdue: bool = False
    as_of: str = ""
    query: str = ""
    match: str = ""
    scenario: str = ""
    run_from: date | None = None
    run_to: date | None = None

    @property
    def pile(self) -> str | None:
        """The pile: the last one chosen."""
        return self.piles[-1] if self.piles else None


def current_filters() -> Choices:
    """The present choices."""
    held = {name: st.session_state.get(name) for name in Choices.__dataclass_fields__}
    return Choices(
        **{
            name: tuple(value) if name in LISTS else value.strip() if name in TEXTS else value
            for name, value in held.items()
            if value not in (None, "")
        }
    )


# ---- the address --------------------------------------------------------------------------------


def from_address(address: Mapping[str, Sequence[str]]) -> tuple[dict[str, Any], list[str]]:
    """The choices that an address says, and what of it cannot be used, as the person wrote it."""
    held: dict[str, Any] = {}
    unusable: list[str] = []
    for written, texts in address.items():
        name = OLD_NAMES.get(written, written)
        if name not in NAMES or not any(texts):
            continue
        value = _read(name, [text for text in texts if text])
        if value is None:
            unusable.append(f"{written}={', '.join(texts)}")
        else:
            held[name] = value
    return held, unusable


def _read(name: str, texts: list[str]) -> Any:
    """One choice from its texts; None when they say none."""
    text = OLD_VALUES.get((name, texts[-1].strip()), texts[-1].strip())
    if name == "piles":
        return list(dict.fromkeys(pile for text in texts for pile in _parted(text)))[-MAX_PILES:]
    if name in LISTS:
        return list(dict.fromkeys(texts))
    if name in YES_NO:
        return {"true": True, "yes": True, "false": False}.get(text.lower())
    if name in DAYS:
        return _day(text)
    if name == "units":
        return text.upper() if text.upper() in SYSTEMS else None
    return text


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def to_address(name: str, value: Any) -> list[str]:
    """How one choice is written in the address; nothing when it is not made."""
    if name == "piles":
        joined = ",".join(pile.replace("%", "%25").replace(",", "%2C") for pile in value or ())
        return [joined] if joined else []
    if name in LISTS:
        return list(value or ())
    return [str(value).lower() if name in YES_NO else str(value)] if value else []


def _parted(text: str) -> list[str]:
    parts = (part.replace("%2C", ",").replace("%25", "%") for part in text.split(","))
    return [part for part in parts if part]


def load() -> None:
    """Take the choices from the address on a new visit, and when the person goes back or forward.

    Streamlit does so for the widgets of the page; this is for all other choices.
    """
    context = get_script_run_ctx()
    assert context is not None  # a page is drawn for somebody
    new = "_changed" not in st.session_state
    elsewhere = st.session_state.get("_page") != context.page_script_hash
    if new:
        st.session_state.update(_changed=set(), _unbound=set(), _defaults={})
    for name in NAMES if elsewhere else st.session_state["_unbound"]:
        if name in st.session_state:  # its widget is of another page, or was not bound yet
            st.session_state[name] = st.session_state[name]
    if elsewhere:
        st.session_state["_changed"] |= set(NAMES) & set(st.session_state)
    st.session_state.update(_unbound=set(), _page=context.page_script_hash)
    st.session_state.update(st.session_state.pop("_next", {}))
    if not new and not context.is_history_navigation:
        return
    address = {name: st.query_params.get_all(name) for name in st.query_params}
    held, unusable = from_address(address)
    for name in NAMES:
        if name in held:
            st.session_state[name] = held[name]
        elif not new:
            st.session_state.pop(name, None)
    written = {name for name in held if to_address(name, held[name]) == address.get(name)}
    st.session_state["_changed"] |= set(held) - written
    st.session_state["_unusable"] = unusable
    st.session_state["_to_check"] = True


def check(known: Mapping[str, Mapping[str, str]]) -> None:
    """Drop from a link just opened what the project does not know, and say so.

    ``known``: by choice, what a link may say and what that means.
    """
    if st.session_state.pop("_to_check", False):
        for name, matches in known.items():
            kept = []
            for value in st.session_state.get(name, ()):
                parts = [value] if value in matches else _parted(value)
                kept += [matches[part] for part in parts if part in matches]
                st.session_state["_unusable"] += [
                    f"{name}={part}" for part in parts if part not in matches
                ]
            kept = list(dict.fromkeys(kept))
            if kept != list(st.session_state.get(name, ())):
                st.session_state[name] = kept
                st.session_state["_changed"].add(name)
    if unusable := st.session_state["_unusable"]:
        values = ", ".join(f"“{literal(text)}”" for text in unusable)
        st.warning(f"The link asks for {values}, which this project does not have; left out.")
        st.session_state["_unusable"] = []


def write_address() -> None:
    """Write the choices that no widget of the page holds."""
    with get_session_state().query_params() as address:
        # Widgets of this page, and of the page before: Streamlit lets go of those after this run.
        written = {name for name in NAMES if address.is_bound(name)}
    for name in set(NAMES) - written:
        value = st.session_state.get(name)
        default = value == st.session_state["_defaults"].get(name)
        texts = [] if default else to_address(name, value)
        if texts != st.query_params.get_all(name):
            if texts:
                st.query_params[name] = texts
            else:
                del st.query_params[name]
    for old in set(OLD_NAMES) & set(st.query_params):
        del st.query_params[old]
    st.session_state["_changed"] -= st.session_state["_unbound"]


# ---- changing them ------------------------------------------------------------------------------


def change(**values: Any) -> None:
    """Change some of the choices, before the widgets of the page are drawn."""
    st.session_state.update(values)
    st.session_state["_changed"] |= set(values)


def rerun_with(**values: Any) -> None:
    """Run the page again with some choices changed, though their widgets are drawn already."""
    st.session_state["_next"] = values
    st.rerun()


def select(piles: Iterable[str], add: bool = False) -> None:
    """Choose ``piles`` (the last of them becomes *the pile*), or add them to those chosen."""
    new = list(dict.fromkeys(str(pile) for pile in piles))
    st.session_state["_left_out"] = max(0, len(new) - MAX_PILES)
    new = new[:MAX_PILES]
    kept = [pile for pile in current_filters().piles if pile not in new] if add else []
    st.session_state["piles"] = (kept + new)[-MAX_PILES:]


def left_out() -> int:
    """How many piles the last selection left out because it held more than fit."""
    return int(st.session_state.get("_left_out", 0))


def search(text: str, match: str = "") -> None:
    """Search for a text; ``match`` says which of the things of that text."""
    change(query=text.strip(), match=match)


def compare_with(area: str, kind: str) -> None:
    """Let only piles of one area and one type through the filters."""
    change(area=[area], type=[kind])


def as_of() -> int | date | None:
    """The as-of choice as an entry number, a date, or None for now. Raises ValueError."""
    text = current_filters().as_of
    if not text:
        return None
    return int(text) if text.isdecimal() else date.fromisoformat(text)


# ---- which piles pass ---------------------------------------------------------------------------


def mask(piles: pd.DataFrame) -> pd.Series:
    """Which rows of ``piles`` the filters let through."""
    choices = current_filters()
    columns = {"area": "area", "state": "state", "rig": "rig", "type": "pile_type"}
    shown = pd.Series(True, index=piles.index)
    for name, column in columns.items():
        if wanted := getattr(choices, name):
            shown &= piles[column].isin(wanted)
    return shown


def run_mask(piles: pd.DataFrame) -> pd.Series:
    """Which rows of ``piles`` had their last run between the days chosen, both included."""
    choices = current_filters()
    shown = pd.Series(True, index=piles.index)
    if choices.run_from:
        shown &= piles["run_on"] >= pd.Timestamp(choices.run_from)
    if choices.run_to:
        shown &= piles["run_on"] <= pd.Timestamp(choices.run_to)
    return shown


def in_use() -> list[str]:
    """Words for the filters that leave something out."""
    words = {"run_from": "from a day", "run_to": "to a day"}
    held = current_filters()
    return [words.get(name, name) for name in (*FILTERS, *DAYS) if getattr(held, name)]


def natural(text: str) -> tuple[tuple[bool, int | str], ...]:
    """Sort key: P-2 before P-10."""
    parts: list[str] = [""]
    for sign in text:
        if sign.isdecimal() == parts[-1].isdecimal():
            parts[-1] += sign
        else:
            parts.append(sign)
    return tuple((part.isdecimal(), int(part) if part.isdecimal() else part) for part in parts)


# ---- widgets ------------------------------------------------------------------------------------


def key(name: str) -> str:
    """The key of a widget whose value is no choice of its own."""
    return f"choice_{name}"


def bound(name: str) -> dict[str, str]:
    """Arguments of the widget that holds the choice ``name``.

    A new widget takes what the address says. So one whose choice was changed meanwhile is not
    bound before the address says so, too.
    """
    if name in st.session_state["_changed"]:
        st.session_state["_unbound"].add(name)
        return {"key": name}
    return {"key": name, "bind": "query-params"}


def list_box(name: str, options: Sequence[str], label: str) -> None:
    """One multiple choice; a value chosen elsewhere is offered, too."""
    chosen = st.session_state.get(name, ())
    st.multiselect(
        literal(label),
        [*options, *(value for value in chosen if value not in options)],
        placeholder="all",
        **bound(name),
    )


def filter_widgets(options: Mapping[str, Sequence[str]]) -> None:
    """One multiple choice per filter: area, state, rig, type."""
    for name in FILTERS:
        list_box(name, options[name], name.capitalize())


def day_boxes() -> None:
    """First and last day on which a pile's last run may have been."""
    for name, label in (("run_from", "Last run from"), ("run_to", "Last run to")):
        st.date_input(literal(label), value=None, format="YYYY-MM-DD", **bound(name))


def switch(name: str, options: Sequence[str], label: str) -> str:
    """A switch between words; the first one leaves the address as it is."""
    st.session_state["_defaults"][name] = options[0]
    held = st.session_state.get(name)
    if held is not None and held not in options:
        st.session_state[name] = options[0]
    picked = st.segmented_control(
        literal(label),
        options,
        default=options[0],
        format_func=literal,
        required=True,
        label_visibility="collapsed",
        **bound(name),
    )
    return picked or options[0]


def list_switch(options: Mapping[str, str], label: str) -> str:
    """Which list of the page is shown; ``options``: its name in the address, the words shown.

    Words may count what is in a list, so the name is written to the address, not the words.
    """
    first, held = next(iter(options)), st.session_state.get("list")
    st.session_state[key("list")] = held if held in options else first
    st.segmented_control(
        literal(label),
        list(options),
        format_func=lambda name: literal(options.get(name, name)),
        key=key("list"),
        on_change=_keep_list,
        args=(first,),
        required=True,
        label_visibility="collapsed",
    )
    return st.session_state[key("list")]


def _keep_list(first: str) -> None:
    picked = st.session_state[key("list")]
    change(list="" if picked == first else picked)


def group_box(groups: Mapping[str, tuple[str, str]]) -> None:
    """A box that sets the filters of area and type at once; ``groups`` gives both by name."""
    chosen = (current_filters().area, current_filters().type)
    held = [name for name, (area, kind) in groups.items() if chosen == ((area,), (kind,))]
    st.session_state[key("group")] = held[0] if held else None
    st.selectbox(
        "Area and type",
        list(groups),
        key=key("group"),
        index=None,
        on_change=_group_picked,
        args=(groups,),
        placeholder="every area and type" if chosen == ((), ()) else "as filtered",
    )


def _group_picked(groups: Mapping[str, tuple[str, str]]) -> None:
    picked = st.session_state[key("group")]
    if picked:
        compare_with(*groups[picked])
    else:
        change(area=[], type=[])


def units_switch(default: str) -> str:
    """The switch between SI and US units; returns the system shown."""
    order = (default, *(system for system in SYSTEMS if system != default))
    return switch("units", order, "Units")


def pile_box(subjects: Sequence[str], label: str = "Pile") -> None:
    """A searchable box with every pile number; choosing one chooses the pile."""
    chosen = current_filters().pile
    st.session_state[key("pile")] = chosen if chosen in set(subjects) else None
    st.selectbox(
        literal(label),
        subjects,
        key=key("pile"),
        index=None,
        on_change=_pile_picked,
        placeholder="type a pile number",
    )


def _pile_picked() -> None:
    picked = st.session_state[key("pile")]
    select([picked] if picked else [])
