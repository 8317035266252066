"""Every entry of the ledger, what each changed, and how its file was read."""

from __future__ import annotations

import json
from collections.abc import Hashable
from pathlib import Path

import pandas as pd
import streamlit as st

from core import records, services
from core.services import NOT_WITHDRAWN as NOT_WITHDRAWN  # acts of entries that stay
from core.settings import load_project


def history(where: Path) -> pd.DataFrame:
    """Every entry, newest first, with ``when`` in the project's zone and whether it ``stands``."""
    return _history(str(where), services.probe(where))


@st.cache_resource(max_entries=4, show_spinner=False)
def _history(where: str, moved: Hashable) -> pd.DataFrame:
    frame = services.history(Path(where))
    by = frame.dropna(subset=["withdraws"]).set_index("withdraws")["entry_no"]
    taken_back = frame["entry_no"].map(by)
    stands = "withdrawn by entry " + taken_back.astype("Int64").astype(str)
    told = "withdraws entry " + frame["withdraws"].astype("Int64").astype(str) + ". "
    frame = frame.assign(
        when=local(Path(where), frame["entered_at"]),
        stands=stands.where(taken_back.notna(), "stands"),
        note=told.where(frame["withdraws"].notna(), "") + frame["note"].fillna(""),
        source=frame["source"].fillna(""),
        contents=frame["contents"].map(_in_words),
    )
    return frame.iloc[::-1].reset_index(drop=True)


def _in_words(contents: str) -> str:
    """``torque_reading 12`` as people say it: ``torque reading 12``."""
    parts = [part.rsplit(" ", 1) for part in contents.split(", ") if part]
    return ", ".join(f"{records.KIND[kind].word} {int(rows):,}" for kind, rows in parts)


def local(where: Path, moments: pd.Series) -> pd.Series:
    """Moments of the ledger as text in the project's zone."""
    zone = load_project(where).tables.project.timezone
    shifted = pd.to_datetime(moments).dt.tz_localize("UTC").dt.tz_convert(zone)
    return shifted.dt.strftime("%Y-%m-%d %H:%M")


def changes(where: Path, entry_no: int) -> pd.DataFrame:
    """What one entry changed, one row per key and column."""
    return _changes(str(where), entry_no, services.probe(where))


@st.cache_resource(max_entries=16, show_spinner="Comparing with what stood before …")
def _changes(where: str, entry_no: int, moved: Hashable) -> pd.DataFrame:
    return services.entry_changes(Path(where), entry_no)


def reading(mapping: str) -> pd.DataFrame:
    """How a file was read, from an entry's mapping: one row per sheet, kind and column."""
    rows = [
        (sheet, kind, column, held["header"], held["unit"])
        for sheet, parts in json.loads(mapping).get("sheets", {}).items()
        for kind, columns in parts.items()
        if isinstance(columns, dict)
        for column, held in columns.items()
    ]
    return pd.DataFrame(rows, columns=["sheet", "kind", "column", "header", "unit"])


def attachment(where: Path, sha256: str) -> bytes:
    """The file of an entry as it was taken in. Raises PilewrightError when it is gone."""
    return services.attachment(where, sha256)
