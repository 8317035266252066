"""Which record kinds a sheet holds, decided from its headers alone."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import dataclass, replace

from core.errors import WrongUse
from core.intake.headers import Heading, folded, meaning, vocabulary
from core.intake.problems import Problems, listed, shortened
from core.records import KIND, KINDS, Kind

# Kinds that one sheet may carry together, the finest last: its rows are the sheet's rows.
CHAINS: tuple[tuple[str, ...], ...] = (
    ("schedule",),
    ("pile",),
    ("instrument", "calibration", "calibration_point"),
    ("run", "torque_reading"),
    ("stage_record",),
)
# Beside its required columns a kind needs one of these.
NEEDS: dict[str, tuple[str, ...]] = {"torque_reading": ("pressure_kpa", "torque_read_nm")}
# Columns that the coarser kind shares with the finer one beside its key.
SHARED: dict[str, tuple[str, ...]] = {"run": ("instrument_id", "gear")}
# A sheet with one of these columns means to bring the kind; if it cannot, that is a problem.
TELLING: dict[str, tuple[str, ...]] = {
    "run": ("toe_mm", "stop_reason", "started_at", "ended_at"),
    "calibration": ("issued_on", "valid_from_on", "valid_to_on"),
}
_NEAR = 0.85  # how alike a word must be to be suggested, as difflib counts


@dataclass(frozen=True)
class Found:
    """A kind that the sheet holds; ``grouped`` when several of its rows make one record."""

    kind: Kind
    headings: dict[str, Heading]
    grouped: bool = False


def recognised(headers: Sequence[str]) -> int:
    """How many headers mean something to the kind that knows most of them."""
    return max(sum(meaning(text, kind) is not None for text in headers) for kind in _file_kinds())


def found(
    headers: Sequence[str], header_row: int, as_kind: str | None, problems: Problems
) -> tuple[list[Found], bool]:
    """Kinds in the sheet, coarse before fine, and whether the headers can be used as they are."""
    forced = _forced(as_kind)
    read = {kind: _read(headers, kind) for kind in _file_kinds()}
    complete = [kind for kind in read if not missing(kind, read[kind])]
    if forced:
        chain = next(chain for chain in CHAINS if forced in chain)
        choices = [chain] if forced in complete else []
    else:
        choices = _best(complete, read)
    if len(choices) != 1 or not (forced or _nothing_nearer(choices[0], complete, read)):
        _say_unfit(choices, forced, complete, read, header_row, problems)
        nearest = forced or _nearest(read)
        suggest(headers, [Found(KIND[nearest], read[nearest])], header_row, problems)
        return [], False
    members = _members(choices[0], complete, headers, read)
    usable = _no_word_twice(headers, members, header_row, problems)
    if not forced:
        usable &= _no_kind_lost(choices[0], complete, read, header_row, problems)
    return [member for member in members if not forced or member.kind.name == forced], usable


def missing(kind: str, headings: dict[str, Heading]) -> list[str]:
    """Words of the columns that ``kind`` needs and ``headings`` lack."""
    columns = KIND[kind].columns
    lacking = [
        word(kind, column.name)
        for column in columns
        if column.required and column.absent is None and column.name not in headings
    ]
    needs = NEEDS.get(kind, ())
    if needs and not any(name in headings for name in needs):
        lacking.append(" or ".join(word(kind, name) for name in needs))
    return lacking


def word(kind: str, column: str) -> str:
    """What a person calls ``column``: its first alias, else its name in words."""
    aliases = KIND[kind].column(column).aliases
    return aliases[0] if aliases else column.replace("_", " ")


def suggest(
    headers: Sequence[str], members: Sequence[Found], header_row: int, problems: Problems
) -> None:
    """A problem for each unread header that looks like a word that is not used yet."""
    words = {
        name: word(member.kind.name, column)
        for member in members
        for name, (column, _) in vocabulary(member.kind.name).items()
        if column not in member.headings
    }
    for text in unread(headers, members):
        if any(meaning(text, kind) for kind in _file_kinds()):
            continue
        name = folded(text.split("(")[0].split("[")[0].split(",")[0])
        near = difflib.get_close_matches(name, words, n=1, cutoff=_NEAR)
        if near:
            problems.add(
                "unknown column",
                f"The header {shortened(text)} is not known and was not read.",
                f"If it is the {words[near[0]]}, write {near[0]}; else leave the column out.",
                header_row, text,
            )  # fmt: skip


def unread(headers: Sequence[str], members: Sequence[Found]) -> list[str]:
    """Headers that no kind of the sheet uses."""
    used = {heading.at for member in members for heading in member.headings.values()}
    return [text for at, text in enumerate(headers) if at not in used and text]


def _file_kinds() -> list[str]:
    return [kind.name for kind in KINDS if kind.from_files]


def _forced(as_kind: str | None) -> str | None:
    if as_kind is None:
        return None
    name = folded(as_kind).replace(" ", "_")
    if name not in _file_kinds():
        raise WrongUse(f"{as_kind} is no kind of record. Kinds: {', '.join(_file_kinds())}.")
    return name


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


def _needed(
    chain: Sequence[str], complete: list[str], read: dict[str, dict[str, Heading]]
) -> set[str]:
    return {
        column.name
        for kind in chain
        if kind in complete
        for column in KIND[kind].columns
        if (column.required or column.name in NEEDS.get(kind, ())) and column.name in read[kind]
    }


def _headers_of(kinds: Sequence[str], read: dict[str, dict[str, Heading]]) -> set[int]:
    return {heading.at for kind in kinds for heading in read[kind].values()}


def _best(complete: list[str], read: dict[str, dict[str, Heading]]) -> list[tuple[str, ...]]:
    """The chains that fit best: most needed columns, then most headers; several when they tie."""
    scores = {}
    for chain in CHAINS:
        kinds = [kind for kind in chain if kind in complete]
        if kinds:
            scores[chain] = (len(_needed(chain, complete, read)), len(_headers_of(kinds, read)))
    return [chain for chain, score in scores.items() if score == max(scores.values())]


def _nearest(read: dict[str, dict[str, Heading]]) -> str:
    return max(read, key=lambda kind: (len(read[kind]), -len(missing(kind, read[kind]))))


def _nothing_nearer(
    chain: tuple[str, ...], complete: list[str], read: dict[str, dict[str, Heading]]
) -> bool:
    """Whether no incomplete kind outside ``chain`` knows more of the headers."""
    known = len(_headers_of([kind for kind in chain if kind in complete], read))
    others = [kind for kind in read if kind not in complete and kind not in chain]
    return all(len(read[kind]) <= known for kind in others)


def _say_unfit(
    choices: list[tuple[str, ...]],
    forced: str | None,
    complete: list[str],
    read: dict[str, dict[str, Heading]],
    header_row: int,
    problems: Problems,
) -> None:
    if len(choices) > 1:
        words = [KIND[kind].word for chain in choices for kind in chain if kind in complete]
        problems.add(
            "unknown kind",
            f"The headers fit more than one kind of record: {', '.join(words)}.",
            "Say which one the file holds when you import it.",
            header_row,
        )
        return
    nearest = forced or _nearest(read)
    lacking = listed(missing(nearest, read[nearest]))
    name = KIND[nearest].word
    start = (
        f"The columns of a {name} are not all here."
        if forced
        else f"The headers fit no kind of record; nearest is {name}."
    )
    problems.add(
        "missing column",
        f"{start} Missing: {lacking}.",
        "Add the columns or their names.",
        header_row,
    )


def _members(
    chain: tuple[str, ...],
    complete: list[str],
    headers: Sequence[str],
    read: dict[str, dict[str, Heading]],
) -> list[Found]:
    """The complete kinds of ``chain``; a header goes to the finest kind that knows it."""
    members: list[Found] = []
    taken: frozenset[int] = frozenset()
    for name in reversed([kind for kind in chain if kind in complete]):
        kind = KIND[name]
        own = _read(headers, name, taken)
        shared = (*kind.key, *SHARED.get(name, ()))
        own |= {column: read[name][column] for column in shared if column in read[name]}
        members.insert(0, Found(kind, own, grouped=bool(members)))
        taken |= {heading.at for heading in own.values()}
    return members


def _no_word_twice(
    headers: Sequence[str], members: list[Found], header_row: int, problems: Problems
) -> bool:
    """Whether no two headers mean the same column; position beside pile is allowed."""
    used = {heading.at: heading for member in members for heading in member.headings.values()}
    clean = True
    for at, text in enumerate(headers):
        for member in members:
            heading = meaning(text, member.kind.name)
            kept = member.headings.get(heading.column) if heading else None
            if kept is None or at in used or _position_beside_pile(kept, text):
                continue
            clean = False
            problems.add(
                "repeated column",
                f"The headers {shortened(kept.text)} and {shortened(text)} mean the same.",
                "Keep one of them, or rename the other.",
                header_row, text,
            )  # fmt: skip
            break
    return clean


def _position_beside_pile(kept: Heading, other: str) -> bool:
    if kept.column not in ("pile_id", "position_id"):
        return False
    return "position" in (folded(kept.text) + " " + folded(other)) and (
        folded(kept.text).split()[0] != folded(other).split()[0]
    )


def _no_kind_lost(
    chain: tuple[str, ...],
    complete: list[str],
    read: dict[str, dict[str, Heading]],
    header_row: int,
    problems: Problems,
) -> bool:
    """Whether no coarser kind, plainly meant by its columns, lacks a required one."""
    used = _headers_of([kind for kind in chain if kind in complete], read)
    clean = True
    for kind in chain:
        telling = [
            read[kind][name]
            for name in TELLING.get(kind, ())
            if kind not in complete and name in read[kind] and read[kind][name].at not in used
        ]
        if telling:
            clean = False
            lacking = listed(missing(kind, read[kind]))
            columns = listed([heading.text for heading in telling])
            problems.add(
                "no date" if lacking == "date" else "missing column",
                f"The file has columns of a {KIND[kind].word} ({columns}) but no {lacking}.",
                "Add it, or import the file as one kind.",
                header_row,
            )
    return clean
