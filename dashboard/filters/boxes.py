"""Widgets that carry a choice, and their keys: filters, units, as-of, pile."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

import streamlit as st

from core.units import SYSTEMS
from dashboard.filters.choices import FILTERS, LISTS, change, choose, now, seek
from dashboard.filters.order import natural
from dashboard.literal import literal


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
            literal(name.capitalize()),
            offered,
            key=key(name),
            on_change=_take,
            args=(name,),
            placeholder="all",
        )


def list_box(name: str, options: Sequence[str], label: str, words: Mapping[str, str]) -> None:
    """One multiple choice under ``label``; ``words`` says values as people do."""
    chosen = getattr(now(), name)
    st.session_state[key(name)] = list(chosen)
    st.multiselect(
        literal(label),
        [*options, *(value for value in chosen if value not in options)],
        format_func=lambda value: words.get(value, value),
        key=key(name),
        on_change=_take,
        args=(name,),
        placeholder="all",
    )


def overdue_switch() -> None:
    """Whether only records and results that are late are listed."""
    st.session_state[key("overdue")] = bool(now().overdue)
    st.toggle(
        "Overdue only",
        key=key("overdue"),
        on_change=_take_overdue,
        help="Records and results that were due before the day that judges and are not there. "
        "A measured value that waits for a decision is not overdue.",
    )


def _take_overdue() -> None:
    change(overdue="yes" if st.session_state[key("overdue")] else "")


def worksheet_switch() -> bool:
    """Whether the steps behind each number of the pile are shown."""
    st.session_state[key("worked")] = bool(now().worked)
    return st.toggle("Show how each number comes about", key=key("worked"), on_change=_take_worked)


def _take_worked() -> None:
    change(worked="yes" if st.session_state[key("worked")] else "")


def day_boxes() -> None:
    """First and last day on which a pile's last run may have been."""
    for name, label in (("run_from", "Last run from"), ("run_to", "Last run to")):
        chosen = getattr(now(), name)
        st.session_state[key(name)] = date.fromisoformat(chosen) if chosen else None
        st.date_input(
            literal(label), key=key(name), format="YYYY-MM-DD", on_change=_take_day, args=(name,)
        )


def _take_day(name: str) -> None:
    picked = st.session_state[key(name)]
    change(**{name: picked.isoformat() if picked else ""})


def switch(name: str, options: Mapping[str, str], label: str) -> str:
    """A switch between values with their words; the first one leaves the address as it is."""
    first, chosen = next(iter(options)), getattr(now(), name)
    st.session_state[key(name)] = chosen if chosen in options else first
    st.segmented_control(
        literal(label),
        list(options),
        format_func=lambda value: literal(options.get(value, value)),
        key=key(name),
        on_change=_take_switch,
        args=(name, first),
        required=True,
        label_visibility="collapsed",
    )
    return st.session_state[key(name)]


def _take_switch(name: str, first: str) -> None:
    picked = st.session_state[key(name)]
    change(**{name: "" if picked == first else picked or ""})


def group_box(groups: Mapping[str, tuple[str, str]]) -> None:
    """A box that sets the filters of area and type at once; ``groups`` gives both by name."""
    chosen = (now().area, now().type)
    held = [name for name, (area, kind) in groups.items() if chosen == ((area,), (kind,))]
    st.session_state[key("group")] = held[0] if held else None
    st.selectbox(
        "Area and type",
        list(groups),
        key=key("group"),
        index=None,
        on_change=_take_group,
        args=(groups,),
        placeholder="every area and type" if chosen == ((), ()) else "as filtered",
    )


def _take_group(groups: Mapping[str, tuple[str, str]]) -> None:
    picked = st.session_state[key("group")]
    if picked:
        compare_with(*groups[picked])
    else:
        change(area=(), type=())


def cap_box(caps: Mapping[str, Sequence[str]]) -> None:
    """A box that chooses the piles under a cap; ``caps`` gives them by the cap's name."""
    chosen = set(now().piles)
    held = [name for name, piles in caps.items() if chosen == set(piles)]
    st.session_state[key("cap")] = held[0] if held else None
    st.selectbox(
        "Piles under cap",
        sorted(caps, key=natural),
        key=key("cap"),
        index=None,
        on_change=_take_cap,
        args=(caps,),
        placeholder="choose a cap",
    )


def _take_cap(caps: Mapping[str, Sequence[str]]) -> None:
    choose(caps.get(st.session_state[key("cap")], ()))


def compare_with(area: str, kind: str) -> None:
    """Let only piles of one area and one type through the filters."""
    change(area=(area,), type=(kind,))


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


def search_box(label: str, placeholder: str) -> None:
    """A box for a text that is sought."""
    st.session_state[key("sought")] = now().sought
    st.text_input(
        literal(label), key=key("sought"), on_change=_take_sought, placeholder=placeholder
    )


def _take_sought() -> None:
    seek(st.session_state[key("sought")] or "")


def meaning_switch(words: Sequence[str], label: str) -> None:
    """Which of several things of the text sought is meant; none until one is picked."""
    chosen = now().meant
    st.session_state[key("meant")] = chosen if chosen in words else None
    st.pills(
        literal(label),
        words,
        format_func=literal,
        key=key("meant"),
        on_change=_take,
        args=("meant",),
    )


def pile_box(subjects: Sequence[str], label: str = "Pile") -> None:
    """A searchable box with every pile number; choosing one chooses the pile."""
    chosen = now().pile
    name = key("pile")
    st.session_state[name] = chosen if chosen in set(subjects) else None
    st.selectbox(
        literal(label),
        subjects,
        key=name,
        index=None,
        on_change=_take_pile,
        placeholder="type a pile number",
    )


def _take_pile() -> None:
    picked = st.session_state[key("pile")]
    choose([picked] if picked else [])


def chosen_switch() -> None:
    """When several piles are chosen: which of them is *the pile*."""
    chosen = sorted(now().piles, key=natural)
    st.session_state[key("which")] = now().pile
    st.pills(
        "Chosen piles",
        chosen,
        format_func=literal,
        key=key("which"),
        on_change=_take_which,
        required=True,
    )


def _take_which() -> None:
    choose([st.session_state[key("which")]], add=True)
