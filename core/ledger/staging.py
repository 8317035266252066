"""A new frame against current rows: added, superseded, unchanged, corroborated, conflict."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import duckdb
import pandas as pd

from core import records
from core.errors import WrongUse
from core.ledger.database import Macros, filled, for_kind
from core.ledger.database import frame as answer
from core.ledger.frames import arrow, complete_rows, registered, source_name
from core.records import Kind, Reference

WRITTEN = ("added", "superseded", "corroborated")
_PENDING_FROM = 10**15  # rows staged and not yet appended speak after every entry


@dataclass(frozen=True)
class Staged:
    """One frame of one kind with what the ledger says to each row.

    ``frame`` is the frame that came with ``staged_as``, and ``lacks``: the kind that a row refers
    to in vain, else empty. ``conflicts`` has one row per value in conflict; ``missing_keys`` the
    keys that this file's earlier word holds and the frame does not.
    """

    kind: str
    frame: pd.DataFrame
    conflicts: pd.DataFrame
    missing_keys: pd.DataFrame
    replace: bool

    @cached_property
    def removals(self) -> pd.DataFrame:
        """Rows that remove the missing keys; empty unless the file replaces its earlier word."""
        kind = records.KIND[self.kind]
        gone = self.missing_keys if self.replace else self.missing_keys.iloc[:0]
        rows = records.typed(gone[[*kind.key, "sheet"]], kind.columns)
        return rows.assign(row_no=0, removed=True)

    @cached_property
    def writes(self) -> pd.DataFrame:
        """The rows to append when nothing stands against the frame."""
        kept = self.frame[self.frame["staged_as"].isin(WRITTEN)].assign(removed=False)
        kept = kept[[*records.KIND[self.kind].names, "sheet", "row_no", "removed"]]
        if not self.replace or self.missing_keys.empty:
            return kept.reset_index(drop=True)
        return pd.concat([kept, self.removals[kept.columns]], ignore_index=True)

    def count(self, status: str) -> int:
        """How many rows have ``staged_as``."""
        return int(self._counts.get(status, 0))

    @cached_property
    def _counts(self) -> dict[Any, int]:
        return self.frame["staged_as"].value_counts().to_dict()


class Staging:
    """Compares frames inside one transaction and remembers those that will be written."""

    def __init__(self, con: duckdb.DuckDBPyConnection, macros: Macros) -> None:
        self._con = con
        self._macros = macros
        self._kinds: set[str] = set()
        self._turn = _PENDING_FROM

    def stage(self, kind: Kind, rows: pd.DataFrame, file: str | None, as_of: int) -> _Comparison:
        """A comparison ready to be asked."""
        self._prepare(kind)
        whole = complete_rows(kind, rows)
        repeated = whole[whole.duplicated(list(kind.key), keep=False)]
        if len(repeated):
            where = ", ".join(str(row) for row in repeated["row_no"].head(2))
            raise WrongUse(
                f"Rows {where} of {file or 'the form'} have the same key ({kind.word}). Keep one."
            )
        if "saw_entry_no" not in whole:
            whole["saw_entry_no"] = pd.Series(pd.NA, index=whole.index, dtype="Int64")
        if "wins" not in whole:
            whole["wins"] = False
        return _Comparison(self._con, kind, whole, source_name(file), as_of)

    def references(self, kind: Kind) -> tuple[Reference, ...]:
        """What rows of ``kind`` mean nothing without, ready to be compared with."""
        for reference in kind.needs:
            self._prepare(reference.parent)
        return kind.needs

    def remember(self, staged: Staged, file: str | None) -> None:
        """Rows that will be written count for what the same command stages next."""
        kind = records.KIND[staged.kind]
        self._turn += 1
        if staged.writes.empty:
            return
        table = arrow(staged.writes, kind.columns, _ROW)
        with registered(self._con, "written", table):
            self._con.execute(
                for_kind("make_pending", kind),
                {"entry_no": self._turn, "file": source_name(file)},
            )

    def forget(self, kind: Kind, file: str | None) -> None:
        """Rows that are appended now no longer wait."""
        if kind.name in self._kinds:
            values = {"file": source_name(file)}
            self._con.execute(for_kind("drop_pending", kind), values)

    def _prepare(self, kind: Kind) -> None:
        if kind.name not in self._kinds:
            for name in ("pending", "version", "own_version"):
                sql = for_kind(name, kind)
                self._macros.make_for(sql)
                self._con.execute(sql)
            self._kinds.add(kind.name)


_ROW = {"sheet": "text", "row_no": "integer", "removed": "truth"}
_CONFLICT = {
    "sheet": "str",
    "row_no": "Int64",
    "column": "str",
    "value": "str",
    "current_value": "str",
    "current_entry_no": "Int64",
    "current_row_no": "Int64",
    "current_file": "str",
    "current_sheet": "str",
}
_PLACE = {"incoming_no": "integer", "sheet": "text", "saw_entry_no": "integer", "wins": "truth"}


@dataclass(frozen=True)
class _Comparison:
    """One frame of one source against the words on its keys."""

    con: duckdb.DuckDBPyConnection
    kind: Kind
    rows: pd.DataFrame
    file: str
    as_of: int

    def staged(self, replace: bool, references: Sequence[Reference]) -> Staged:
        """Every row with its status, the conflicts, and the keys that are missing."""
        with registered(self.con, "incoming", self._incoming(self.rows)):
            status = self._ask("staged", replace=replace)["status"]
            lacks = pd.Series("", index=status.index, dtype="str")
            for reference in references:
                lost = self._without(reference) & (status != "unchanged")
                lacks = lacks.mask(lost & lacks.eq(""), reference.parent.name)
            status = status.mask(lacks.ne(""), "missing reference")
            gone = self._ask("missing_keys") if self.file else self._nothing_missing()
        frame = self.rows.drop(columns=["saw_entry_no", "wins", "removed"])
        frame = frame.assign(staged_as=status, lacks=lacks)
        return Staged(self.kind.name, frame, self._conflicts(frame), gone, replace)

    def _ask(self, name: str, **values: object) -> pd.DataFrame:
        values = {"as_of": self.as_of, **values}
        if name in ("staged", "missing_keys"):
            values["file"] = self.file
        return answer(self.con, for_kind(name, self.kind), values)

    def _without(self, reference: Reference) -> pd.Series[bool]:
        parent = reference.parent
        pairs = [{"own": own, "column": column} for own, column in reference.columns.items()]
        each = {
            "shared column": pairs,
            "key of the parent": [{"column": key} for key in parent.key],
        }
        sql = filled("without_reference", {"parent": parent.name}, each)
        lost = answer(self.con, sql, {"as_of": self.as_of})["incoming_no"]
        return self.rows.index.to_series().isin(lost)

    def _nothing_missing(self) -> pd.DataFrame:
        """A form does not carry everything; what it leaves out is not missing."""
        keys = [self.kind.column(key) for key in self.kind.key]
        nothing = pd.DataFrame({"sheet": pd.Series(dtype="str")})
        numbers = {name: pd.Series(dtype="Int64") for name in ("entry_no", "row_no")}
        return records.typed(nothing.assign(**numbers), keys)

    def _conflicts(self, frame: pd.DataFrame) -> pd.DataFrame:
        rows = self.rows[frame["staged_as"] == "conflict"]
        if rows.empty:
            return self._no_conflicts()
        with registered(self.con, "incoming", self._incoming(rows)):
            met = self._ask("versions_met")
        met = records.typed(met, self.kind.columns).set_index(rows.index)
        parts = [_differing(rows, met, column) for column in self.kind.values]
        gone = rows.assign(column="", value="present", current_value="removed")
        parts.append(gone[met["removed"].astype("bool")])
        found = pd.concat(parts).sort_index(kind="stable")
        met.loc[met["entry_no"] > self.as_of, ["entry_no", "row_no"]] = pd.NA
        found = found.join(met[["entry_no", "row_no", "file", "sheet"]].add_prefix("current_"))
        return found[[*self.kind.key, *_CONFLICT]].reset_index(drop=True)

    def _no_conflicts(self) -> pd.DataFrame:
        keys = {key: self.kind.column(key).dtype for key in self.kind.key}
        return pd.DataFrame(
            {name: pd.Series(dtype=dtype) for name, dtype in {**keys, **_CONFLICT}.items()}
        )

    def _incoming(self, rows: pd.DataFrame) -> Any:
        return arrow(rows.assign(incoming_no=rows.index), self.kind.columns, _PLACE)


def _differing(rows: pd.DataFrame, met: pd.DataFrame, column: str) -> pd.DataFrame:
    """Rows whose value of one column is not the current one, both as text."""
    new, old = rows[column], met[column]
    same = (new == old).fillna(False).astype("bool") | (new.isna() & old.isna())
    differing = rows.assign(column=column, value=_text(new), current_value=_text(old))
    return differing[~same & ~met["removed"].astype("bool")]


def _text(values: pd.Series[Any]) -> pd.Series[Any]:
    shown = ["" if pd.isna(value) else str(value) for value in values]
    return pd.Series(shown, index=values.index, dtype="str")
