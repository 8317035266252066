"""Digests and hashes that make a change outside the program visible.

An entry's hash covers the entry, the digest of its rows per record kind with the list of columns
hashed, its settings, its attachments, and the hash of the entry before it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime

import duckdb

from core.ledger.database import block, filled

FIRST = ""  # hash before the first entry
_MACROS = ("hashed_text", "hashed_integer", "hashed_number", "hashed_timestamp", "hashed_date")


@dataclass(frozen=True)
class Content:
    """What one entry holds of one record kind."""

    kind: str
    columns: str
    digest: str
    rows: int


@dataclass(frozen=True)
class Entry:
    """One act as the ledger keeps it, without its hash."""

    entry_no: int
    entered_at: datetime
    person: str
    act: str
    source: str | None
    sha256: str | None
    note: str
    withdraws: int | None
    mapping: str | None
    program_version: str
    previous_hash: str


def entry_hash(entry: Entry, contents: Sequence[Content], settings: str | None) -> str:
    """SHA-256 over the canonical JSON of everything the entry stands for."""
    whole = {
        **asdict(entry),
        "entered_at": entry.entered_at.isoformat(timespec="microseconds"),
        "contents": [asdict(one) for one in sorted(contents, key=lambda one: one.kind)],
        "settings": None if settings is None else text_digest(settings),
        "attachments": [entry.sha256] if entry.sha256 else [],
    }
    return text_digest(json.dumps(whole, sort_keys=True, separators=(",", ":"), ensure_ascii=False))


def text_digest(text: str) -> str:
    """SHA-256 of a text."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def columns_text(columns: Sequence[str]) -> str:
    """The list of hashed columns as ``entry_content`` keeps it."""
    return json.dumps(list(columns), separators=(",", ":"))


def make_macros(con: duckdb.DuckDBPyConnection) -> None:
    """Gives a connection the text forms that are hashed."""
    for name in _MACROS:
        con.execute(block(name))


def digests(
    con: duckdb.DuckDBPyConnection, kind: str, forms: Mapping[str, str], first: int, last: int
) -> dict[int, tuple[str, int]]:
    """Digest and row count of one kind per entry; ``forms`` are the hashed columns in order."""
    named = [{"column": column, "form": form} for column, form in forms.items()]
    sql = filled("digests", {"kind": kind}, {"column": named})
    rows = con.execute(sql, {"kind": kind, "first": first, "last": last}).fetchall()
    return {int(entry_no): (str(digest), int(count)) for entry_no, count, digest in rows}
