"""What an assessment read and found out before, used again while no newer entry touches it.

A frame is kept under the last entry of every record kind that its question reads, with that
entry's hash; measures and findings under all kinds that they rest on, the settings and the day. So
after a sign-off no log is read and no rule decides again. Nobody writes to a kept frame.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from pathlib import Path
from typing import Any, TypeVar

import pandas as pd

from core.store import Reader, kinds_of

MOST_FOLDERS = 2
NOT_ASKED = ("sign_off", "mapping")  # kinds that no measure and no finding but theirs rests on
_Made = TypeVar("_Made")


class _Shelf:
    """What is kept of one folder: per name the key it was made under, and what was made."""

    def __init__(self) -> None:
        self._held: dict[str, tuple[Hashable, Any]] = {}

    def get(self, name: str, key: Hashable, make: Callable[[], _Made]) -> _Made:
        """What was made under ``key``, or made now."""
        held = self._held.get(name)
        if held is not None and held[0] == key:
            made: _Made = held[1]
            return made
        fresh = make()
        self._held[name] = (key, fresh)
        return fresh


_shelves: OrderedDict[str, _Shelf] = OrderedDict()
_lock = threading.Lock()


def _shelf(folder: Path) -> _Shelf:
    name = str(folder.resolve())
    with _lock:
        shelf = _shelves.pop(name, None) or _Shelf()
        _shelves[name] = shelf
        while len(_shelves) > MOST_FOLDERS:
            _shelves.popitem(last=False)
    return shelf


def asked(
    folder: Path, reader: Reader, words: Mapping[str, Hashable], question: str, **values: Any
) -> pd.DataFrame:
    """The answer to ``question``, kept under what ``words`` say of the kinds that it reads.

    ``words`` come of ``Reader.last_words`` at the entry that ``values`` ask for as ``as_of``.
    """
    other = tuple((name, value) for name, value in values.items() if name != "as_of")
    key = (other, tuple(words.get(kind) for kind in kinds_of(question)))
    return _shelf(folder).get(question, key, lambda: reader.ask(question, **values))


def found_out(
    folder: Path, words: Mapping[str, Hashable], rest: Hashable, make: Callable[[], _Made]
) -> _Made:
    """What is found out of ``folder``, kept under ``words`` of the kinds below it, and ``rest``."""
    told = tuple(sorted((kind, word) for kind, word in words.items() if kind not in NOT_ASKED))
    return _shelf(folder).get("found out", (told, rest), make)


def forget() -> None:
    """Keep nothing of any folder."""
    with _lock:
        _shelves.clear()
