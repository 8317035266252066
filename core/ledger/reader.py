"""What the ledger answers: entries, current rows of a kind, settings, sources, its head."""

from __future__ import annotations

from datetime import datetime

import duckdb
import numpy as np
import pandas as pd
import pyarrow as pa

from core import records
from core.errors import WrongUse
from core.ledger import database
from core.ledger.chain import FIRST
from core.ledger.database import Macros, frame
from core.records import Kind
from core.records.current_rows import Array, CurrentRows, joined_codes


def last_of_keys(rows: CurrentRows, kind: Kind) -> CurrentRows:
    """Of ``rows``, all that active entries wrote, the last of each key unless it removes the key.

    Answers as the macro of the kind does. Ranking rows in the engine takes three quarters of the
    time of reading a kind, for keys that nearly always have one row.
    """
    removed = rows.values("removed")
    kept = np.ones(len(rows), dtype=bool)
    key = joined_codes([_codes(rows, kind, name) for name in kind.key])
    if not pd.Index(key).is_unique:
        order = np.lexsort((rows.values("row_no"), rows.values("entry_no"), key))
        kept[order[:-1]] = key[order[1:]] != key[order[:-1]]
    rows = rows.only([name for name in rows.names if name != "removed"])
    return rows if kept.all() and not removed.any() else rows.where(kept & ~removed)


def _codes(rows: CurrentRows, kind: Kind, name: str) -> Array:
    form = kind.column(name).form
    codes: Array = rows.codes(name) if form == "text" else pd.factorize(rows.values(name))[0]
    return codes


class Reader:
    """Answers while its lease lasts; made by ``Ledger.read``."""

    def __init__(self, con: duckdb.DuckDBPyConnection, macros: Macros) -> None:
        self._con = con
        self._macros = macros
        self._active_entries: dict[int, list[int]] = {}

    @property
    def connection(self) -> duckdb.DuckDBPyConnection:
        """The connection itself, for the rest of this room."""
        return self._con

    def current_frame(self, kind: str, as_of: int) -> pd.DataFrame:
        """Standing records of one kind, typed, plus entry_no and row_no; ordered by key."""
        if kind not in records.KIND:
            raise unknown_kind(kind)
        return self._frame(database.for_kind("current_rows", records.KIND[kind]), as_of=as_of)

    def current(self, kind: str, as_of: int) -> CurrentRows:
        """Current rows of one kind, in the order in which they were written.

        Live entries are found once; the last row of each key is chosen here, on integer codes.
        """
        if kind not in records.KIND:
            raise unknown_kind(kind)
        sql = self._ready(database.for_kind("active_rows", records.KIND[kind]))
        entries = self._active(as_of)
        table = self._con.sql(sql, params={"entries": entries}).to_arrow_table()
        return last_of_keys(CurrentRows.of_table(table), records.KIND[kind])

    def _active(self, as_of: int) -> list[int]:
        """Numbers of the entries that are live as of an entry."""
        if as_of not in self._active_entries:
            found = [int(number) for (number,) in self._rows("active_entries", as_of=as_of)]
            if as_of > self.last_entry():
                return found  # more may still be written up to then
            self._active_entries[as_of] = found
        return self._active_entries[as_of]

    def ask(self, question: str, **values: object) -> pd.DataFrame:
        """The answer to a named question of ``sql/``; values are bound by name."""
        return self._frame(database.question(question), **values)

    def entries(self, as_of: int | None = None) -> pd.DataFrame:
        """Every entry up to ``as_of`` (default: all), with ``live`` as of then."""
        return self.ask("entries", as_of=self.last_entry() if as_of is None else as_of)

    def last_entry(self) -> int:
        """Number of the last entry, 0 when there is none."""
        return self._last()[0]

    def head(self) -> str:
        """Hash of the last entry, empty when there is none."""
        return self._last()[1]

    def last_entered_at(self) -> datetime:
        """When the last entry was entered (UTC), the beginning of time when there is none."""
        return self._last()[2]

    def last_entries(self, as_of: int) -> dict[str, tuple[int, str]]:
        """Newest entry that added to each record kind or withdrew from it, with its hash.

        While the hash is the same, so are the rows of the kind; a kind without one has none.
        """
        rows = self._rows("last_entries", as_of=as_of)
        return {str(kind): (int(entry_no), str(digest)) for kind, entry_no, digest in rows}

    def entry_at(self, moment_utc: datetime) -> int:
        """The last entry entered at or before an instant (UTC, naive), 0 when none was."""
        if moment_utc.tzinfo is not None:
            raise WrongUse(f"{moment_utc} has a time zone; give UTC without one.")
        return int(self._rows("entry_at", moment=moment_utc)[0][0])

    def settings_text(self, as_of: int) -> str | None:
        """project.toml as recorded as of an entry, None before it was first recorded."""
        rows = self._rows("settings_text", as_of=as_of)
        return str(rows[0][0]) if rows else None

    def settings_texts(self, as_of: int) -> dict[int, str]:
        """Every project.toml recorded up to an entry, by the entry that recorded it."""
        return {int(entry): str(text) for entry, text in self._rows("settings_texts", as_of=as_of)}

    def last_written(self, as_of: int) -> pd.DataFrame:
        """Record kind, subject and the last entry that wrote or withdrew rows about the subject.

        One row per pile or position and record kind that is keyed by it.
        """
        parts = []
        for kind in records.KINDS:
            name = next((name for name in ("pile_id", "position_id") if name in kind.key), None)
            if name is not None:
                sql = database.for_kind("last_written", kind, subject=name)
                parts.append(self._frame(sql, as_of=as_of))
        return pd.concat(parts, ignore_index=True)

    def schedule_in_force_then(self, asked: pd.DataFrame) -> pd.DataFrame:
        """The schedule row in force for each of ``asked`` (position_id, as_of, on_day).

        One row per position that was live then, under its label in ``asked``.
        """
        table = {
            "place": pa.array(range(len(asked)), pa.int64()),
            "position_id": pa.array(asked["position_id"], pa.string()),
            "as_of": pa.array(asked["as_of"].astype("int64"), pa.int64()),
            "on_day": pa.array(asked["on_day"].astype("datetime64[us]"), pa.timestamp("us")),
        }
        self._con.register("asked", pa.table(table))
        try:
            found = self.ask("schedule_in_force_then")
        finally:
            self._con.unregister("asked")
        return found.set_axis(asked.index.take(found.pop("place").to_numpy(dtype=int)))

    def entry_changes(self, entry_no: int) -> pd.DataFrame:
        """What an entry changed against what stood before it, kind after kind.

        Raises WrongUse when there is no such entry.
        """
        if not 1 <= entry_no <= self.last_entry():
            raise WrongUse(f"There is no entry {entry_no}; the last one is {self.last_entry()}.")
        touched = self._rows("kinds_touched", entry_no=entry_no)
        kinds = {str(kind) for (kind,) in touched}
        asked = [kind for kind in records.KINDS if kind.name in kinds] or [records.KINDS[0]]
        parts = [
            self._frame(database.for_kind("entry_changes", kind), entry_no=entry_no)
            for kind in asked
        ]
        return pd.concat(parts, ignore_index=True)

    def entries_about(self, pile_id: str, position_id: str, as_of: int) -> pd.DataFrame:
        """What each entry holds about one pile or its position: entry_no, kind, rows, removed."""
        asked = {"pile_id": pile_id, "subject": pile_id, "position_id": position_id}
        parts = []
        for kind in records.KINDS:
            name = next((name for name in asked if name in kind.key), None)
            if name is not None:
                sql = database.for_kind("rows_about", kind, subject=name)
                parts.append(self._frame(sql, subject=asked[name], as_of=as_of))
        return pd.concat(parts, ignore_index=True)

    def sources(self, rows: pd.DataFrame) -> pd.DataFrame:
        """``rows`` (record, entry_no, sheet, row_no) with the file and row each came from.

        A row that the ledger does not hold keeps both and its sheet missing.
        """
        asked = rows.reset_index(drop=True)
        found = [self._places(str(kind), part) for kind, part in asked.groupby("record")]
        places = pd.concat(found) if found else pd.DataFrame(columns=["file"], dtype="str")
        placed = asked.join(places["file"])
        known = placed["file"].notna()
        placed["sheet"] = asked["sheet"].where(known)
        placed["row"] = asked["row_no"].astype("Int64").where(known)
        return placed.set_axis(rows.index, axis=0)

    def _places(self, kind: str, part: pd.DataFrame) -> pd.DataFrame:
        asked = {
            "place": pa.array(part.index, pa.int64()),
            "entry_no": pa.array(part["entry_no"].astype("int64"), pa.int64()),
            "row_no": pa.array(part["row_no"].astype("int64"), pa.int64()),
            "sheet": pa.array(part["sheet"], pa.string()),
        }
        self._con.register("asked", pa.table(asked))
        try:
            found = self._frame(database.for_kind("places", records.KIND[kind]))
        finally:
            self._con.unregister("asked")
        return found.set_index(found.pop("place").astype("int64"))

    def _last(self) -> tuple[int, str, datetime]:
        rows = self._rows("last_entry")
        return rows[0] if rows else (0, FIRST, datetime.min)

    def _rows(self, question: str, **values: object) -> list[tuple]:  # type: ignore[type-arg]
        sql = self._ready(database.block(question))
        return self._con.execute(sql, values or None).fetchall()

    def _frame(self, sql: str, **values: object) -> pd.DataFrame:
        return frame(self._con, self._ready(sql), values)

    def _ready(self, sql: str) -> str:
        self._macros.make_for(sql)
        return sql


def unknown_kind(name: str) -> WrongUse:
    """What to tell somebody who names a record kind that there is not."""
    return WrongUse(f"There is no record kind {name!r}; there are: {', '.join(records.KIND)}.")
