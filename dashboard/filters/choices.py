"""The choices and their address: what a link says, what the session holds, and how it changes."""

from __future__ import annotations

import time
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

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
    along: str = ""
    ask: str = ""
    run_from: str = ""
    run_to: str = ""
    owner: tuple[str, ...] = ()
    blocks: tuple[str, ...] = ()
    kind: tuple[str, ...] = ()
    overdue: str = ""
    part: str = ""
    over: str = ""
    sought: str = ""
    meant: str = ""
    worked: str = ""
    suppose: str = ""

    @property
    def pile(self) -> str | None:
        """The pile: the last one chosen."""
        return self.piles[-1] if self.piles else None


LISTS = ("piles", "area", "state", "rig", "type", "owner", "blocks", "kind")
TEXTS = ("units", "as_of", "along", "ask", "run_from", "run_to", "overdue", "part", "over",
         "sought", "meant", "worked", "suppose")  # fmt: skip
DAYS = ("run_from", "run_to")
FILTERS = ("area", "state", "rig", "type")


def _joined(values: Sequence[str]) -> str:
    return ",".join(value.replace("%", "%25").replace(",", "%2C") for value in values)


def _parted(text: str) -> tuple[str, ...]:
    parts = (part.replace("%2C", ",").replace("%25", "%") for part in text.split(","))
    return tuple(dict.fromkeys(part for part in parts if part))


def _is_day(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


def to_address(choices: Choices) -> dict[str, str]:
    """The part of the address that says ``choices``; what is not chosen is left out."""
    texts = {name: _joined(getattr(choices, name)) for name in LISTS}
    texts |= {name: getattr(choices, name) for name in TEXTS}
    return {name: text for name, text in texts.items() if text}


def from_address(address: Mapping[str, str]) -> Choices:
    """The choices that an address says; what cannot be used is left out."""
    lists = {name: _parted(address.get(name, "")) for name in LISTS}
    lists["piles"] = lists["piles"][-MOST_PILES:]
    texts = {name: address.get(name, "").strip() for name in TEXTS}
    system = address.get("units", "").upper()
    texts["units"] = system if system in SYSTEMS else ""
    texts |= {name: texts[name] if _is_day(texts[name]) else "" for name in DAYS}
    return Choices(**lists, **texts)


def load() -> None:
    """Take the choices from the address on a new visit, else keep the session's; write back."""
    known = {*LISTS, *TEXTS}
    here = {name: text for name, text in st.query_params.to_dict().items() if name in known}
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


def seek(text: str, meant: str = "") -> None:
    """Seek a text; ``meant`` says which of the things of that text."""
    change(sought=text.strip(), meant=meant)


def left_out() -> int:
    """How many piles the last selection left out because it held more than fit."""
    return int(st.session_state.get("_left_out", 0))


def as_of() -> int | date | None:
    """The as-of choice as an entry number, a date, or None for now. Raises ValueError."""
    text = now().as_of
    if not text:
        return None
    return int(text) if text.isdecimal() else date.fromisoformat(text)
