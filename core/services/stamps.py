"""Stamps of the register read by the project's patterns, or by one that is being tried."""

from __future__ import annotations

from pathlib import Path

import pandas as pd

from core.assessment.snapshot import current_rows
from core.errors import WrongUse
from core.ledger import Ledger
from core.records import pattern_fault
from core.settings import Project, load_project
from core.subjects.steel import frames
from core.subjects.steel.components import differing, read
from core.subjects.steel.selection import Noted


def stamps_on_register(folder: Path) -> pd.DataFrame:
    """One row per stamp, delivery and supplier, with the heats recorded of it. Raises StoreBusy."""
    with Ledger(folder).read() as reader:
        entry = reader.last_entry()
        components, notes = (
            current_rows(reader, kind, entry) for kind in ("component", "delivery")
        )
        pieces = current_rows(reader, "piece", entry).frame()
    key = ["stamp", "delivery_id"]
    known = pieces.dropna(subset=["heat"]).groupby(key)["heat"]
    heats = known.agg(lambda one: ", ".join(dict.fromkeys(one))).rename("heats").reset_index()
    frame = frames.delivered(Noted(components, notes))
    frame = frame[[*key, "component_kind", "supplier"]]
    joined = frame.merge(heats.astype({"heats": "str"}), on=key, how="left")
    return joined.assign(supplier=joined["supplier"].fillna(""))


def patterns(folder: Path) -> dict[str, str]:
    """The pattern of each supplier in project.toml. Raises ProjectError."""
    held = load_project(folder).tables.stamp_patterns
    return {row.supplier: row.pattern for row in held}


def read_stamps(stamps: pd.DataFrame, pattern: str) -> pd.DataFrame:
    """``stamps`` with ``reads``, a column per named group, and ``differs``.

    Those that differ stand first, then those not read.

    ``differs``: a group called heat says another heat than is recorded. Raises WrongUse for a
    pattern that cannot be read.
    """
    if fault := pattern_fault(pattern):
        raise WrongUse(
            f"The pattern cannot be read: {fault}. Groups are written (?P<heat>[0-9A-Z]+), those "
            "without a name (?:…); it cannot look ahead or back."
        )
    found = read(stamps["stamp"], pattern)
    frame = pd.concat([stamps, found], axis=1)
    said = frame["heat"] if "heat" in frame else pd.Series(None, index=frame.index, dtype="str")
    frame["differs"] = differing(said, frame["heats"])
    order = frame["reads"].astype(int) - 2 * frame["differs"].astype(int)
    return frame.loc[order.sort_values(kind="stable").index].reset_index(drop=True)


def stamp_parts(settings: Project, stamp: str, suppliers: list[str]) -> dict[str, str]:
    """What one stamp says by the patterns of its suppliers, by group; empty where none fits."""
    for row in settings.tables.stamp_patterns:
        if row.supplier in suppliers:
            found = read(pd.Series([stamp], dtype="str"), row.pattern).iloc[0]
            if found["reads"]:
                return {str(name): str(text) for name, text in found.drop("reads").dropna().items()}
    return {}


__all__ = ["patterns", "read_stamps", "stamp_parts", "stamps_on_register"]
