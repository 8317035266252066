"""Criteria of torque, its readings, embedment and the runs."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from core.criteria.base import LATER, Criterion, Guardable, Length, Share


class RequiredTorque(Guardable):
    """Final torque: the window, how it is averaged, and the cross-check of the schedule.

    ``toe_reading_mm``: how far above the recorded toe the last reading that counts may lie.
    ``printed_governs``: the clause by which a printed required torque governs also where it is
    lower than what the loads need; without it a pile is held against the greater.
    """

    window_mm: Annotated[int, Field(gt=0)]
    interval_tolerance_mm: Length
    window_rule: Literal["plain mean", "length-weighted mean"]
    cross_check_share: Share
    toe_reading_mm: Annotated[int | None, Field(gt=0), LATER] = None
    printed_governs: Annotated[str, Field(min_length=1)] | None = None


class RatedTorque(Guardable):
    """Greatest torque against the least rating that a document supports."""


class DropAtEnd(Criterion):
    """Greatest fall from the greatest to the last reading of the window, as a share."""

    greatest_share: Share


class Embedment(Criterion):
    """Which length the schedule's least embedment is compared with."""

    measure: Literal[
        "along the axis", "vertical cover over the top helix", "beyond a failure surface"
    ]


class StopReason(Criterion):
    """Reasons for stopping that need no decision."""

    accepted_reasons: Annotated[tuple[str, ...], Field(min_length=1)]


class AdvancePerTurn(Criterion):
    """Least advance per turn as a share of the helix pitch."""

    least_share_of_pitch: Share


class ReadingGaps(Criterion):
    """Reading interval and what a gap above the final window means."""

    interval_mm: Annotated[int, Field(gt=0)]
    interval_tolerance_mm: Length
    above_window: Literal["noted", "no evidence"]


class DisturbedGround(Criterion):
    """How far below an earlier toe torque counts again, in largest helix diameters."""

    largest_helix_multiple: Annotated[float, Field(gt=0)]


class PenetrationAfterStop(Criterion):
    """After how long a stop, how much new penetration is needed before readings count."""

    stop_h: Annotated[float, Field(gt=0)]
    largest_helix_multiple: Annotated[float, Field(gt=0)]


class InstallationEvents(Criterion):
    """How far the toe must be below an event, in largest helix diameters, and what refusal means.

    One multiple serves all: how far below spin-out torque counts again, and how near the toe an
    obstruction, reversed turning or loss of crowd needs a decision. Coupling failure and shaft
    damage are never met. ``refusal`` is *noted* where the clause names it as a way to stop.
    An empty cell beside a reading means that nothing happened there.
    """

    largest_helix_multiple: Annotated[float, Field(gt=0)]
    refusal: Literal["not met", "noted"]
