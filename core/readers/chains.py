"""Record kinds as sheets carry them, from their declarations: which one sheet holds together."""

from __future__ import annotations

from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from core.readers.headers import Heading
from core.records import KIND, KINDS, Kind


def _chain(kind: Kind) -> tuple[str, ...]:
    above = _chain(kind.sheet_parent) if kind.sheet_parent else ()
    return (*above, kind.name)


def _chains() -> tuple[tuple[str, ...], ...]:
    """The chains of the kinds that files may hold, in the order of their first kinds."""
    order = list(KIND)
    parents = {kind.sheet_parent.name for kind in KINDS if kind.sheet_parent}
    found = [_chain(kind) for kind in KINDS if kind.from_files and kind.name not in parents]
    return tuple(sorted(found, key=lambda chain: order.index(chain[0])))


# Kinds that one sheet may carry together, the finest last: its rows are the sheet's rows.
CHAINS = _chains()


@dataclass(frozen=True)
class Found:
    """A kind that the sheet holds; ``grouped`` when several of its rows make one record."""

    kind: Kind
    headings: dict[str, Heading]
    grouped: bool = False


@dataclass(frozen=True)
class Readings:
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
        if column.required and column.absent is None and column.name not in given
    ]
    needs = KIND[kind].at_least_one
    if needs and not any(name in given for name in needs):
        lacking.append(" or ".join(word(kind, name) for name in needs))
    return lacking


def file_kinds() -> list[str]:
    """Names of the kinds that files may hold."""
    return [kind.name for kind in KINDS if kind.from_files]


def word(kind: str, column: str) -> str:
    """What a person calls ``column``: its first alias, else its name in words."""
    aliases = KIND[kind].column(column).aliases
    return aliases[0] if aliases else column.replace("_", " ")


def unread(headers: Sequence[str], members: Sequence[Found]) -> list[str]:
    """Headers that no kind of the sheet uses."""
    used = {heading.at for member in members for heading in member.headings.values()}
    return [text for at, text in enumerate(headers) if at not in used and text]
