"""What an assessment read and worked out before, used again while no newer entry touches it.

Rows are kept under the last entry of every record kind that they are chosen from, with that
entry's hash; an evaluation under all kinds that it rests on, the settings and the day. So after a
sign-off no log is read and no rule decides again. Nobody writes to what is kept.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from pathlib import Path
from typing import Any, TypeVar

from core.records.current_rows import CurrentRows

MOST_FOLDERS = 2
NOT_BELOW = ("sign_off", "mapping")  # kinds that no measure and no finding but theirs rests on
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


def rows(folder: Path, name: str, key: Hashable, make: Callable[[], CurrentRows]) -> CurrentRows:
    """Rows of a kind or of a selection called ``name``, kept under ``key``."""
    return _shelf(folder).get(name, key, make)


def evaluation(
    folder: Path,
    last_entries: Mapping[str, Hashable],
    rest: Hashable,
    make: Callable[[], _Made],
) -> _Made:
    """An evaluation of ``folder``, kept under the last entries of the kinds below it, and ``rest``.

    ``last_entries`` are those of ``Snapshot``.
    """
    below = tuple(sorted(one for one in last_entries.items() if one[0] not in NOT_BELOW))
    return _shelf(folder).get("evaluation", (below, rest), make)


def forget() -> None:
    """Keep nothing of any folder."""
    with _lock:
        _shelves.clear()
