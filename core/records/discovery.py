"""Finds the record kinds that the modules of this package declare, and puts them in order."""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from importlib import import_module
from pkgutil import iter_modules

from core.errors import WrongUse
from core.records.kinds import Kind


def declared(package: str, path: list[str]) -> tuple[Kind, ...]:
    """Every kind of the modules of ``package``: after its parents, by ``order``, then by name.

    Raises WrongUse when two kinds have one name.
    """
    found: dict[str, Kind] = {}
    for module in sorted(one.name for one in iter_modules(path)):
        for value in vars(import_module(f"{package}.{module}")).values():
            if isinstance(value, Kind) and found.setdefault(value.name, value) is not value:
                raise WrongUse(f"Two record kinds are called {value.name}; rename one of them.")
    return tuple(_after_parents(found))


def _after_parents(kinds: dict[str, Kind]) -> Iterator[Kind]:
    missing = {name: {one.name for one in _parents(kind)} for name, kind in kinds.items()}
    ready = [(kinds[name].order, name) for name, parents in missing.items() if not parents]
    heapq.heapify(ready)
    while ready:
        _, name = heapq.heappop(ready)
        yield kinds[name]
        for other, parents in missing.items():
            if name in parents:
                parents.remove(name)
                if not parents:
                    heapq.heappush(ready, (kinds[other].order, other))


def _parents(kind: Kind) -> Iterator[Kind]:
    yield from (reference.parent for reference in kind.refers_to)
    if kind.sheet_parent is not None:
        yield kind.sheet_parent
