"""Small invented frames, and the few steps that most tests of the ledger begin with."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from datetime import date

import pandas as pd

from core.ledger import Ledger, NewEntry, Staged
from core.records.current_rows import CurrentRows

FIRST, SECOND, THIRD = (pd.Timestamp(2026, 3, day) for day in (1, 10, 20))


def runs(*rows: tuple, sheet: str = "") -> pd.DataFrame:
    """Runs from (pile, toe in mm); run 1 on one day."""
    found = pd.DataFrame(rows, columns=["pile_id", "toe_mm"])
    found = found.assign(run_no="1", run_on=pd.Timestamp("2026-03-02"), sheet=sheet)
    return found.assign(row_no=range(2, len(found) + 2))


def readings(*rows: tuple) -> pd.DataFrame:
    """Readings from (pile, depth in mm, torque read in N·m); run 1."""
    found = pd.DataFrame(rows, columns=["pile_id", "depth_mm", "torque_read_nm"])
    return found.assign(run_no="1", sheet="", row_no=range(2, len(found) + 2))


def schedule(revision: str, issued_on, *positions, status="for construction", **more):
    """Schedule rows of one revision, one per position."""
    found = pd.DataFrame({"position_id": positions})
    found = found.assign(revision=revision, issued_on=issued_on, status=status, **more)
    return found.assign(sheet="", row_no=range(2, len(found) + 2))


def take(ledger: Ledger, kind: str, frame: pd.DataFrame, file: str | None, **how) -> Staged:
    """Takes one frame in as one entry, whatever its conflicts; what was staged comes back."""
    with ledger.write() as writer:
        staged = writer.stage(kind, frame, file, **how)
        writer.append(NewEntry("Ann", "file" if file else "form", file), {kind: staged.writes})
    return staged


def statuses(staged: Staged) -> list[str]:
    """Status of each row in order."""
    return list(staged.frame["staged_as"])


def toes(ledger: Ledger, as_of: int) -> dict[str, int | None]:
    """Standing toe depth of each pile's run."""
    with ledger.read() as reader:
        rows = reader.current_frame("run", as_of)
    return {
        pile: None if pd.isna(toe) else int(toe)
        for pile, toe in zip(rows["pile_id"], rows["toe_mm"], strict=True)
    }


def selected(ledger: Ledger, selection: Callable[..., CurrentRows], as_of: int = 99, **on: date):
    """What ``selection`` chooses of the current rows of a ledger, as a frame."""
    kinds = [name for name in inspect.signature(selection).parameters if name not in on]
    with ledger.read() as reader:
        rows = {kind: reader.current(kind, as_of) for kind in kinds}
    return selection(**rows, **on).frame()
