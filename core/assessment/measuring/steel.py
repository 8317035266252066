"""Strings and the trace of every piece of steel placed up to the day of assessment."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from core.assessment.snapshot import Snapshot
from core.records import KIND
from core.records.current_rows import Array, CurrentRows
from core.selection import components_placed, ordered_runs, quarantines
from core.subjects.steel import frames, measures, quality
from core.subjects.steel.components import Parent
from core.subjects.steel.pieces import PiecePlaced, Qualities
from core.subjects.steel.selection import Records
from core.subjects.tables import of_pile


class Steel:
    """The steel of ``piles`` as tables, and as frames that are made when somebody looks.

    ``run``: runs up to the day of assessment, in the order of the work.
    """

    def __init__(self, snapshot: Snapshot, piles: CurrentRows) -> None:
        self.tables = measures.Steel(records(snapshot), QUALITIES)
        self.run = runs_until(snapshot)
        self.piles = self.tables.piles(piles.only(["pile_id"]), self.run)

    @cached_property
    def parents(self) -> Parent:
        """Stamps that others are cut from."""
        return self.tables.parents(self.run)

    @cached_property
    def strings(self) -> pd.DataFrame:
        """One row per component placed."""
        return frames.strings(self.tables)

    @cached_property
    def chain(self) -> pd.DataFrame:
        """One row per piece of steel placed."""
        return frames.chain(self.tables, self.strings)

    @cached_property
    def delivered(self) -> pd.DataFrame:
        """One row per component delivered."""
        return frames.delivered(self.tables.components.delivered)

    @cached_property
    def register(self) -> pd.DataFrame:
        """One row per piece of steel delivered."""
        return frames.register(self.tables)

    @cached_property
    def again(self) -> pd.DataFrame:
        """Places whose stamp is in another place, too."""
        return frames.placed_again(self.tables)

    @cached_property
    def lots(self) -> pd.DataFrame:
        """One row per stamp of a lot."""
        return frames.with_stamp(self.tables.lots, "stamp")

    @cached_property
    def cut(self) -> pd.DataFrame:
        """One row per stamp that others are cut from."""
        return frames.with_stamp(self.parents, "cut_from")

    @cached_property
    def pieces(self) -> pd.DataFrame:
        """Pieces recorded, with their mill where one alone is known."""
        mills = self.tables.mills
        return frames.with_mills(self.tables.records.piece, mills.of_piece, mills)

    @cached_property
    def heats(self) -> pd.DataFrame:
        """Heats on certificates, with their mill where one alone is known."""
        mills = self.tables.mills
        return frames.with_mills(self.tables.records.heat_on_certificate, mills.of_line, mills)


def records(snapshot: Snapshot) -> Records:
    """The rows of ``snapshot`` on which the steel rests."""
    placed = snapshot.chosen(components_placed)
    until = ~(placed.values("run_on") > np.datetime64(snapshot.on, "us"))
    kinds = ("component", "delivery", "lot", "piece", "certificate", "heat_on_certificate")
    return Records(
        component_placed=placed if until.all() else placed.where(until),
        **{kind: snapshot.rows(kind) for kind in kinds},
        quarantine=snapshot.chosen(quarantines),
        component_kinds=snapshot.project.component_kinds,
        steel_grades=snapshot.project.steel_grades,
    )


def runs_until(snapshot: Snapshot) -> CurrentRows:
    """Runs up to the day of assessment, in the order of the work."""
    runs = snapshot.chosen(ordered_runs)
    return runs.where(runs.values("run_on") <= np.datetime64(snapshot.on, "us"))


class PieceColumns:
    """The columns of pieces placed as judging reads them: of all of them, or of ``rows``."""

    def __init__(self, pieces: PiecePlaced, rows: Array | None = None) -> None:
        self._pieces, self._rows = pieces, slice(None) if rows is None else rows
        self._length = len(pieces) if rows is None else len(rows)

    def __len__(self) -> int:
        return self._length

    def numbers(self, name: str) -> Array:
        """A column as numbers, NaN where unknown."""
        return self._pieces.number(name)[self._rows]

    def text(self, name: str) -> Array:
        """A column as texts, "" where there is none."""
        return self._pieces.text(name).array()[self._rows]

    def day(self, name: str) -> Array:
        """A column as days, NaT where unknown."""
        return self._pieces.day(name)[self._rows]

    def is_true(self, name: str) -> Array:
        """Whether each piece is known to be so."""
        return self._pieces.flag(name)[self._rows]


QUALITIES = Qualities(
    lambda piece: quality.marks(PieceColumns(piece)),
    lambda piece, name, rows: quality.words(PieceColumns(piece, rows), name),
)


def of_one(snapshot: Snapshot, pile_id: str) -> measures.Pile:
    """The steel of one pile from its rows alone, with the trace of its numbers."""
    every = records(snapshot)
    placed = of_pile(every.component_placed, pile_id)
    own = replace(
        every,
        component_placed=placed,
        component=_with_stamps(every.component, placed),
        piece=CurrentRows.none(KIND["piece"]),  # no length rests on a piece
    )
    tables = measures.Steel(own, _NOT_JUDGED, traced=True)
    piles = CurrentRows({}, 1).with_text("pile_id", np.array([0]), [pile_id])
    return tables.piles(piles, of_pile(runs_until(snapshot), pile_id))


def _with_stamps(component: CurrentRows, placed: CurrentRows) -> CurrentRows:
    """Components of the stamps that are placed."""
    stamps = pa.array(placed.used("stamp"), pa.string())
    own = pc.is_in(component.distinct("stamp"), value_set=stamps).to_numpy(zero_copy_only=False)
    return component.where(np.append(own, False)[component.codes("stamp")])


def _nothing(*_: Any) -> Any:
    raise LookupError("nothing is judged in a worksheet")


_NOT_JUDGED = Qualities(_nothing, _nothing)
