"""What stands against a row: another's word on its key, a key gone, a reference nobody knows."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd

from core import records
from core.errors import WrongUse
from core.ledger import Staged
from core.readers import Taken
from core.records import Kind, Reference
from core.services.importing.choice import CONFLICT_COLUMNS, MISSING_COLUMNS, Settled, joined


def with_settled(frame: pd.DataFrame, kind: str, file: str, settled: Settled) -> pd.DataFrame:
    """``frame`` with what the person saw where the file was chosen to win.

    A plain "file" wins over whatever stands.
    """
    chosen = {
        (sheet, row): (0 if entry_no is None else entry_no, isinstance(decision, str))
        for (of_kind, of_file, sheet, row), decision in settled.items()
        for who, entry_no in [_decision(decision)]
        if who == "file" and (of_kind, of_file) == (kind, file)
    }
    if not chosen:
        return frame
    places = zip(frame["sheet"], frame["row_no"], strict=True)
    said = [chosen.get(place, (None, False)) for place in places]
    saw = pd.array([entry_no for entry_no, _ in said], dtype="Int64")
    return frame.assign(saw_entry_no=saw, wins=[wins for _, wins in said])


def conflicts_of(staged: Staged, kind: str, file: str, entries: pd.DataFrame) -> pd.DataFrame:
    """One row per value that differs from another's standing word, and who said that."""
    found = staged.conflicts.assign(kind=kind, file=file, key=_key(staged.conflicts, kind))
    said = entries.set_index("entry_no")[["person", "entered_at"]]
    found = found.join(said, on="standing_entry_no")
    renamed = {"row_no": "row", "standing_row_no": "standing_row"}
    return found.rename(columns=renamed)[list(CONFLICT_COLUMNS)]


def unsettled(conflicts: pd.DataFrame, settled: Settled) -> pd.DataFrame:
    """Conflicts but those where the standing word was chosen, and is still the one seen."""
    chosen = {
        place: _decision(decision)
        for place, decision in settled.items()
        if _decision(decision)[0] == "standing"
    }
    open_ = [not _stays(row, chosen, settled) for row in conflicts.to_dict("records")]
    return conflicts[open_].reset_index(drop=True)


def contested(staged: Staged, kind: str, file: str, conflicts: pd.DataFrame) -> pd.DataFrame:
    """The rows of one file and kind that are still in conflict."""
    own = conflicts[conflicts["kind"].eq(kind) & conflicts["file"].eq(file)]
    places = set(zip(own["sheet"], own["row"], strict=True))
    here = zip(staged.frame["sheet"], staged.frame["row_no"], strict=True)
    return staged.frame[np.array([place in places for place in here], dtype="bool")]


def refers_to(frame: pd.DataFrame, rows: pd.DataFrame, reference: Reference) -> pd.Series[bool]:
    """Which rows of ``frame`` refer to one of ``rows``, which are of the reference's parent."""
    known = pd.MultiIndex.from_frame(rows[list(reference.columns.values())].astype("str"))
    own = pd.MultiIndex.from_frame(frame[list(reference.columns)].astype("str"))
    return pd.Series(own.isin(known), index=frame.index)


def _stays(
    row: Mapping[Any, Any], chosen: Mapping[Any, tuple[str, int | None]], settled: Settled
) -> bool:
    place = (row["kind"], row["file"], row["sheet"], row["row"])
    if place not in chosen:
        return False
    if isinstance(settled[place], str):
        return True
    seen, stands = chosen[place][1], row["standing_entry_no"]
    return pd.isna(stands) if seen is None else bool(pd.notna(stands) and stands == seen)


def _decision(decision: str | tuple[str, int | None]) -> tuple[str, int | None]:
    who, entry_no = (decision, None) if isinstance(decision, str) else decision
    if who not in ("file", "standing"):
        raise WrongUse(f"A conflict is settled for the file or for what is standing, not {who!r}.")
    return who, entry_no


def missing_keys_of(staged: Staged, kind: str, file: str) -> pd.DataFrame:
    """One row per key that the earlier version of the file holds and this one does not."""
    gone = staged.missing_keys
    return gone.assign(kind=kind, file=file, key=_key(gone, kind))[list(MISSING_COLUMNS)]


def _key(frame: pd.DataFrame, kind: str) -> pd.Series[Any]:
    parts = [frame[name].astype("str") for name in records.KIND[kind].key]
    return pd.concat(parts, axis=1).agg(" / ".join, axis=1) if len(frame) else parts[0]


def missing_references_of(staged: Staged, one: Taken) -> pd.DataFrame:
    """Rows of one file that refer to something the ledger does not hold, as problems."""
    described = records.KIND[staged.kind]
    parts = [records.no_problems()]
    for reference in described.needs:
        lost = staged.frame[staged.frame["lacks"].eq(reference.parent.name)]
        if len(lost):
            parts.append(_without_parent(lost, one, described, reference))
    return joined(parts)


def _without_parent(
    lost: pd.DataFrame, one: Taken, described: Kind, reference: Reference
) -> pd.DataFrame:
    own = list(reference.columns)
    parts = lost[own].astype("str").to_numpy(dtype=object)
    parent = reference.parent.word
    return pd.DataFrame(
        {
            "kind": "unknown reference",
            "file": one.file,
            "sheet": lost["sheet"],
            "row": lost["row_no"],
            "column": [one.heading(sheet, described.name, own[0]) for sheet in lost["sheet"]],
            "value": [" / ".join(part for part in row if part) for row in parts],
            "problem": f"A {described.word} needs its {parent}; none of this number is known.",
            "remedy": f"Import the file with the {parent} first or together with this one, or "
            "correct the number.",
        }
    )
