"""Findings about rows that refer to a pile or a sample group that is on no record."""

from __future__ import annotations

import pandas as pd

from core import records
from core.judge.findings import other_findings


def unknown_parent_findings(rows: pd.DataFrame) -> list[pd.DataFrame]:
    """One finding per pile or sample group that rows name and nothing else knows.

    ``rows``: record, refers_by, number, file, sheet and row_no of rows whose parent is unknown.
    """
    of_pile = _named(rows[rows["refers_by"].eq("pile_id")])
    of_group = _named(rows[rows["refers_by"].eq("sample_group_id")])
    return [
        other_findings(
            of_pile["number"], "record of an unknown pile", "no evidence", of_pile["note"],
            "unknown",
        ),
        other_findings(
            of_group["number"], "sample group without specimens", "no evidence", of_group["note"],
            "unknown", subject_kind="sample group",
        ),
    ]  # fmt: skip


def _named(rows: pd.DataFrame) -> pd.DataFrame:
    """One row per number, with the rows that name it in words: record, file, sheet and rows."""
    keys = ["number", "record", "file", "sheet"]
    texts = rows.assign(row=rows["row_no"].astype("str")).groupby(keys, sort=False)["row"]
    listed = texts.agg(", ".join).reset_index()
    word = listed["record"].map({name: kind.word for name, kind in records.KIND.items()})
    sheet = (" sheet " + listed["sheet"]).where(listed["sheet"].ne(""), "")
    listed["note"] = word + ": " + listed["file"] + sheet + " row " + listed["row"]
    return listed.groupby("number", sort=False)["note"].agg("; ".join).reset_index()
