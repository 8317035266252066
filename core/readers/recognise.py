"""Which record kinds a sheet holds, decided from its headers, and columns that are not read."""

from __future__ import annotations

import difflib
import re
from collections import Counter
from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property

import pandas as pd
from rapidfuzz.distance import OSA

from core import units
from core.errors import WrongUse
from core.readers.headers import (
    Heading,
    folded,
    is_known,
    meaning,
    meanings,
    names_of,
    question,
    vocabulary,
)
from core.readers.options import Answers, ReadOptions
from core.readers.problems import Problems, listed, shortened
from core.readers.sheet import Grid, Sheet, cut, in_words, letters
from core.records import KIND, KINDS, Kind


def _chain(kind: Kind) -> tuple[str, ...]:
    above = _chain(kind.sheet_parent) if kind.sheet_parent else ()
    return (*above, kind.name)


def _kind_groups() -> tuple[tuple[str, ...], ...]:
    """The chains of the kinds that files may hold, in the order of their first kinds."""
    order = list(KIND)
    parents = {kind.sheet_parent.name for kind in KINDS if kind.sheet_parent}
    found = [_chain(kind) for kind in KINDS if kind.from_files and kind.name not in parents]
    return tuple(sorted(found, key=lambda chain: order.index(chain[0])))


# Kinds that one sheet may carry together, the finest last: its rows are the sheet's rows.
KIND_GROUPS = _kind_groups()


@dataclass(frozen=True)
class KindMatch:
    """A kind that the sheet holds; ``grouped`` when several of its rows make one record."""

    kind: Kind
    headings: dict[str, Heading]
    grouped: bool = False


@dataclass(frozen=True)
class HeaderMatches:
    """The headers of a sheet, read in the words of every kind that files may hold."""

    headers: tuple[str, ...]
    by_kind: dict[str, dict[str, Heading]]

    @cached_property
    def complete(self) -> list[str]:
        """Kinds whose needed columns are all here."""
        return [kind for kind in self.by_kind if not self.missing(kind)]

    def missing(self, kind: str) -> list[str]:
        """Words of the columns that ``kind`` needs and the headers lack."""
        return missing_columns(kind, self.by_kind[kind])

    def places(self, kinds: Iterable[str]) -> set[int]:
        """Places of the headers that ``kinds`` know."""
        return {heading.at for kind in kinds for heading in self.by_kind[kind].values()}

    def needed(self, kinds: Iterable[str]) -> set[str]:
        """Columns that make ``kinds`` what they are, as far as the headers have them."""
        return {
            column.name
            for kind in kinds
            for column in KIND[kind].columns
            if (column.required or column.name in KIND[kind].at_least_one)
            and column.name in self.by_kind[kind]
        }

    @property
    def nearest(self) -> str:
        """The incomplete kind that knows most of the headers; of several the one lacking least."""
        lacking = {kind: len(self.missing(kind)) for kind in self.by_kind}
        incomplete = [kind for kind in self.by_kind if lacking[kind]]
        return max(incomplete, key=lambda kind: (len(self.by_kind[kind]), -lacking[kind]))


def missing_columns(kind: str, given: Container[str]) -> list[str]:
    """Words of the columns that ``kind`` needs and that are not among those ``given``."""
    lacking = [
        word(kind, column.name)
        for column in KIND[kind].columns
        if column.required and column.default is None and column.name not in given
    ]
    needs = KIND[kind].at_least_one
    if needs and not any(name in given for name in needs):
        lacking.append(" or ".join(word(kind, name) for name in needs))
    return lacking


def file_kinds() -> list[str]:
    """Names of the kinds that files may hold."""
    return [kind.name for kind in KINDS if kind.from_files]


def word(kind: str, column: str) -> str:
    """What a person calls ``column``: its name where that is one word, else its first alias."""
    aliases = KIND[kind].column(column).aliases
    return aliases[0] if aliases and "_" in column else column.replace("_", " ")


def unread(headers: Sequence[str], members: Sequence[KindMatch]) -> list[str]:
    """Headers that no kind of the sheet uses."""
    used = {heading.at for member in members for heading in member.headings.values()}
    return [text for at, text in enumerate(headers) if at not in used and text]


_NEAR = 0.85  # how alike a word must be to be suggested, as difflib counts


def report_two_kinds(kinds: Sequence[str], row: int, problems: Problems) -> None:
    """The headers fit two unrelated kinds equally well."""
    words = listed([KIND[kind].word for kind in kinds])
    problems.add(
        "unknown kind",
        f"The headers fit more than one kind of record: {words}.",
        "Give the record kind with --as.",
        row,
    )


def report_missing(
    kind: str, asked: bool, readings: HeaderMatches, row: int, problems: Problems
) -> None:
    """The headers lack columns of the kind asked for, or of the nearest one."""
    name = KIND[kind].word
    start = (
        f"The file is not a complete {name}." if asked else f"The headers are nearest to {name}."
    )
    problems.add(
        "missing column",
        f"{start} Missing: {listed(readings.missing(kind))}.",
        "Write the headers in these words, or lay the sheet out once on Import.",
        row,
    )


def suggest(
    headers: Sequence[str], members: Sequence[KindMatch], row: int, problems: Problems
) -> None:
    """An unread header looks like a word that is not used yet: the word is named, not applied."""
    words = [
        name
        for member in members
        for name, (column, _) in vocabulary().by_kind[member.kind.name].items()
        if column not in member.headings
    ]
    for text in unread(headers, members):
        if is_known(text):
            continue
        name = folded(text.split("(")[0].split("[")[0].split(",")[0])
        near = difflib.get_close_matches(name, words, n=1, cutoff=_NEAR)
        if near:
            problems.add(
                "unknown column",
                f"The header {shortened(text)} is not known and was not read.",
                f"Write {near[0]} if that is meant; otherwise remove the column.",
                row, text,
            )  # fmt: skip


def is_unambiguous(
    headers: Sequence[str], members: Sequence[KindMatch], row: int, problems: Problems
) -> bool:
    """Whether no header asks a question that only the one who wrote it can answer."""
    before = len(problems)
    for text in unread(headers, members):
        for member in members:
            asked = question(text, member.kind.name)
            if asked is None:
                continue
            column, choice = asked
            accepted = [name.capitalize() for name in member.kind.column(column).aliases]
            problems.add(
                "unclear column",
                f"The header {shortened(text)} does not say: {choice}?",
                f"Write {' or '.join(accepted)}, with values measured that way.",
                row, text,
            )  # fmt: skip
    return len(problems) == before


def has_no_duplicates(
    idle: Sequence[str], members: list[KindMatch], row: int, problems: Problems
) -> bool:
    """Whether no ``idle`` header means a column that another gives; position beside pile may."""
    clean = True
    for text in idle:
        kept = next((kept for member in members if (kept := _rival(text, member))), None)
        if kept is None or _position_beside_pile(kept, text):
            continue
        clean = False
        problems.add(
            "repeated column",
            f"The headers {shortened(kept.text)} and {shortened(text)} mean the same.",
            "Keep one of them, or rename the other.",
            row, text,
        )  # fmt: skip
    return clean


def _rival(text: str, member: KindMatch) -> Heading | None:
    """The heading that already gives the column which ``text`` means."""
    heading = meaning(text, member.kind.name)
    return member.headings.get(heading.column) if heading else None


def _position_beside_pile(kept: Heading, other: str) -> bool:
    if kept.column not in ("pile_id", "position_id"):
        return False
    first, second = folded(kept.text).split()[0], folded(other).split()[0]
    return first != second and "position" in (first, second)


def lost_kinds(
    chain: tuple[str, ...], readings: HeaderMatches, row: int, problems: Problems
) -> list[KindMatch]:
    """Kinds of ``chain`` that are plainly meant by their columns and lack a needed one."""
    complete = [kind for kind in chain if kind in readings.complete]
    used = readings.places(complete)
    lost = []
    for kind in chain:
        headings = readings.by_kind[kind]
        telling = [
            headings[name].text
            for name in KIND[kind].distinctive
            if kind not in complete and name in headings and headings[name].at not in used
        ]
        if telling:
            lost.append(KindMatch(KIND[kind], headings))
            lacking = listed(readings.missing(kind))
            problems.add(
                "no date" if lacking == "date" else "missing column",
                f"The file has columns of a {KIND[kind].word} ({listed(telling)}) "
                f"but no {lacking}.",
                "Add it, or import the file as one kind.",
                row,
            )
    return lost


_SURE = 3  # needed columns beyond which headers are no accident: two are in many files


def recognised(headers: Sequence[str]) -> int:
    """How many headers mean something to the kind that knows most of them."""
    known = Counter(kind for text in headers for kind in meanings(text))
    return max(known.values(), default=0)


def kinds_found(
    headers: tuple[str, ...], row: int, as_kind: str | None, problems: Problems
) -> tuple[list[KindMatch], bool]:
    """Kinds in the sheet, coarse before fine, and whether its columns can be read as they are."""
    asked = _asked(as_kind)
    readings = HeaderMatches(headers, {kind: _read(headers, kind) for kind in file_kinds()})
    chains = _asked_chain(asked, readings) if asked else _best(readings, KIND_GROUPS)
    if len(chains) > 1:
        kinds = [kind for chain in chains for kind in chain if kind in readings.complete]
        report_two_kinds(kinds, row, problems)
        return [], False
    if not chains or not (asked or _nothing_nearer(chains[0], readings)):
        nearest = asked or readings.nearest
        report_missing(nearest, asked is not None, readings, row, problems)
        members = [KindMatch(KIND[nearest], readings.by_kind[nearest])]
        suggest(headers, members, row, problems)
        return [], False
    together = _members(chains[0], readings)
    members = [member for member in together if asked in (None, member.kind.name)]
    lost = [] if asked else lost_kinds(chains[0], readings, row, problems)
    if lost:
        suggest(headers, [*members, *lost], row, problems)
        return members, False
    used = {heading.at for member in together for heading in member.headings.values()}
    idle = [text for at, text in enumerate(headers) if at not in used]
    clear = is_unambiguous(headers, members, row, problems)
    return members, has_no_duplicates(idle, members, row, problems) and clear


def _asked(as_kind: str | None) -> str | None:
    if as_kind is None:
        return None
    name = folded(as_kind).replace(" ", "_")
    if name not in file_kinds():
        raise WrongUse(f"{as_kind} is not a record kind. Kinds: {', '.join(file_kinds())}.")
    return name


def _asked_chain(asked: str, readings: HeaderMatches) -> list[tuple[str, ...]]:
    chains = [chain for chain in KIND_GROUPS if asked in chain and asked in readings.complete]
    return _best(readings, chains)[:1]


def _read(
    headers: Sequence[str], kind: str, taken: frozenset[int] = frozenset()
) -> dict[str, Heading]:
    """Best heading of each column of ``kind``, leaving out the headers ``taken``."""
    best: dict[str, Heading] = {}
    for at, text in enumerate(headers):
        heading = meaning(text, kind)
        if heading is None or at in taken:
            continue
        if heading.column not in best or heading.rank < best[heading.column].rank:
            best[heading.column] = replace(heading, at=at)
    return best


def _best(readings: HeaderMatches, chains: Sequence[tuple[str, ...]]) -> list[tuple[str, ...]]:
    """Those of ``chains`` that fit best: most needed columns, then most headers; several in a tie.

    Chains of which the sheet has the same kinds, such as a header alone, count as one.
    """
    of_kinds: dict[tuple[str, ...], tuple[str, ...]] = {}
    for chain in chains:
        of_kinds.setdefault(tuple(kind for kind in chain if kind in readings.complete), chain)
    scores = {
        chain: (len(readings.needed(kinds)), len(readings.places(kinds)))
        for kinds, chain in of_kinds.items()
        if kinds
    }
    return [chain for chain, score in scores.items() if score == max(scores.values())]


def _nothing_nearer(chain: tuple[str, ...], readings: HeaderMatches) -> bool:
    """Whether ``chain`` is sure by itself, or no incomplete kind knows more of the headers."""
    kinds = [kind for kind in chain if kind in readings.complete]
    if len(readings.needed(kinds)) >= _SURE:
        return True
    known = len(readings.places(kinds))
    others = set(readings.by_kind) - set(readings.complete) - set(chain)
    return all(len(readings.by_kind[kind]) <= known for kind in others)


def _members(chain: tuple[str, ...], readings: HeaderMatches) -> list[KindMatch]:
    """The complete kinds of ``chain``; a header goes to the finest kind that knows it."""
    members: list[KindMatch] = []
    taken: frozenset[int] = frozenset()
    for name in reversed([kind for kind in chain if kind in readings.complete]):
        whole = readings.by_kind[name]
        shared = (*KIND[name].key, *KIND[name].shared_columns)
        own = _read(readings.headers, name, taken)
        own |= {column: whole[column] for column in shared if column in whole}
        members.insert(0, KindMatch(KIND[name], own, grouped=bool(members)))
        taken |= {heading.at for heading in own.values()}
    return members


_LOOKED_AT = 30  # rows in which a header is looked for


def header_place(grid: Grid) -> int:
    """Place among the grid's rows of the one that knows most words; the first when none does.

    Labels of single cells (``Date:``) are no headers.
    """
    best, known = 0, 0
    for at in range(min(_LOOKED_AT, len(grid.row_no))):
        texts = [text for text in row_texts(grid, at) if not text.endswith(":")]
        count = recognised(texts)
        if count > max(known, 1) or (at == 0 and count):
            best, known = at, count
    return best


def row_texts(grid: Grid, at: int) -> list[str]:
    """The texts of one row, without the blank cells at its end."""
    texts = [text if isinstance(text, str) else "" for text in grid.cells.iloc[at]]
    width = len(texts) if grid.width is None else int(grid.width[at])
    texts = texts[:width]
    if grid.width is None:
        while texts and not texts[-1]:
            texts.pop()
    return texts


def match_header(
    grid: Grid, how: ReadOptions, problems: Problems
) -> tuple[Sheet, list[KindMatch], bool] | None:
    """The sheet, its kinds and whether its columns can be read; None for a sheet left out."""
    at = header_place(grid)
    headers = tuple(row_texts(grid, at))
    row = int(grid.row_no[at])
    if grid.is_hidden and not recognised(headers):
        problems.notice(
            f"The sheet is {grid.visibility} and its headers are not known; it was not read."
        )
        return None
    if at:
        above = [int(number) for number in grid.row_no[:at]]
        problems.notice(f"Above the header, {in_words(above)} passed over.", above[0])
    read = tuple("" if how.answers.ignores(text) else text for text in headers)
    found, usable = kinds_found(read, row, how.as_kind, problems)
    sheet = cut(grid, headers, (row, row), problems)
    _report_no_header(grid, headers, sheet, problems)
    return sheet, found, usable


def _report_no_header(
    grid: Grid, headers: tuple[str, ...], sheet: Sheet, problems: Problems
) -> None:
    """Columns with values and no header are not read; a notice says which."""
    last = grid.cells.shape[1] if grid.width is None else len(headers)
    rows = grid.row_no > sheet.header_row
    nameless = [
        letters(at)
        for at in range(last)
        if (at >= len(headers) or not headers[at]) and grid.cells.loc[rows, at].notna().any()
    ]
    if nameless:
        word = "Column" if len(nameless) == 1 else "Columns"
        verb = "has" if len(nameless) == 1 else "have"
        problems.notice(f"{word} {', '.join(nameless)} {verb} values and no header; not read.")


VALUES = 3  # of a column that is not read, shown to the person who imports it
_VOID = re.compile(
    r"\b(void(ed)?|reject(s|ed|ion)?|fail(s|ed|ure)?|cancel(l?ed|lation)?|struck|abandon(ed)?"
    r"|invalid|annul(led)?|discard(ed)?|delete[d]?|scrap(ped)?|withdrawn|do not use|not used)\b"
)
_HOLLOW = re.compile(r"\b(volume|vol|ratio|space|theoretical)\b")  # a void that is a room
_ANY_FIRST_LETTER = 6  # letters from which a slip may also be in the first one
_SLIPS = ((9, 2), (4, 1))  # from so many letters so many characters may differ


@dataclass(frozen=True)
class NotRead:
    """One column that is not read: its letter, heading (empty without one) and first values.

    ``void`` is the first value that says by itself that its row does not count; empty for none.
    """

    letter: str
    header: str
    values: tuple[str, ...]
    void: str = ""


def columns_not_read(grid: Grid, sheet: Sheet, found: Sequence[KindMatch]) -> list[NotRead]:
    """Every column of the sheet with a heading or a value that no kind uses."""
    headings = [heading for member in found for heading in member.headings.values()]
    used = {heading.at for heading in headings}
    texts = {folded(heading.text) for heading in headings}
    rows = pd.Index(grid.row_no).isin(sheet.row_no)
    columns = []
    for at in range(grid.cells.shape[1]):
        header = sheet.headers[at] if at < len(sheet.headers) else ""
        if at in used or (header and folded(header) in texts):
            continue
        values = grid.cells[at][rows].dropna().drop_duplicates()
        first = tuple(shortened(str(text)) for text in values.iloc[:VALUES])
        if header or first:
            worded = values[~values.astype("str").str.contains(r"\d")]  # numbers say nothing
            void = next((str(text) for text in worded if _VOID.fullmatch(folded(str(text)))), "")
            columns.append(NotRead(letters(at), header, first, shortened(void)))
    return columns


def none_stops(
    columns: Sequence[NotRead],
    found: Sequence[KindMatch],
    answers: Answers,
    left_out: Sequence[str],
    row: int,
    problems: Problems,
) -> bool:
    """Whether no column that is not read needs a decision; each that does is a problem.

    A heading of ``left_out`` was seen by a person and resembles a known word by chance.
    """
    before, chance = len(problems), {folded(text) for text in left_out}
    for column in columns:
        if not column.header or not column.values or answers.ignores(column.header):
            continue
        shown = column.void or listed(list(column.values), VALUES)
        if column.void or marks_void(column.header):
            problems.add(
                "column not read",
                f"This column may mark rows as void ({shown}) and is not read.",
                "Take those rows out, then dismiss the column on the Import screen or with "
                f"--not-read '{shortened(column.header)}'.",
                row, column.header,
            )  # fmt: skip
        elif folded(column.header) not in chance and (near := similar_header(column.header, found)):
            problems.add(
                "column not read",
                f"The heading is nearly {near} and is not read ({shown}).",
                f"Correct the heading to {near}, map the column on the Import screen, or dismiss "
                f"it there or with --not-read '{shortened(column.header)}'.",
                row, column.header,
            )  # fmt: skip
    return len(problems) == before


def marks_void(header: str) -> bool:
    """Whether a heading says that rows under it do not count."""
    plain = folded(header)
    return _VOID.search(plain) is not None and not _HOLLOW.search(plain)


def similar_header(header: str, found: Sequence[KindMatch]) -> str:
    """The known word that ``header`` nearly is, of a column that the sheet lacks; empty for none.

    A heading that some kind of record knows is no slip of the pen.
    """
    if is_known(header):
        return ""
    names = dict.fromkeys(map(folded, names_of(header)))
    lacking = [
        word
        for member in found
        for word, column in _words(member.kind.name)
        if column not in member.headings
    ]
    near = [(distance, word) for name in names for word in lacking
            if (distance := _slips(name, word)) is not None]  # fmt: skip
    return min(near)[1] if near else ""


@cache
def _words(kind: str) -> list[tuple[str, str]]:
    """Every word that ``kind`` knows, with and without the unit in a column's name."""
    known = [(word, column) for word, (column, _) in vocabulary().by_kind[kind].items()]
    bare = [
        (folded(column.name.removesuffix(suffix.ending)), column.name)
        for column in KIND[kind].columns
        if (suffix := units.suffix_of(column.name))
    ]
    return [*bare, *known]


def _slips(name: str, word: str) -> int | None:
    """How many characters ``name`` and ``word`` are apart; None where that is no slip."""
    length = min(len(name), len(word))
    most = next((near_matches for letters_, near_matches in _SLIPS if length >= letters_), 0)
    if not most or (length < _ANY_FIRST_LETTER and name[0] != word[0]):
        return None
    distance = int(OSA.distance(name, word, score_cutoff=most))
    return distance if distance <= most else None
