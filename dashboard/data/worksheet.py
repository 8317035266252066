"""The worksheet of one pile: every step with the numbers put in and where each comes from."""

from __future__ import annotations

from dataclasses import dataclass

import streamlit as st

from core import services
from dashboard.data.views import BY_KEY, View


@dataclass(frozen=True)
class Line:
    """One step in words: ``inputs`` are pairs of a number and what is said of it."""

    subject: str
    title: str
    equation: str
    inputs: tuple[tuple[str, str], ...]
    result: str
    measure: str
    value: float
    note: str
    source: str


@st.cache_resource(max_entries=64, hash_funcs=BY_KEY, show_spinner=False)
def worksheet(view: View, subject: str) -> list[Line]:
    """The steps of one pile, read under the view's entry."""
    sheet = services.worksheet(view.assessment, subject)
    return [_line(sheet, step) for step in sheet.steps]


def _line(sheet: services.Worksheet, step: services.Step) -> Line:
    inputs = tuple(
        (_equal(f"{put.symbol} = ", put.value, put.unit), f"{put.description}; {sheet.place(put)}")
        for put in step.inputs
    )
    result = _equal("", step.value, step.unit)
    return Line(step.subject, step.title, step.equation, inputs, result, step.measure, step.value,
                step.note, step.source)  # fmt: skip


def _equal(symbol: str, value: float, unit: str) -> str:
    return f"{symbol}{services.number_text(value, unit)} {unit}".rstrip()
