"""The record kind of remembered layouts: how the files of one sender are laid out."""

from __future__ import annotations

from core.records.kinds import Column, Kind

MAPPING = Kind(
    "mapping",
    "mapping",
    "one layout of one sender's sheets",
    ("sender", "mapping_name"),
    (
        Column("sender", "text", "Who sends the files: a crew, a surveyor.", required=True),
        Column("mapping_name", "text", "Name of the layout.", required=True),
        Column("reading", "text", "How the sheet is read, as JSON.", required=True),
    ),
    from_files=False,
    order=260,
)
