"""Choices shared by all screens: piles, filters, units and as-of. They live in the address.

The session holds them between pages; every change is written back to the address, so that a
pasted link shows the same choice. Keys of all widgets that carry a choice are made here.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

import pandas as pd
import streamlit as st

from core.units import SYSTEMS

MOST_PILES = 100
SETTLE_S = 3.0  # an older address that arrives sooner after our own is a late one, not the person's


@dataclass(frozen=True)
class Choices:
    """What the person has chosen. Empty means: everything, the project's units, now."""

    piles: tuple[str, ...] = ()
    area: tuple[str, ...] = ()
    state: tuple[str, ...] = ()
    rig: tuple[str, ...] = ()
    type: tuple[str, ...] = ()
    units: str = ""
    as_of: str = ""

    @property
    def pile(self) -> str | None:
        """The pile: the last one chosen."""
        return self.piles[-1] if self.piles else None


LISTS = ("piles", "area", "state", "rig", "type")
FILTERS = ("area", "state", "rig", "type")


def _joined(values: Sequence[str]) -> str:
    return ",".join(value.replace("%", "%25").replace(",", "%2C") for value in values)


def _parted(text: str) -> tuple[str, ...]:
    parts = (part.replace("%2C", ",").replace("%25", "%") for part in text.split(","))
    return tuple(dict.fromkeys(part for part in parts if part))


def to_address(choices: Choices) -> dict[str, str]:
    """The part of the address that says ``choices``; what is not chosen is left out."""
    texts = {name: _joined(getattr(choices, name)) for name in LISTS}
    texts |= {"units": choices.units, "as_of": choices.as_of}
    return {name: text for name, text in texts.items() if text}


def from_address(address: Mapping[str, str]) -> Choices:
    """The choices that an address says; what cannot be used is left out."""
    lists = {name: _parted(address.get(name, "")) for name in LISTS}
    lists["piles"] = lists["piles"][-MOST_PILES:]
    units = address.get("units", "").upper()
    return Choices(
        **lists, units=units if units in SYSTEMS else "", as_of=address.get("as_of", "").strip()
    )


def load() -> None:
    """Take the choices from the address on a new visit, else keep the session's; write back."""
    names = {*LISTS, "units", "as_of"}
    here = {name: text for name, text in st.query_params.to_dict().items() if name in names}
    written, at = st.session_state.get("_address", ({}, 0.0))
    went_elsewhere = bool(here) and here != written and time.monotonic() - at > SETTLE_S
    if "_choices" not in st.session_state or went_elsewhere:
        st.session_state["_choices"] = from_address(here)
    address = to_address(now())
    if here != address:
        st.query_params.from_dict(address)
    if written != address:
        st.session_state["_address"] = (address, time.monotonic())


def now() -> Choices:
    """The present choices."""
    return st.session_state.get("_choices", Choices())


def change(**values: object) -> None:
    """Change some of the choices; the next run of the script shows and writes them."""
    st.session_state["_choices"] = replace(now(), **values)


def choose(piles: Iterable[str], add: bool = False) -> None:
    """Choose ``piles`` (the last of them becomes *the pile*), or add them to those chosen."""
    new = list(dict.fromkeys(str(pile) for pile in piles))
    st.session_state["_left_out"] = max(0, len(new) - MOST_PILES)
    new = new[:MOST_PILES]
    kept = [pile for pile in now().piles if pile not in new] if add else []
    change(piles=tuple((kept + new)[-MOST_PILES:]))


def left_out() -> int:
    """How many piles the last selection left out because it held more than fit."""
    return int(st.session_state.get("_left_out", 0))


def as_of() -> int | date | None:
    """The as-of choice as an entry number, a date, or None for now. Raises ValueError."""
    text = now().as_of
    if not text:
        return None
    return int(text) if text.isdecimal() else date.fromisoformat(text)


def mask(piles: pd.DataFrame) -> pd.Series:
    """Which rows of ``piles`` the filters let through."""
    choices = now()
    columns = {"area": "area", "state": "state", "rig": "rig", "type": "pile_type"}
    shown = pd.Series(True, index=piles.index)
    for name, column in columns.items():
        if wanted := getattr(choices, name):
            shown &= piles[column].isin(wanted)
    return shown


def key(name: str) -> str:
    """The key of the widget that carries the choice ``name``."""
    return f"choice_{name}"


def _take(name: str) -> None:
    value = st.session_state[key(name)]
    if name in LISTS:
        change(**{name: tuple(value)})
    else:
        change(**{name: value or ""})


def filter_boxes(options: Mapping[str, Sequence[str]]) -> None:
    """One multiple choice per filter: area, state, rig, type."""
    for name in FILTERS:
        chosen = getattr(now(), name)
        st.session_state[key(name)] = list(chosen)
        offered = [*options[name], *(value for value in chosen if value not in options[name])]
        st.multiselect(
            name.capitalize(),
            offered,
            key=key(name),
            on_change=_take,
            args=(name,),
            placeholder="all",
        )


def units_switch(default: str) -> str:
    """The switch between SI and US units; returns the system shown."""
    system = now().units or default
    st.session_state[key("units")] = system
    st.segmented_control(
        "Units",
        SYSTEMS,
        key=key("units"),
        on_change=_take,
        args=("units",),
        required=True,
        label_visibility="collapsed",
    )
    return system


def as_of_box() -> None:
    """The as-of choice as text."""
    st.session_state[key("as_of")] = now().as_of
    st.text_input(
        "Show the project as of",
        key=key("as_of"),
        on_change=_take,
        args=("as_of",),
        placeholder="now",
        help="An entry number of the ledger, or a day as 2026-05-31. Empty shows it now.",
    )


def pile_box(subjects: Sequence[str], label: str = "Pile") -> None:
    """A searchable box with every pile number; choosing one chooses the pile."""
    chosen = now().pile
    name = key("pile")
    st.session_state[name] = chosen if chosen in set(subjects) else None
    st.selectbox(
        label,
        subjects,
        key=name,
        index=None,
        on_change=_take_pile,
        placeholder="type a pile number",
    )


def _take_pile() -> None:
    picked = st.session_state[key("pile")]
    choose([picked] if picked else [])


def neighbour(numbers: list[str], place: int | None, step: int) -> str | None:
    """The pile number ``step`` places on; the first when none is chosen; None past the end."""
    if place is None:
        return numbers[0] if step > 0 else None
    return numbers[place + step] if 0 <= place + step < len(numbers) else None


def chosen_switch() -> None:
    """When several piles are chosen: which of them is *the pile*."""
    chosen = sorted(now().piles, key=natural)
    st.session_state[key("which")] = now().pile
    st.pills("Chosen piles", chosen, key=key("which"), on_change=_take_which, required=True)


def _take_which() -> None:
    choose([st.session_state[key("which")]], add=True)


def natural(text: str) -> tuple[tuple[bool, int | str], ...]:
    """Sort key: P-2 before P-10."""
    parts: list[str] = [""]
    for sign in text:
        if sign.isdecimal() == parts[-1].isdecimal():
            parts[-1] += sign
        else:
            parts.append(sign)
    return tuple((part.isdecimal(), int(part) if part.isdecimal() else part) for part in parts)
