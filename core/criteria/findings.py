"""Findings as columns of codes and numbers; as a frame only for who asks for one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cache, cached_property

import numpy as np
import pandas as pd

from core import records, words
from core.criteria.columns import Array, Columns, Mask, Numbers, Texts
from core.criteria.kinds import FindingKind
from core.criteria.outcomes import RESULT, SENSE, SENSES

FINDING_COLUMNS = (
    "subject_kind",
    "subject",
    "pile_id",
    "finding",
    "kind",
    "run",
    "part",
    "result",
    "measured",
    "limit_value",
    "sense",
    "margin",
    "uncertainty",
    "unit_column",
    "clause",
    "due_on",
    "note",
    "measure",
    "parameter",
    "item",
)
NUMBERS = ("measured", "limit_value", "margin", "uncertainty")
# Columns of text with a vocabulary of their own; the others are read off them.
VOCABULARIES = ("subject_kind", "subject", "finding", "run", "part", "unit_column", "clause",
                "note", "measure", "parameter", "item")  # fmt: skip
CODED = (*VOCABULARIES, "pile_id", "result", "sense")
STORED = ("measured", "limit_value", "uncertainty")
SIGNS = np.array([np.nan, 1.0, -1.0])  # of a margin, by the place of the sense in SENSES


class Vocabulary:
    """The distinct texts of a column, each with its code, in the order in which they came."""

    def __init__(self, texts: Iterable[str] = ()) -> None:
        self.place: dict[str, int] = {text: code for code, text in enumerate(texts)}

    def code(self, text: str) -> int:
        """The code of ``text``, a new one where it has none yet."""
        return self.place.setdefault(text, len(self.place))

    def codes(self, texts: Iterable[str]) -> Array:
        """The code of each of ``texts``."""
        place = self.place
        return np.array([place.setdefault(text, len(place)) for text in texts], dtype=np.int32)

    @property
    def texts(self) -> list[str]:
        """The texts in the order of their codes."""
        return list(self.place)


class Findings:
    """Findings in columns: texts as codes of the distinct texts, numbers and days as arrays.

    ``codes`` of *result* are places in ``words.RESULTS`` (worst first), of *sense* in ``SENSES``,
    of every other column in its own ``texts``. ``pile_id`` and ``subject`` share their texts, and
    the first of them are the piles that were judged, in their order; a finding that is not about
    a pile has the pile_id -1. Nobody writes to a column.
    """

    def __init__(
        self,
        columns: Mapping[str, Array],
        vocabularies: Mapping[str, Vocabulary],
        kinds: Mapping[str, str],
    ) -> None:
        """``columns``: ``CODED``, ``STORED`` and due_on; ``kinds``: the word of each finding id."""
        self._columns = columns
        self._vocabularies = vocabularies
        self._kinds = kinds

    def __len__(self) -> int:
        return len(self._columns["result"])

    def codes(self, name: str) -> Array:
        """Per finding the place of its text in ``texts(name)``; -1 where it has no pile."""
        return self._columns["finding" if name == "kind" else name]

    def texts(self, name: str) -> Sequence[str]:
        """The distinct texts of a column; findings chosen from others may use only some."""
        if name == "result":
            return words.RESULTS
        if name == "sense":
            return SENSES
        if name == "kind":
            return [self._kinds[one] for one in self._vocabularies["finding"].place]
        return self._vocabularies["subject" if name == "pile_id" else name].texts

    def values(self, name: str) -> Array:
        """A column of numbers (``NUMBERS``), NaN where there is none, or due_on, NaT for none."""
        return self._margin if name == "margin" else self._columns[name]

    def is_text(self, name: str, *texts: str) -> Mask:
        """Whether each finding has one of ``texts`` in a column."""
        codes, known = self.codes(name), self.texts(name)
        wanted = [place for place, text in enumerate(known) if text in texts]
        found: Mask = np.isin(codes, wanted)
        return found

    def text(self, name: str) -> Texts:
        """The texts of a column, one per finding; None where it has no pile."""
        texts = self.texts(name)
        known = np.empty(len(texts) + 1, dtype=object)
        known[:-1] = texts
        found: Texts = known[self.codes(name)]
        return found

    def take(self, places: Array) -> Findings:
        """The findings at ``places``, in their order."""
        columns = {name: values[places] for name, values in self._columns.items()}
        return Findings(columns, self._vocabularies, self._kinds)

    def where(self, mask: Mask) -> Findings:
        """The findings of which ``mask`` is true."""
        return self.take(np.flatnonzero(mask))

    def of_pile(self, pile_id: str) -> Findings:
        """The findings about one pile."""
        place = self._vocabularies["subject"].place.get(pile_id, -2)
        return self.where(self.codes("pile_id") == place)

    def frame(self) -> pd.DataFrame:
        """The findings as a frame of ``FINDING_COLUMNS``; made once, never to be written to."""
        return self._frame

    @cached_property
    def _frame(self) -> pd.DataFrame:
        index = pd.RangeIndex(len(self))
        return pd.DataFrame(
            {
                name: self.values(name)
                if name in NUMBERS or name == "due_on"
                else pd.Series(self.text(name), index, dtype=object)
                for name in FINDING_COLUMNS
            },
            index=index,
        )

    @cached_property
    def _margin(self) -> Numbers:
        """How far the measured value lies on the right side of its limit."""
        apart = self._columns["measured"] - self._columns["limit_value"]
        margin: Numbers = SIGNS[self._columns["sense"]] * apart + 0.0  # no -0
        margin[self._columns["result"] == RESULT["no evidence"]] = np.nan  # perhaps of a part
        return margin

    @classmethod
    def joined(cls, parts: Sequence[Findings]) -> Findings:
        """All findings of ``parts``, part after part, under common codes."""
        filled = [part for part in parts if len(part)]
        if len(filled) < 2:
            return filled[0] if filled else (parts[0] if parts else no_findings())
        common = {name: Vocabulary(filled[0]._vocabularies[name].place) for name in VOCABULARIES}
        own = [
            part._columns if not at else part._coded_in(common) for at, part in enumerate(filled)
        ]
        columns = {name: np.concatenate([one[name] for one in own]) for name in own[0]}
        kinds = {id: word for part in filled for id, word in part._kinds.items()}
        return cls(columns, common, kinds)

    def _coded_in(self, common: Mapping[str, Vocabulary]) -> dict[str, Array]:
        """The columns with the codes of ``common``, which learns the texts that it lacks."""
        columns = dict(self._columns)
        for name in VOCABULARIES:
            columns[name] = _recoded(columns[name], self._vocabularies[name], common[name])
        pile_id = self._columns["pile_id"]
        columns["pile_id"] = np.where(pile_id < 0, -1, columns["subject"]).astype(np.int32)
        return columns


def _recoded(codes: Array, own: Vocabulary, common: Vocabulary) -> Array:
    """``codes`` of one vocabulary as codes of another one; only texts that are used are added."""
    used = np.unique(codes)
    place = np.zeros(len(own.place), dtype=np.int32)
    texts = own.texts
    place[used] = common.codes(texts[code] for code in used.tolist())
    found: Array = place[codes]
    return found


@cache
def no_findings() -> Findings:
    """No finding, with all columns; the same each time."""
    vocabularies = {name: Vocabulary() for name in VOCABULARIES}
    return Findings(empty_columns(0), vocabularies, {})


def empty_columns(number: int) -> dict[str, Array]:
    """Columns of ``number`` findings in which nothing is entered yet: code 0, NaN and NaT."""
    return {
        **{name: np.zeros(number, dtype=np.int32) for name in (*VOCABULARIES, "pile_id")},
        **{name: np.full(number, np.nan) for name in STORED},
        "result": np.zeros(number, dtype=np.int8),
        "sense": np.zeros(number, dtype=np.int8),
        "due_on": np.full(number, np.datetime64("NaT", "us")),
    }


def other_findings(
    subjects: Sequence[str] | Texts,
    kind: FindingKind,
    result: str | Array,
    note: str | Sequence[str] | Texts = "",
    measure: str | Sequence[str] | Texts = "",
    subject_kind: str = "pile",
    item: str | Sequence[str] | Texts = "",
    run: str | Sequence[str] | Texts = "",
    part: str | Sequence[str] | Texts = "",
    sense: str = "",
    unit_column: str = "",
    **numbers: Array,
) -> Findings:
    """Findings that no criterion asks for, one per subject.

    ``result``: a word for all, or a code per subject. ``item`` names the outstanding item that
    several of them share; empty for one of its own. ``run`` and ``part`` are what of the subject
    each is about; empty for the whole of it. ``numbers``: measured, limit_value and due_on.
    """
    if not len(subjects):
        return no_findings()
    texts = {
        "subject_kind": subject_kind, "subject": subjects, "finding": kind.id, "note": note,
        "measure": measure, "item": item, "run": run, "part": part, "unit_column": unit_column,
    }  # fmt: skip
    columns = empty_columns(len(subjects))
    vocabularies = {}
    for name in VOCABULARIES:
        text = texts.get(name, "")
        vocabularies[name] = Vocabulary([text] if isinstance(text, str) else ())
        if not isinstance(text, str):
            columns[name] = vocabularies[name].codes(text)
    columns["pile_id"] = columns["subject"] if subject_kind == "pile" else columns["pile_id"] - 1
    columns["result"][:] = RESULT[result] if isinstance(result, str) else result
    columns["sense"][:] = SENSE[sense]
    return Findings({**columns, **numbers}, vocabularies, {kind.id: kind.word})


def rows_by_number(rows: Columns, refers_by: str) -> dict[str, str]:
    """By number the rows that name it in the column ``refers_by``, in words.

    ``rows``: record, refers_by, number, file, sheet and row_no of rows whose parent is unknown.
    """
    if not len(rows):
        return {}
    listed: dict[tuple[str, str, str, str], list[str]] = {}
    names = ("number", "record", "file", "sheet", "refers_by")
    columns = (*(rows.text(name).tolist() for name in names), rows.numbers("row_no").tolist())
    for *key, by, row_no in zip(*columns, strict=True):
        if by == refers_by:
            number, record, file, sheet = key
            listed.setdefault((number, record, file, sheet), []).append(f"{row_no:.0f}")
    notes: dict[str, list[str]] = {}
    for (number, record, file, sheet), row_nos in listed.items():
        of_sheet = f" sheet {sheet}" if sheet else ""
        note = f"{records.KIND[record].word}: {file}{of_sheet} row {', '.join(row_nos)}"
        notes.setdefault(number, []).append(note)
    return {number: "; ".join(parts) for number, parts in notes.items()}
