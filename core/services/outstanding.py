"""The list of outstanding items: in words, as objects, and as a file.

``COLUMNS`` declares once what people read of an item, on screen and in the workbook; objects and
CSV have the columns of the list itself.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pandas as pd

from core import units
from core.assessment.assess import Assessment
from core.assessment.items import SHARED, ItemFilter, filtered_items
from core.criteria.kinds import BLOCKS, RESPONSIBLE, FindingKind
from core.errors import WrongUse
from core.reports.outstanding import items_csv, items_xlsx
from core.services.export import about as about_file
from core.subjects.registry import FINDING_KIND

InWords = Callable[[pd.DataFrame, str], Any]


MOST_DECIMALS = 4  # more than usual, to tell a value from its limit
BOUND = {"at least": "minimum", "at most": "maximum"}  # the word before a limit, by its sense


def measured_text(
    kind: FindingKind, measured: float, limit: float, column: str, system: str
) -> str:
    """What is measured, as printed: a count with its noun, a share in percent, else a quantity.

    Empty where there is neither it nor a limit.
    """
    if pd.isna(measured):
        return "" if pd.isna(limit) else "not recorded"
    if kind.counts:
        first, _, rest = kind.counts.partition(" ")
        noun = f"{first.removesuffix('s') if measured == 1 else first} {rest}".rstrip()
        return f"{measured:,.0f} {noun}"
    return _number(kind, measured, limit, column, system)


def limit_text(kind: FindingKind, measured: float, limit: float, column: str, system: str) -> str:
    """The limit as printed, with the decimals of what is measured; empty where none is shown.

    That nothing is to be found is no number that anybody compares with.
    """
    if pd.isna(limit) or (kind.counts and limit == 0):
        return ""
    return f"{limit:,.0f}" if kind.counts else _number(kind, limit, measured, column, system)


def against(
    kind: FindingKind, measured: float, limit: float, sense: str, column: str, system: str
) -> str:
    """Both in words: ``7.50 kN·m, minimum 8.00 kN·m``; ``4 pieces below grade``."""
    parts = measured, limit, column, system
    bound = limit_text(kind, *parts)
    between = f", {BOUND[sense]} " if sense else " against "
    return measured_text(kind, *parts) + (between + bound if bound else "")


def margin_text(kind: FindingKind, margin: float, column: str, system: str) -> str:
    """The margin as printed; empty where none is known, and of a count."""
    if pd.isna(margin) or kind.counts:
        return ""
    return _number(kind, margin, math.nan, column, system)


def _number(kind: FindingKind, value: float, beside: float, column: str, system: str) -> str:
    """``value`` with decimals enough to be told from the number ``beside`` it."""
    more = 0
    if not pd.isna(beside) and value != beside:
        while more < MOST_DECIMALS and _text(kind, value, beside, column, system, more) == _text(
            kind, beside, value, column, system, more
        ):
            more += 1
    return _text(kind, value, beside, column, system, more)


def _text(
    kind: FindingKind, value: float, beside: float, column: str, system: str, more: int
) -> str:
    if kind.share:
        return f"{100 * value:z.{1 + more}f} %"
    return units.text(value, column, system, None if pd.isna(beside) else beside, more)


def about(items: pd.DataFrame) -> pd.Series:
    """What each item is about: a pile by its number, anything else with what it is."""
    kinds = items["subject_kind"].where(items["subject_kind"].ne(SHARED), "piles of")
    return kinds + " " + items["subject"]


def measured_texts(rows: pd.DataFrame, system: str) -> pd.DataFrame:
    """``measured`` and ``limit`` of findings in words; empty where there is none."""
    names = ["kind", "measured", "limit_value", "unit_column"]
    texts = [
        (
            measured_text(FINDING_KIND[kind], measured, limit, column, system),
            limit_text(FINDING_KIND[kind], measured, limit, column, system),
        )
        for kind, measured, limit, column in rows[names].itertuples(index=False)
    ]
    return pd.DataFrame(texts, index=rows.index, columns=["measured", "limit"], dtype="str")


def against_limit(rows: pd.DataFrame, system: str) -> pd.Series:
    """What is measured against which limit, in words; empty where there is neither."""
    names = ["kind", "measured", "limit_value", "sense", "unit_column"]
    texts = [
        against(FINDING_KIND[kind], measured, limit, sense, column, system)
        for kind, measured, limit, sense, column in rows[names].itertuples(index=False)
    ]
    return pd.Series(texts, index=rows.index, dtype="str")


def blocked(letters: str) -> str:
    """What an item blocks, in words."""
    return ", ".join(BLOCKS[letter] for letter in letters)


def margin_texts(rows: pd.DataFrame, system: str) -> pd.Series:
    """``margin`` of findings in words; empty where there is none."""
    texts = [
        margin_text(FINDING_KIND[kind], margin, column, system)
        for kind, margin, column in rows[["kind", "margin", "unit_column"]].itertuples(index=False)
    ]
    return pd.Series(texts, index=rows.index, dtype="str")


# Heading of each column and how it is written, in the order of the list.
COLUMNS: dict[str, InWords] = {
    "About": lambda items, _: about(items),
    "Area": lambda items, _: items["area"],
    "Result": lambda items, _: items["result"],
    "Finding": lambda items, _: items["kind"],
    "Measured against limit": against_limit,
    "Age [days]": lambda items, _: items["age_days"],
    "Due date": lambda items, _: items["due"],
    "Responsible": lambda items, _: items["responsible"].map(RESPONSIBLE),
    "Closed by": lambda items, _: items["closed_by"],
    "Blocks": lambda items, _: items["blocks"].map(blocked),
    "Clause": lambda items, _: items["clause"],
    "Note": lambda items, _: items["note"],
    "Piles": lambda items, _: items["piles"].map(", ".join),
}


def items_in_words(items: pd.DataFrame, system: str) -> pd.DataFrame:
    """The items as people read them, one column per heading of ``COLUMNS``."""
    return pd.DataFrame({name: write(items, system) for name, write in COLUMNS.items()})


def filtered_items_of(assessment: Assessment, wanted: ItemFilter) -> pd.DataFrame:
    """The outstanding items of ``assessment`` that are asked for."""
    return filtered_items(assessment.attention, wanted, pd.Timestamp(assessment.on))


def items_object(items: pd.DataFrame) -> list[dict[str, Any]]:
    """Outstanding items as plain objects, in store units."""
    return [
        {str(name): _plain(value) for name, value in row.items()}
        for row in _published(items).to_dict("records")
    ]


def _published(items: pd.DataFrame) -> pd.DataFrame:
    """The columns of the list as they go out; ``unit`` is that of measured and limit."""
    frame = items.assign(
        unit=items["unit_column"].map(units.unit_word),
        blocks=items["blocks"].map(lambda letters: [BLOCKS[letter] for letter in letters]),
    )
    named = {"limit_value": "limit", "due": "due_date"}
    return frame.drop(columns="unit_column").rename(columns=named)


def _plain(value: Any) -> Any:
    if isinstance(value, list | tuple):
        return list(value)
    if value is None or pd.isna(value):
        return None
    return value.date().isoformat() if isinstance(value, pd.Timestamp) else value


def items_file(assessment: Assessment, items: pd.DataFrame, ending: str, system: str) -> bytes:
    """The items as the content of a file; ``ending`` is ``.csv`` or ``.xlsx``.

    Raises WrongUse for another ending.
    """
    if ending == ".csv":
        return items_csv(_published(items))
    if ending == ".xlsx":
        told = [
            *about_file(assessment),
            ("Items in this list", f"{len(items)} of {len(assessment.attention)}"),
            ("Units", system),
        ]
        return items_xlsx(items_in_words(items, system), items, system, told)
    named = ending or "a file without an ending"
    raise WrongUse(f"The list is written as .csv or .xlsx, not as {named}.")
