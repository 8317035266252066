"""Words that the version compared with had, and what the program says now in their place.

Names of measures and parameters are those that stored settings and sign-offs are read by
(``core/criteria/earlier_names.py``); phrases of screens stand here.
"""

from __future__ import annotations

import re
from typing import Any

from core.criteria.earlier_names import present_name
from core.criteria.kinds import BLOCKS

PHRASES: tuple[tuple[str, str], ...] = (
    ("torque without the greatest reading", "mean torque without the peak reading"),
    ("advance per turn", "advance per revolution"),
    ("fresh neighbour", "installed near fresh grout"),
    ("lot over-used", "lot quantity exceeded"),
    ("pressure kind not asked", "pressure kind not recorded"),
    ("reversed turning", "reverse rotation"),
    ("remark to read", "remark to review"),
    ("least single value", "minimum single value"),
    ("reverse turning", "reverse rotation"),
    ("; it touches every pile of the group", ", for every pile of the group"),
    ("schedule or torque factor table corrected", "schedule or torque factors corrected"),
    ("came with several deliveries", "is on several deliveries"),
    ("the run taken in again", "the run imported again"),
    ("than asked", "than required"),
    ("no certificate says where melted", "no certificate states where melted"),
    ("that the later revision stands", "that the later revision governs"),
    (" is asked", " is required"),
)
# Keys of objects; what ``live`` was called depends on what the object is.
KEYS = {"break": "gap", "satisfied": "accepted", "owner": "responsible", "clears": "closed_by",
        "on": "assessed_on"}  # fmt: skip
_NAME = re.compile(r"\b[a-z]+(?:_[a-z0-9]+)+\b")


def text(words: str) -> str:
    """``words`` as they are said now. Where project.toml is cited its own keys stay."""
    for before, after in PHRASES:
        words = words.replace(before, after)
    if "project.toml" in words:
        return words
    return _NAME.sub(lambda name: present_name(name[0]), words)


def value(told: Any) -> Any:
    """A value with every text in it renamed; objects are renamed already."""
    if isinstance(told, str):
        return text(told)
    return [value(one) for one in told] if isinstance(told, list) else told


def object_of(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """An object with its keys and texts as they are said now."""
    given = dict(pairs)
    keys = dict(KEYS)
    if "act" in given:  # an entry
        keys["live"] = "active"
    if "satisfied" in given or "position_id" in given or "stage" in given:
        keys["live"] = "current"
    if "clears" in given:  # an outstanding item
        keys["due"] = "due_date"
        given["blocks"] = [BLOCKS[letter] for letter in given["blocks"]]
    return {keys.get(name, text(name)): value(one) for name, one in given.items()}
