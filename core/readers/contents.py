"""Which record kinds a sheet holds, decided from its headers alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from core.errors import WrongUse
from core.readers import header_faults
from core.readers.chains import CHAINS, Found, Readings, file_kinds
from core.readers.headers import Heading, folded, meaning, meanings
from core.readers.problems import Problems
from core.records import KIND

_SURE = 3  # needed columns beyond which headers are no accident: two are in many files


def recognised(headers: Sequence[str]) -> int:
    """How many headers mean something to the kind that knows most of them."""
    known = Counter(kind for text in headers for kind in meanings(text))
    return max(known.values(), default=0)


def found(
    headers: tuple[str, ...], row: int, as_kind: str | None, problems: Problems
) -> tuple[list[Found], bool]:
    """Kinds in the sheet, coarse before fine, and whether its columns can be read as they are."""
    asked = _asked(as_kind)
    readings = Readings(headers, {kind: _read(headers, kind) for kind in file_kinds()})
    chains = _asked_chain(asked, readings) if asked else _best(readings, CHAINS)
    if len(chains) > 1:
        kinds = [kind for chain in chains for kind in chain if kind in readings.complete]
        header_faults.say_two_kinds(kinds, row, problems)
        return [], False
    if not chains or not (asked or _nothing_nearer(chains[0], readings)):
        nearest = asked or readings.nearest
        header_faults.say_missing(nearest, asked is not None, readings, row, problems)
        members = [Found(KIND[nearest], readings.by_kind[nearest])]
        header_faults.suggest(headers, members, row, problems)
        return [], False
    together = _members(chains[0], readings)
    members = [member for member in together if asked in (None, member.kind.name)]
    lost = [] if asked else header_faults.lost_kinds(chains[0], readings, row, problems)
    if lost:
        header_faults.suggest(headers, [*members, *lost], row, problems)
        return members, False
    used = {heading.at for member in together for heading in member.headings.values()}
    idle = [text for at, text in enumerate(headers) if at not in used]
    clear = header_faults.all_clear(headers, members, row, problems)
    return members, header_faults.no_word_twice(idle, members, row, problems) and clear


def _asked(as_kind: str | None) -> str | None:
    if as_kind is None:
        return None
    name = folded(as_kind).replace(" ", "_")
    if name not in file_kinds():
        raise WrongUse(f"{as_kind} is no kind of record. Kinds: {', '.join(file_kinds())}.")
    return name


def _asked_chain(asked: str, readings: Readings) -> list[tuple[str, ...]]:
    chains = [chain for chain in CHAINS if asked in chain and asked in readings.complete]
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


def _best(readings: Readings, chains: Sequence[tuple[str, ...]]) -> list[tuple[str, ...]]:
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


def _nothing_nearer(chain: tuple[str, ...], readings: Readings) -> bool:
    """Whether ``chain`` is sure by itself, or no incomplete kind knows more of the headers."""
    kinds = [kind for kind in chain if kind in readings.complete]
    if len(readings.needed(kinds)) >= _SURE:
        return True
    known = len(readings.places(kinds))
    others = set(readings.by_kind) - set(readings.complete) - set(chain)
    return all(len(readings.by_kind[kind]) <= known for kind in others)


def _members(chain: tuple[str, ...], readings: Readings) -> list[Found]:
    """The complete kinds of ``chain``; a header goes to the finest kind that knows it."""
    members: list[Found] = []
    taken: frozenset[int] = frozenset()
    for name in reversed([kind for kind in chain if kind in readings.complete]):
        whole = readings.by_kind[name]
        shared = (*KIND[name].key, *KIND[name].shared_columns)
        own = _read(readings.headers, name, taken)
        own |= {column: whole[column] for column in shared if column in whole}
        members.insert(0, Found(KIND[name], own, grouped=bool(members)))
        taken |= {heading.at for heading in own.values()}
    return members
