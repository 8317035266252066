"""Rows behind measures and findings, as codes until somebody looks."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Any

import numpy as np
import pandas as pd

from core import records
from core.assessment.measuring import Measured, Steel
from core.assessment.snapshot import Snapshot
from core.criteria.findings import Findings
from core.records import JUDGED_EVENTS
from core.records.current_rows import CurrentRows, joined_codes
from core.selection import grout_placements, readings_without_run, schedule_in_force
from core.subjects.registry import FINDING_KINDS
from core.subjects.tables import Links, Table
from core.subjects.torque.events import texts_to_read
from core.subjects.torque.tables import Torque

Array = np.ndarray[Any, Any]
NEVER = np.iinfo(np.int64).min
PLACE = ["entry_no", "sheet", "row_no"]
ROW = ["record", *PLACE]


@dataclass(frozen=True, eq=False)
class Subjects:
    """Distinct piles, instruments or other subjects of one kind; a code is a place in ``texts``."""

    kind: str
    texts: Sequence[str]

    @cached_property
    def _place(self) -> dict[str, int]:
        return {text: place for place, text in enumerate(self.texts)}

    def codes(self, texts: Iterable[Any]) -> Array:
        """The code of each of ``texts``, -1 where it is none of these subjects."""
        place = self._place
        return np.array([place.get(text, -1) for text in texts], dtype=np.int64)


@dataclass(frozen=True, eq=False)
class SourceRows:
    """Rows of one record kind: of which subject each is evidence, and where each was read.

    ``subject`` and ``sheet`` are places in ``subjects`` and ``sheets``; -1 is none.
    """

    record: str
    subject: Array
    subjects: Sequence[str]
    entry_no: Array
    row_no: Array
    sheet: Array
    sheets: Sequence[str]

    @staticmethod
    def of_frame(record: str, rows: pd.DataFrame, subject: str = "pile_id") -> SourceRows:
        """Of rows with entry_no, sheet and row_no; ``subject`` names the column of subjects."""
        codes, subjects = pd.factorize(rows[subject])
        sheet, sheets = pd.factorize(rows["sheet"])
        entry_no, row_no = (
            rows[name].to_numpy(dtype=np.int64, na_value=-1) for name in ("entry_no", "row_no")
        )
        return SourceRows(record, codes, list(subjects), entry_no, row_no, sheet, list(sheets))

    @staticmethod
    def of_rows(record: str, rows: CurrentRows, subject: str) -> SourceRows:
        """Of rows as the ledger has them."""
        return SourceRows(
            record,
            rows.codes(subject),
            rows.texts(subject),
            _recorded(rows.values("entry_no")),
            _recorded(rows.values("row_no")),
            rows.codes("sheet"),
            rows.texts("sheet"),
        )

    @staticmethod
    def of_links(links: Links, table: Table, subject: str) -> SourceRows:
        """Of the rows behind the rows of ``table``."""
        rows, at = links.rows, links.at
        return SourceRows(
            links.record,
            table.rows.codes(subject)[links.owner],
            table.rows.texts(subject),
            _recorded(rows.values("entry_no"))[at],
            _recorded(rows.values("row_no"))[at],
            rows.codes("sheet")[at],
            rows.texts("sheet"),
        )

    def __len__(self) -> int:
        return len(self.subject)

    def take(self, at: Array, record: str = "") -> SourceRows:
        """The rows at ``at``; of another ``record`` kind where one is given."""
        return SourceRows(
            record or self.record,
            self.subject[at],
            self.subjects,
            self.entry_no[at],
            self.row_no[at],
            self.sheet[at],
            self.sheets,
        )

    def among(self, subjects: Subjects) -> Array:
        """Per row the code of its subject in ``subjects``, -1 where it is none of them."""
        return np.append(subjects.codes(self.subjects), -1)[self.subject]


def _recorded(numbers: Array) -> Array:
    """Whole numbers with -1 in place of none."""
    return np.nan_to_num(numbers, nan=-1.0).astype(np.int64)


@dataclass(frozen=True, eq=False)
class Cited:
    """Rows that measures of one kind of subject rest on, made when needed.

    ``record``: their record kind; empty where they may be of several.
    """

    record: str
    measures: tuple[str, ...]
    make: Callable[[], list[SourceRows]]
    subject_kind: str = "pile"

    @cached_property
    def rows(self) -> list[SourceRows]:
        """The rows themselves."""
        return self.make()


def of_rows(
    record: str,
    measures: Sequence[str],
    make: Callable[[], CurrentRows],
    subject_kind: str = "pile",
    subject: str = "pile_id",
) -> Cited:
    """Rows as the ledger has them; ``subject`` names the column of subjects."""
    return Cited(
        record, tuple(measures), lambda: [SourceRows.of_rows(record, make(), subject)], subject_kind
    )


def of_sources(
    measures: Sequence[str], make: Callable[[], list[SourceRows]], subject_kind: str = "pile"
) -> Cited:
    """Rows that are codes already, of whatever record kinds."""
    return Cited("", tuple(measures), make, subject_kind)


def of_table(
    table: Table, names: Iterable[str], subject_kind: str = "pile", subject: str = "pile_id"
) -> list[Cited]:
    """The evidence that a table declares for ``names``, which are what findings call it."""

    def rows(name: str) -> list[SourceRows]:
        return [SourceRows.of_links(links, table, subject) for links in table.evidence(name)]

    return [Cited("", (name,), partial(rows, name), subject_kind) for name in names]


class CitedRows:
    """The rows behind every measure; a measure without rows is one that nobody declares here.

    ``last_entries``: per record kind the newest entry that touched it; rows of a kind that was
    not touched since some entry need not be made to know that none of them is newer.
    """

    def __init__(self, parts: Iterable[Cited], last_entries: Mapping[str, int]) -> None:
        self._parts, self._last_entries = tuple(parts), last_entries
        self._of: dict[tuple[str, str], list[Cited]] = {}
        for part in self._parts:
            for measure in part.measures:
                self._of.setdefault((part.subject_kind, measure), []).append(part)

    def beside(self, more: Iterable[Cited]) -> CitedRows:
        """These rows and ``more``."""
        return CitedRows((*self._parts, *more), self._last_entries)

    def measures(self, subject_kind: str) -> list[str]:
        """Measures of a kind of subject that rest on rows."""
        return [measure for kind, measure in self._of if kind == subject_kind]

    def rows(self, subject_kind: str, measure: str) -> list[SourceRows]:
        """What a measure rests on; empty where nothing is declared."""
        parts = self._of.get((subject_kind, measure), ())
        return [rows for part in parts for rows in part.rows]

    def records_of(self, measure: str) -> frozenset[str]:
        """Record kinds of the rows that a measure rests on."""
        kinds = {kind for kind, name in self._of if name == measure}
        every = [rows for kind in kinds for rows in self.rows(kind, measure)]
        return frozenset(rows.record for rows in every if len(rows))

    def newest(
        self, measure: str, subjects: Subjects, worth: Array | None = None, since: int = 0
    ) -> Array:
        """Per subject the number of the newest entry that a measure rests on; `NEVER` for none.

        With ``worth``, a whole number by entry number: the maximum worth of those entries.
        Entries up to ``since`` need not be found.
        """
        found = np.full(len(subjects.texts), NEVER)
        for part in self._of.get((subjects.kind, measure), ()):
            if part.record and self._last_entries.get(part.record, 0) <= since:
                continue
            for rows in part.rows:
                at, values = rows.among(subjects), rows.entry_no
                kept = (at >= 0) & (values >= 0)
                values = values[kept] if worth is None else worth[values[kept]]
                np.maximum.at(found, at[kept], values)
        return found

    def frame(self, found: Findings, places: Array) -> pd.DataFrame:
        """One row per finding at ``places`` and ledger row: finding (its place), subject, kind,
        record, entry_no, sheet and row_no.
        """
        records, sheets = _Texts(), _Texts()
        parts = [np.empty((5, 0), dtype=np.int64)]
        for measure, at, subjects, own in by_measure(found, places):
            every = self.rows(subjects.kind, measure)
            rows = [_coded(one, subjects, records, sheets) for one in every]
            if rows:
                parts.append(_joined(at, own, np.concatenate(rows, axis=1)))
        finding, record, entry_no, sheet, row_no = np.concatenate(parts, axis=1)
        order = np.argsort(finding, kind="stable")
        shown = found.take(finding[order])
        return pd.DataFrame(
            {
                "finding": finding[order],
                "subject": pd.Series(shown.text("subject"), dtype=object),
                "kind": pd.Series(shown.text("kind"), dtype=object),
                "record": records.column(record[order]),
                "entry_no": _whole(entry_no[order]),
                "sheet": sheets.column(sheet[order]),
                "row_no": _whole(row_no[order]),
            }
        )


def by_measure(found: Findings, places: Array) -> Iterator[tuple[str, Array, Subjects, Array]]:
    """Per measure and kind of subject of the findings at ``places``: the places of its findings,
    and their subjects as codes.
    """
    kind, measure = (found.codes(name)[places] for name in ("subject_kind", "measure"))
    kinds, measures, subjects = (
        found.texts(name) for name in ("subject_kind", "measure", "subject")
    )
    group = measure.astype(np.int64) * len(kinds) + kind
    for one in np.unique(group).tolist():
        at = places[group == one]
        distinct, own = np.unique(found.codes("subject")[at], return_inverse=True)
        about = Subjects(kinds[one % len(kinds)], [subjects[code] for code in distinct.tolist()])
        yield measures[one // len(kinds)], at, about, own


class _Texts:
    """Texts met one after the other, each with a code of its own."""

    def __init__(self) -> None:
        self._place: dict[str, int] = {}

    def codes(self, texts: Iterable[str]) -> Array:
        """The code of each of ``texts``, and -1 behind the last."""
        place = self._place
        return np.array([*(place.setdefault(text, len(place)) for text in texts), -1])

    def column(self, codes: Array) -> pd.api.extensions.ExtensionArray:
        """The texts of ``codes``, missing where the code is -1."""
        return pd.array([*self._place, None], dtype="str").take(codes)


def _coded(rows: SourceRows, subjects: Subjects, records: _Texts, sheets: _Texts) -> Array:
    """The rows about ``subjects``: codes of subject and record, entry, code of sheet, row."""
    at = rows.among(subjects)
    kept = np.flatnonzero(at >= 0)
    record = np.full(len(kept), records.codes([rows.record])[0])
    sheet = sheets.codes(rows.sheets)[rows.sheet[kept]]
    return np.stack([at[kept], record, rows.entry_no[kept], sheet, rows.row_no[kept]])


def _joined(at: Array, own: Array, rows: Array) -> Array:
    """``rows`` for each finding; it is at the place ``at`` and its subject has the code ``own``."""
    distinct = ~pd.Series(joined_codes(list(rows + 1))).duplicated().to_numpy()
    rows = rows[:, distinct]
    rows = rows[:, np.argsort(rows[0], kind="stable")]
    begins, ends = (np.searchsorted(rows[0], own, side=side) for side in ("left", "right"))
    number = ends - begins
    within = np.arange(number.sum()) - np.repeat(number.cumsum() - number, number)
    found = rows[:, np.repeat(begins, number) + within]
    found[0] = np.repeat(at, number)
    return found


def _whole(values: Array) -> pd.arrays.IntegerArray:
    return pd.arrays.IntegerArray(values, values < 0)


def entry_rank(days: pd.Series, until: pd.Timestamp) -> Array:
    """By entry number its day in µs as a whole number, `NEVER` for one after ``until``.

    ``days``: local day of each entry, by entry number.
    """
    numbers = days.index.to_numpy(dtype=np.int64)
    worth = np.full(int(numbers.max(initial=0)) + 1, NEVER)
    moments = days.to_numpy(dtype="datetime64[us]")
    worth[numbers] = np.where(moments <= until, moments.astype(np.int64), NEVER)
    return worth


# What findings of grout rest on, as the tables of the subject declare it.
OF_GROUT = (
    "net_grout_l", "min_lift_ratio", "lift_gap_mm", "level_drop_mm", "batches", "batch_age_h",
    "sample_groups", "grout_strength_mpa", "turned_h", "fresh_h",
)  # fmt: skip
# Record kinds of which a finding that names one cites the rows about its pile; of the others a
# function of this package says which rows.
_CITED_WHOLE = {kind.name for kind in records.KINDS if "pile_id" in kind.names} - {"survey"}
OF_SURVEY = ("survey", "survey_review", "covered", "plan_offset_mm", "axis_angle_deg",
             "head_level_difference_mm")  # fmt: skip


def rows_of_measures(numbers: Measured, known: Snapshot) -> CitedRows:
    """The rows behind every measure, each made when a finding rests on it."""
    whole = sorted({kind.measure for kind in FINDING_KINDS} & _CITED_WHOLE)
    parts = [
        *_rows_of_torque(numbers.tables.torque),
        *_rows_of_piles(numbers, known),
        *_rows_without_parent(known),
        *_rows_of_grout(numbers, known),
        *_rows_of_steel(numbers.steel),
        *of_table(numbers.tables.survey, OF_SURVEY),
        *(of_rows(kind, [kind], partial(known.rows_until, kind)) for kind in whole),
    ]
    return CitedRows(parts, {kind: entry for kind, (entry, _) in known.last_entries.items()})


def _rows_of_grout(numbers: Measured, known: Snapshot) -> list[Cited]:
    def without_run() -> CurrentRows:
        placements = known.chosen(grout_placements)
        return placements.where(~placements.has("run_order"))

    return [
        *of_table(numbers.tables.grout, OF_GROUT),
        of_rows("grout_placement", ["lost_grout"], without_run),
    ]


def rows_of_sign_offs(known: Snapshot) -> Cited:
    """Every sign-off, as of a measure of its pile."""
    return of_rows("sign_off", ["sign_off"], lambda: known.rows("sign_off"), subject="subject")


def added_since(found: Findings, cited_rows: CitedRows, signed: Mapping[str, int]) -> set[str]:
    """Piles of which a finding rests on a row newer than their entry in ``signed``, by pile."""
    if not signed:
        return set()
    entries = np.array(list(signed.values()), dtype=np.int64)
    subjects, first = Subjects("pile", list(signed)), int(entries.min())
    own = subjects.codes(found.texts("pile_id"))  # per code of a pile
    pile = np.append(own, -1)[found.codes("pile_id")]
    measure, measures = found.codes("measure"), found.texts("measure")
    newer = np.zeros(len(entries), dtype=bool)
    for one in np.unique(measure[pile >= 0]).tolist():
        at = pile[(pile >= 0) & (measure == one)]
        newest = cited_rows.newest(measures[one], subjects, since=first)
        newer[at] |= newest[at] > entries[at]
    return {subjects.texts[place] for place in np.flatnonzero(newer).tolist()}


def _rows_of_steel(steel: Steel) -> list[Cited]:
    """Of piles: strings, deliveries and certificates; of stamps: deliveries and places."""
    of_piles = ("string", "length_difference_mm", "steel", "quarantine")
    return [
        *of_table(steel.piles, of_piles),
        *of_table(steel.parents, ["remnant"], "lot", "stamp"),
        *of_table(steel.tables.lots, ["lot"], "lot", "stamp"),
    ]


def _rows_of_torque(torque: Torque) -> list[Cited]:
    """Logs and headers, certificates and what was written; also of instruments."""
    names = ["final_torque_nm", "max_torque_nm", "readings_out_of_force", "disturbed_toe_mm",
             "stop_from_mm"]  # fmt: skip
    names += [event.column for event in JUDGED_EVENTS]

    def to_read(beside: bool) -> CurrentRows:
        texts = texts_to_read(torque.recorded_texts)
        return texts.where(texts.has("depth_mm") == beside)

    return [
        *of_table(torque.pile, names),
        *of_table(torque.read_instruments, ["readings_out_of_force", "pressure_kind"],
                  "instrument", "instrument_id"),
        of_rows("torque_reading", ["event_text"], lambda: to_read(beside=True)),
        of_rows("run", ["event_text"], lambda: to_read(beside=False)),
    ]  # fmt: skip


def _rows_of_piles(numbers: Measured, known: Snapshot) -> list[Cited]:
    """Runs and the schedule; subjects of one number differ by their kind."""
    tables = numbers.tables
    of_lengths = ["toe_mm", "stop_reason", "embedment_mm", "open_run", "schedule"]
    return [
        *of_table(tables.lengths, of_lengths),
        *of_table(tables.loads, ["required_torque_nm", "torque_factor_per_m"]),
        of_rows("torque_reading", ["lost"], lambda: known.chosen(readings_without_run)),
        of_rows("schedule", ["schedule"], lambda: known.chosen(schedule_in_force), "position",
                "position_id"),
    ]  # fmt: skip


def _rows_without_parent(known: Snapshot) -> list[Cited]:
    """Rows about a pile or a sample group that is on no record."""

    def rows(record: str, of_pile: bool) -> list[SourceRows]:
        lost = known.rows_without_parent
        own = lost["record"].eq(record) & lost["refers_by"].eq("pile_id").eq(of_pile)
        return [SourceRows.of_frame(record, lost[own], "number")]

    kinds = sorted(kind.name for kind in records.KINDS if kind.refers_to)
    return [
        of_sources(["unknown"], partial(rows, kind, of_pile), subject_kind)
        for kind in kinds
        for of_pile, subject_kind in ((True, "pile"), (False, "sample group"))
    ]
