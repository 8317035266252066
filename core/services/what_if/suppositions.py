"""What may be supposed, as read from a sentence. Nothing here judges or stores."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from core import units
from core.errors import WrongUse

FORMS = (
    "torque factor TF-1 = 27 1/m",
    "loads x 1.1",
    "gauge G-1 read 4 % high from 2026-03-02 to 2026-03-06",
    "revision C in force",
)


@dataclass(frozen=True)
class OtherFactor:
    """Another value of one row of the torque factor table."""

    id: str
    value: float
    unit: str

    @property
    def per_m(self) -> float:
        """The value in store units [1/m]."""
        return self.value * units.factor(self.unit, "1/m")


@dataclass(frozen=True)
class OtherLoads:
    """All design loads times a factor."""

    factor: float


@dataclass(frozen=True)
class WrongGauge:
    """An instrument that showed too much, or with a negative share too little, between two days."""

    instrument_id: str
    share: float
    first: date
    last: date


@dataclass(frozen=True)
class OtherRevision:
    """A revision of the schedule as if it were in force."""

    revision: str


Supposition = OtherFactor | OtherLoads | WrongGauge | OtherRevision

_NUMBER = r"(\d+(?:\.\d+)?)"
_DAY = r"(\d{4}-\d{2}-\d{2})"
_FACTOR = re.compile(rf"torque factor (\S+) = {_NUMBER} (1/m|1/ft)", re.I)
_LOADS = re.compile(rf"loads [x×*] {_NUMBER}", re.I)
_GAUGE = re.compile(rf"gauge (\S+) read {_NUMBER} ?% (high|low) from {_DAY} to {_DAY}", re.I)
_REVISION = re.compile(r"revision (\S+) in force", re.I)


def supposition(text: str) -> Supposition:
    """The supposition that a sentence says.

    Raises WrongUse naming the sentences that are understood, and for numbers that make no sense.
    """
    words = " ".join(text.split())
    if found := _FACTOR.fullmatch(words):
        return OtherFactor(found[1], _positive(found[2], words), found[3])
    if found := _LOADS.fullmatch(words):
        return OtherLoads(_positive(found[1], words))
    if found := _GAUGE.fullmatch(words):
        return _gauge(found, words)
    if found := _REVISION.fullmatch(words):
        return OtherRevision(found[1])
    known = "; ".join(FORMS)
    raise WrongUse(f"--what-if {text!r} is not understood. Say it like one of these: {known}.")


def _positive(text: str, words: str) -> float:
    value = float(text)
    if value <= 0:
        raise WrongUse(f"{words!r}: the number is above zero.")
    return value


def _gauge(found: re.Match[str], words: str) -> WrongGauge:
    share = float(found[2]) / 100 * (1 if found[3].lower() == "high" else -1)
    if share <= -1:
        raise WrongUse(f"{words!r}: a gauge cannot read 100 % low or more.")
    try:
        first, last = date.fromisoformat(found[4]), date.fromisoformat(found[5])
    except ValueError as error:
        raise WrongUse(f"{words!r}: write days like 2026-03-02.") from error
    if last < first:
        raise WrongUse(f"{words!r}: the last day lies before the first.")
    return WrongGauge(found[1], share, first, last)
