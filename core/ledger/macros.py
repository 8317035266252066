"""The live rule of every record kind as macros of a connection."""

from __future__ import annotations

import re
from functools import cache

import duckdb

from core import records
from core.ledger import queries

_CALLED = re.compile(r"\b([a-z_]+)\(")


class Macros:
    """Macros that a connection is given when a question first calls them.

    All of them together take longer to make than most questions take to answer.
    """

    def __init__(self, con: duckdb.DuckDBPyConnection) -> None:
        self._con = con
        self._made: set[str] = set()
        con.execute(queries.block("quiet"))

    def make_all(self) -> None:
        """Make every macro."""
        for name in _texts():
            self._make(name)

    def make_for(self, sql: str) -> None:
        """Make those that ``sql`` calls and that are not made yet."""
        for name in _called(sql):
            self._make(name)

    def _make(self, name: str) -> None:
        if name not in self._made:
            self._made.add(name)
            self.make_for(_texts()[name])  # a macro may call others
            self._con.execute(_texts()[name])


@cache
def _called(sql: str) -> frozenset[str]:
    return frozenset(_CALLED.findall(sql)) & _texts().keys()


@cache
def _texts() -> dict[str, str]:
    """The text of each macro by its name."""
    texts = {name: queries.block(name) for name in ("live_entry", "counting_order")}
    for kind in records.KINDS:
        texts[f"{kind.name}_last_word"] = queries.for_kind("last_word", kind)
        texts[kind.name] = queries.for_kind("standing", kind)
    return texts
