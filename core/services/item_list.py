"""The list of outstanding items as it goes out: a part of it, as objects and as files."""

from __future__ import annotations

from typing import Any

import pandas as pd

from core import units
from core.assessment.assess import Assessment
from core.assessment.items import (
    SHARED,
    Wanted,
    areas_of,
    items_by_subject,
    overdue,
    owners_and_blocks,
    waits_for_engineer,
    wanted_items,
)
from core.errors import WrongUse
from core.reports.outstanding import against, blocked, items_csv, items_xlsx
from core.services.reporting import about


def wanted_of(assessment: Assessment, wanted: Wanted) -> pd.DataFrame:
    """The outstanding items of ``assessment`` that are asked for."""
    return wanted_items(assessment.attention, wanted, pd.Timestamp(assessment.on))


def items_object(items: pd.DataFrame) -> list[dict[str, Any]]:
    """Outstanding items as plain objects, in store units."""
    return [
        {
            **{name: _plain(row[name]) for name in ("kind", "subject", "blocks", "owner")},
            "clears": row["clears"],
            "due": _plain(row["due"]),
            "age_days": _plain(row["age_days"]),
            "area": _plain(row["area"]),
            "result": row["result"],
            "measured": _plain(row["measured"]),
            "sense": row["sense"],
            "limit": _plain(row["limit_value"]),
            "unit": units.unit_word(row["unit_column"]),
            "clause": row["clause"],
            "note": row["note"],
            "piles": list(row["piles"]),
        }
        for row in items.to_dict("records")
    ]


def _plain(value: Any) -> Any:
    if value is None or pd.isna(value):
        return None
    return value.date().isoformat() if isinstance(value, pd.Timestamp) else value


def items_file(assessment: Assessment, items: pd.DataFrame, ending: str, system: str) -> bytes:
    """The items as the content of a file; ``ending`` is ``.csv`` or ``.xlsx``.

    Raises WrongUse for another ending.
    """
    if ending == ".csv":
        return items_csv(items)
    if ending == ".xlsx":
        told = [
            *about(assessment),
            ("Items in this list", f"{len(items)} of {len(assessment.attention)}"),
            ("Units", system),
        ]
        return items_xlsx(items, system, told)
    raise WrongUse(f"The list is written as .csv or .xlsx, not as {ending or 'a file of no kind'}.")


__all__ = [
    "SHARED",
    "Wanted",
    "against",
    "areas_of",
    "blocked",
    "items_by_subject",
    "items_file",
    "items_object",
    "overdue",
    "owners_and_blocks",
    "waits_for_engineer",
    "wanted_of",
]
