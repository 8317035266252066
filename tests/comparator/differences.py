"""Intended differences from the version compared with: where, and why.

A difference that nothing meets any more fails the comparison, so the table says what is true.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

ANY = object()


@dataclass(frozen=True)
class Difference:
    """Values at paths that match ``where`` whole may differ; ``before`` and ``after`` where given.

    ``where`` is a regular expression over paths such as ``assess/piles/B01-1/toe_mm``.
    """

    where: str
    reason: str
    before: Any = ANY
    after: Any = ANY

    def explains(self, path: str, before: Any, after: Any) -> bool:
        """Whether a change of ``path`` is this one."""
        return (
            re.fullmatch(self.where, path) is not None
            and (self.before is ANY or self.before == before)
            and (self.after is ANY or self.after == after)
        )


DIFFERENCES: tuple[Difference, ...] = (
    Difference(
        r"explain/F-[123]/inputs/.+ project\.toml: torque_factors, TF-5",
        "a torque factor in 1/ft is shown as it is written beside its value in 1/m",
    ),
    Difference(
        r"explain/.+/measures/(offset_east|offset_north|plan_offset|head_level_difference)_mm",
        "the worksheet gives deviations as they are judged, to a thousandth of a millimetre",
    ),
    Difference(
        r"explain/.+/results/-?\d{1,3}\.\d{4,10} mm",
        "the same deviations as results of steps",
        before=1,
        after="(absent)",
    ),
    Difference(
        r"explain/.+/results/\d+\.\d+ °",
        "the direction of an axis as built is worked out where an offset or angle needs it",
        before=1,
        after="(absent)",
    ),
)
