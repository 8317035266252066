"""What can be wrong with a header line as a whole, each as a problem at the header's row."""

from __future__ import annotations

import difflib
from collections.abc import Sequence

from core.readers.chains import Found, Readings, unread
from core.readers.headers import Heading, folded, is_known, meaning, question, vocabulary
from core.readers.problems import Problems, listed, shortened
from core.records import KIND

_NEAR = 0.85  # how alike a word must be to be suggested, as difflib counts


def say_two_kinds(kinds: Sequence[str], row: int, problems: Problems) -> None:
    """The headers fit two unrelated kinds equally well."""
    words = listed([KIND[kind].word for kind in kinds])
    problems.add(
        "unknown kind",
        f"The headers fit more than one kind of record: {words}.",
        "Say which one the file holds when you import it.",
        row,
    )


def say_missing(kind: str, asked: bool, readings: Readings, row: int, problems: Problems) -> None:
    """The headers lack columns of the kind asked for, or of the nearest one."""
    name = KIND[kind].word
    start = f"The file is no whole {name}." if asked else f"The headers are nearest to {name}."
    problems.add(
        "missing column",
        f"{start} Missing: {listed(readings.missing(kind))}.",
        "Write the headers in these words, or lay the sheet out once on Intake.",
        row,
    )


def suggest(headers: Sequence[str], members: Sequence[Found], row: int, problems: Problems) -> None:
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
                f"Write {near[0]} if that is meant; else leave the column out.",
                row, text,
            )  # fmt: skip


def all_clear(
    headers: Sequence[str], members: Sequence[Found], row: int, problems: Problems
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
                f"Write {' or '.join(accepted)}, with values so measured.",
                row, text,
            )  # fmt: skip
    return len(problems) == before


def no_word_twice(idle: Sequence[str], members: list[Found], row: int, problems: Problems) -> bool:
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


def _rival(text: str, member: Found) -> Heading | None:
    """The heading that already gives the column which ``text`` means."""
    heading = meaning(text, member.kind.name)
    return member.headings.get(heading.column) if heading else None


def _position_beside_pile(kept: Heading, other: str) -> bool:
    if kept.column not in ("pile_id", "position_id"):
        return False
    first, second = folded(kept.text).split()[0], folded(other).split()[0]
    return first != second and "position" in (first, second)


def lost_kinds(
    chain: tuple[str, ...], readings: Readings, row: int, problems: Problems
) -> list[Found]:
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
            lost.append(Found(KIND[kind], headings))
            lacking = listed(readings.missing(kind))
            problems.add(
                "no date" if lacking == "date" else "missing column",
                f"The file has columns of a {KIND[kind].word} ({listed(telling)}) "
                f"but no {lacking}.",
                "Add it, or import the file as one kind.",
                row,
            )
    return lost
