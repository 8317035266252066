"""How files are to be read, as far as somebody has said so."""

from __future__ import annotations

from dataclasses import dataclass

from core.intake.conventions import UNSAID, Conventions
from core.intake.layouts import Remembered


@dataclass(frozen=True)
class How:
    """One kind for all sheets, the file's conventions, and the layouts that may fit its sheets.

    Of layouts that fit a sheet equally the later one in ``layouts`` is used.
    """

    as_kind: str | None = None
    conventions: Conventions = UNSAID
    layouts: tuple[Remembered, ...] = ()
