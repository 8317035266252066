"""The ledger as anybody would write it down: a plain list, looked through from the start.

Slow, short and written from the rule alone; it shares nothing with the program.
"""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass
class Word:
    """One row somebody wrote: on which key, as which source, saying what (None removes it)."""

    entry_no: int
    kind: str
    key: tuple
    source: tuple
    value: tuple | None


@dataclass
class Model:
    """Everything ever written, in order."""

    words: list[Word] = field(default_factory=list)
    withdrawn_by: dict[int, int] = field(default_factory=dict)
    acts: dict[int, str] = field(default_factory=dict)
    settings: dict[int, str] = field(default_factory=dict)

    @property
    def last(self) -> int:
        return len(self.acts)

    def counts(self, entry_no: int, as_of: int) -> bool:
        gone = self.withdrawn_by.get(entry_no)
        return entry_no <= as_of and (gone is None or gone > as_of)

    def heard(self, kind: str, as_of: int, waiting: list[Word]) -> list[Word]:
        live = [w for w in self.words if w.kind == kind and self.counts(w.entry_no, as_of)]
        return live + [w for w in waiting if w.kind == kind]

    def last_words(self, kind: str, as_of: int, waiting: list[Word]) -> dict[tuple, Word]:
        found: dict[tuple, Word] = {}
        for word in self.heard(kind, as_of, waiting):
            found[word.key] = word
        return found

    def standing(self, kind: str, as_of: int) -> dict[tuple, tuple]:
        words = self.last_words(kind, as_of, []).items()
        return {key: word.value for key, word in words if word.value is not None}

    def status(self, new: Word, waiting: list[Word], replace: bool, saw: int | None) -> str:
        heard = [w for w in self.heard(new.kind, self.last, waiting) if w.key == new.key]
        own = [w for w in heard if w.source == new.source]
        last = heard[-1] if heard else None
        own_last = own[-1] if own else None
        wins = replace or (saw is not None and last is not None and last.entry_no == saw)
        if own_last is not None and own_last.value is not None:
            if own_last.value == new.value:
                return "unchanged"
            if last is own_last:
                return "superseded"
            if last.value == new.value:
                return "corroborated"
            return "superseded" if wins else "conflict"
        if last is None or last.value is None:
            return "added"
        if last.value == new.value:
            return "corroborated"
        return "superseded" if wins else "conflict"

    def missing(self, kind: str, rows: list[Word], waiting: list[Word]) -> set[tuple]:
        """(key, source) of what the sources heard in ``rows`` said before and do not say now."""
        sources = {row.source for row in rows}
        said: dict[tuple, Word] = {}
        for word in self.heard(kind, self.last, waiting):
            if word.source in sources:
                said[word.key, word.source] = word
        now = {(row.key, row.source) for row in rows}
        return {place for place, word in said.items() if word.value is not None} - now
