"""Labels in a column beside a drawing: near to what they name, and never touching."""

from __future__ import annotations

from collections.abc import Sequence


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Places from the highest to the lowest, each at least ``gap`` under the one before.

    wanted: where each would like to be, in the order they are to stand in, highest first. They
    stay between ``low`` and ``high`` while there is room; where there is none, the gap holds.
    """
    places: list[float] = []
    for place in wanted:
        free = places[-1] - gap if places else high
        places.append(min(place, free))
    floor = low
    for at in range(len(places) - 1, -1, -1):
        places[at] = max(places[at], floor)
        floor = places[at] + gap
    return places
