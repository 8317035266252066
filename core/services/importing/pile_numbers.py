"""Pile numbers of files joined with those on record, before rows are compared.

The same number in another spelling is read as the one on record. A number on no schedule that may
be a slip is asked about; a person maps it or confirms it, and the file's entry keeps the answer.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field, replace

import numpy as np
import pandas as pd

from core import records
from core.errors import WrongUse
from core.ledger import Writer
from core.readers import ParsedFile, continuing, match_key, near_matches, renamed
from core.records.matching import counting_order
from core.services.importing.batch import ImportBatch
from core.services.importing.report import ImportReport, joined

# Which spelling counts where records differ, and which columns bring a number into being.
_RANK = {("schedule", "position_id"): 0, ("pile", "pile_id"): 1, ("run", "pile_id"): 2}
_OTHER = 3
_DECLARING = ("schedule", "position_id"), ("pile", "pile_id")
_KEPT_AS = "pile numbers"  # of the mapping that an entry keeps
_MOST_NOTICES = 20
_SAME = "letter case and spacing do not matter"
Place = tuple[str, int]  # sheet and row


def with_recorded_numbers(
    batch: ImportBatch, writer: Writer, answers: Mapping[str, str], report: ImportReport
) -> ImportBatch:
    """``batch`` with every pile number as it is on record.

    Rows with a number that has to be asked about are left out and reported, as problems and as
    ``questions``. Raises WrongUse for an answer that means no pile on record.
    """
    numbers = _Numbers.of(batch, writer)
    numbers.check_answers(answers)
    entries = writer.entries()
    tables = []
    for taken, content in batch.tables:
        given = {**_earlier_answers(entries, taken.file), **answers}
        tables.append((_Matching(taken, numbers, given, report).done(), content))
    return replace(batch, tables=tables)


def _places(taken: ParsedFile) -> Iterator[tuple[str, str]]:
    """Kind and column of every pile number in a file."""
    for kind in taken.frames:
        for column in records.KIND[kind].pile_numbers:
            yield kind, column


def _recorded(writer: Writer, as_of: int) -> Iterator[tuple[str, str, str]]:
    """Kind, column and number of every pile number on record, as people count.

    Columns that follow a run's repeat it and are left out.
    """
    for kind in records.KINDS:
        repeated = {column for reference in kind.needs for column in reference.columns}
        columns = [column for column in kind.pile_numbers if column not in repeated]
        if columns:
            rows = writer.current(kind.name, as_of)
            for column in columns:
                for number in sorted(rows.used(column), key=lambda one: (counting_order(one), one)):
                    yield kind.name, column, number


@dataclass(frozen=True)
class _Numbers:
    """Numbers on record and in the files, and what is known of each, by what spellings share.

    ``exact`` are numbers that the ledger's schedules and piles have; ``scheduled`` those that a
    schedule or a pile of the ledger or of the files names.
    """

    spelling: dict[str, str] = field(default_factory=dict)
    exact: set[str] = field(default_factory=set)
    recorded: set[str] = field(default_factory=set)
    scheduled: dict[str, str] = field(default_factory=dict)
    with_run: set[str] = field(default_factory=set)

    @classmethod
    def of(cls, batch: ImportBatch, writer: Writer) -> _Numbers:
        """Those of the ledger, then those that the files bring, schedules before the rest."""
        as_of = writer.last_entry()
        piles = writer.current("pile", as_of)
        named = list(_recorded(writer, as_of))
        brought = [
            (kind, column, number)
            for taken, _ in batch
            for kind, column in _places(taken)
            for number in taken.frames[kind][column].dropna().unique()
        ]
        found = cls()
        for part in (named, brought):
            for kind, column, number in sorted(part, key=_rank):
                found._add(_rank((kind, column, number)), str(number), part is named)
        served = piles.frame()
        served = served[served["pile_id"].map(match_key).isin(found.with_run)]
        found.with_run.update(served["position_id"].map(match_key))
        return found

    def _add(self, rank: int, number: str, is_recorded: bool) -> None:
        key = match_key(number)
        declares = rank < _RANK["run", "pile_id"]
        self.spelling.setdefault(key, number)
        if declares and is_recorded:
            self.exact.add(number)
        if declares or is_recorded:
            self.recorded.add(key)
        if declares:
            self.scheduled.setdefault(key, self.spelling[key])
        if rank == _RANK["run", "pile_id"]:
            self.with_run.add(key)

    def meant(self, number: str) -> str:
        """``number`` as it is on record."""
        return number if number in self.exact else self.spelling.get(match_key(number), number)

    def check_answers(self, answers: Mapping[str, str]) -> None:
        """Raise WrongUse for an answer that means no pile, or renames one of the schedule."""
        for written, meant in answers.items():
            if match_key(written) == match_key(meant):
                continue
            if match_key(written) in self.scheduled:
                raise WrongUse(
                    f"Pile {written} is on the schedule, so it is not read as {meant}. Correct the "
                    "number in the file."
                )
            if match_key(meant) not in self.recorded:
                raise WrongUse(
                    f"There is no pile {meant} to read {written} as. Name a pile of the schedule, "
                    f"or {written} itself when it is another pile."
                )

    def questions(self, numbers: list[str]) -> dict[str, str]:
        """Of ``numbers`` those that may be a slip of exactly one scheduled pile without a run."""
        unknown = [one for one in numbers if match_key(one) not in self.recorded]
        extra = continuing(unknown, self.scheduled.values(), self.spelling.values())
        asked = [one for one in unknown if one not in extra]
        open_ = [number for key, number in self.scheduled.items() if key not in self.with_run]
        suggestions = near_matches(asked, open_)
        return {number: found[0] for number, found in suggestions.items() if len(found) == 1}


def _rank(named: tuple[str, str, str]) -> int:
    return _RANK.get((named[0], named[1]), _OTHER)


def _earlier_answers(entries: pd.DataFrame, file: str) -> dict[str, str]:
    """What was answered about numbers of this file when it came before."""
    same_file = entries["source"].str.casefold().eq(file.casefold())
    own = entries[entries["active"].astype("bool") & same_file]
    answers: dict[str, str] = {}
    for text in own["mapping"].dropna():
        kept = json.loads(text).get(_KEPT_AS, {})
        answers |= {
            written: meant
            for written, meant in kept.items()
            if written == meant or match_key(written) != match_key(meant)
        }
    return answers


@dataclass
class _NumberPlaces:
    """One number of a file: the kind, column, sheet and row that hold it first, and every place."""

    kind: str
    column: str
    sheet: str
    row: int
    places: set[Place] = field(default_factory=set)


@dataclass
class _Matching:
    """One file: which of its numbers mean which, and its frames with that done."""

    taken: ParsedFile
    numbers: _Numbers
    answers: Mapping[str, str]
    report: ImportReport

    def done(self) -> ParsedFile:
        """The file as it is to be compared."""
        answered = {match_key(written): meant for written, meant in self.answers.items()}
        written = self._written()
        changed, kept = {}, {}
        for number in written:
            key = match_key(number)
            meant = self.numbers.meant(answered.get(key, number))
            if meant != number:
                changed[number] = meant
            if meant != number or key in answered:
                kept[number] = meant
        open_ = [one for one in written if written[one] and match_key(one) not in answered]
        asked = self.numbers.questions(open_)
        if not kept and not asked:
            return self.taken
        self._notice(changed, answered)
        frames = {kind: _renamed(frame, kind, changed) for kind, frame in self._frames()}
        gone = self._ask(asked) | self._repeated(frames, changed)
        if gone:
            frames = {kind: frame[~_among(frame, gone)] for kind, frame in frames.items()}
            self._count_skipped(len(gone))
        return replace(
            self.taken,
            frames={kind: frame.reset_index(drop=True) for kind, frame in frames.items()},
            mapping={**self.taken.mapping, _KEPT_AS: kept},
            rows_left_out=self.taken.rows_left_out + len(gone),
        )

    def _frames(self) -> Iterator[tuple[str, pd.DataFrame]]:
        return iter(self.taken.frames.items())

    def _written(self) -> dict[str, bool]:
        """Every number of the file, and whether it only refers to a pile in all its places."""
        found: dict[str, bool] = {}
        for kind, column in _places(self.taken):
            refers = (kind, column) not in _DECLARING
            for number in self.taken.frames[kind][column].dropna().unique():
                found[str(number)] = found.get(str(number), True) and refers
        return found

    def _holding(self, numbers: Collection[str]) -> dict[str, _NumberPlaces]:
        """Where the file holds each of ``numbers``, in one pass however many they are."""
        found: dict[str, _NumberPlaces] = {}
        for kind, column in _places(self.taken):
            rows = self.taken.frames[kind]
            own = rows.loc[rows[column].isin(list(numbers)), [column, "sheet", "row_no"]]
            each = zip(own[column], own["sheet"], own["row_no"], strict=True)
            for number, sheet, row in each:
                held = found.setdefault(number, _NumberPlaces(kind, column, sheet, int(row)))
                held.places.add((sheet, row))
        return found

    def _notice(self, changed: Mapping[str, str], answered: Mapping[str, str]) -> None:
        pairs_read = list(changed.items())
        held = self._holding([number for number, _ in pairs_read[:_MOST_NOTICES]])
        for number, meant in pairs_read[:_MOST_NOTICES]:
            first = held[number]
            why = "as answered" if match_key(number) in answered else _SAME
            said = f"Pile “{number}” is read as {meant}: {why}."
            self.report.notice(self.taken.file, said, first.sheet, first.row)
        if more := pairs_read[_MOST_NOTICES:]:
            pairs = ", ".join(f"{number} as {meant}" for number, meant in more)
            said = f"{len(more)} more pile numbers are read as those on record: {pairs}."
            self.report.notice(self.taken.file, said)

    def _ask(self, asked: Mapping[str, str]) -> set[Place]:
        """The rows of numbers that are asked about, each number a problem and a question."""
        if not asked:
            return set()
        problems, questions = [], []
        held = self._holding(asked)
        for number, candidate in asked.items():
            first = held[number]
            place = {"file": self.taken.file, "sheet": first.sheet, "row": first.row}
            questions.append(
                {**place, "written": number, "candidate": candidate, "rows": len(first.places)}
            )
            problem = {
                **place,
                "kind": "pile number to confirm",
                "column": self.taken.heading(first.sheet, first.kind, first.column),
                "value": number,
                "problem": f"{number} is not on the schedule; did you mean {candidate}?",
                "remedy": "Choose on the Import screen, or answer with --pile-number "
                f'"{number}={candidate}"; "{number}={number}" confirms it as another pile.',
            }
            problems.append(problem)
        report, columns = self.report, list(records.PROBLEM_COLUMNS)
        report.questions = joined([report.questions, pd.DataFrame(questions)])
        report.problems = joined([report.problems, pd.DataFrame(problems)[columns]])
        return set().union(*(one.places for one in held.values()))

    def _repeated(
        self, frames: Mapping[str, pd.DataFrame], changed: Mapping[str, str]
    ) -> set[Place]:
        """Rows that share their key now that two spellings are one, each a problem."""
        gone: set[Place] = set()
        for kind, frame in frames.items():
            described = records.KIND[kind]
            if not changed or not described.pile_numbers:
                continue
            again = frame[frame.duplicated(list(described.key), keep=False)]
            for key, rows in again.groupby(list(described.key), sort=False):
                numbers = [str(number) for number in rows["row_no"]]
                name = " / ".join(map(str, key))
                self.report.problem(
                    "repeated key",
                    self.taken.file,
                    f"Rows {', '.join(numbers)} hold the same {described.word} ({name}) once their "
                    "pile numbers are read as those on record.",
                    "Correct one of the rows, or take one out.",
                )
                gone |= _places_of(rows)
        return gone

    def _count_skipped(self, number: int) -> None:
        self.report.rows["skipped"] += number
        files = self.report.files
        files.loc[files["file"].eq(self.taken.file), "rows_skipped"] += number


def _renamed(frame: pd.DataFrame, kind: str, changed: Mapping[str, str]) -> pd.DataFrame:
    if not changed:
        return frame
    own = records.KIND[kind].pile_numbers
    return frame.assign(**{name: renamed(frame[name], changed) for name in own})


def _places_of(rows: pd.DataFrame) -> set[Place]:
    return set(zip(rows["sheet"], rows["row_no"], strict=True))


def _among(frame: pd.DataFrame, places: set[Place]) -> np.ndarray:
    own = zip(frame["sheet"], frame["row_no"], strict=True)
    return np.array([place in places for place in own], dtype="bool")
