"""How files are to be read, as far as somebody has said so."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from core.readers.answers import NO_ANSWERS, Answers
from core.readers.conventions import UNSAID, Conventions
from core.readers.layouts import Remembered


@dataclass(frozen=True)
class How:
    """One kind for all sheets, the file's conventions, and the layouts that may fit its sheets.

    Of layouts that fit a sheet equally the later one in ``layouts`` is used. ``answers`` hold for
    every file; what was remembered of a sender holds for the sheets that its layouts fit.
    """

    as_kind: str | None = None
    conventions: Conventions = UNSAID
    layouts: tuple[Remembered, ...] = ()
    answers: Answers = NO_ANSWERS
    answers_by_sender: Mapping[str, Answers] = field(default_factory=dict)

    def answers_for(self, sender: str) -> Answers:
        """The answers about headings that hold for files of ``sender``."""
        return self.answers.over(self.answers_by_sender.get(sender, NO_ANSWERS))
