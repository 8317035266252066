"""Every frame that crosses rooms, by name; ``pilewright dictionary --frames`` prints them."""

from __future__ import annotations

from dataclasses import replace

from core.frames.assessment import OF_ASSESSMENT
from core.frames.declaring import Column, Frame
from core.frames.services import OF_SERVICES


def _sentence(column: Column) -> Column:
    """``column`` with its meaning as a sentence, as record kinds have theirs."""
    meaning = column.meaning
    return replace(column, meaning=f"{meaning[0].upper()}{meaning[1:].rstrip('.')}.")


FRAMES: dict[str, Frame] = {
    name: Frame(name, description, tuple(map(_sentence, columns.values())))
    for name, (description, columns) in {**OF_ASSESSMENT, **OF_SERVICES}.items()
}

__all__ = ["FRAMES", "Column", "Frame"]
