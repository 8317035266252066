"""Finding kinds: what each means, what it blocks, who clears it and with what."""

from __future__ import annotations

from core.words.findings import events, grout, piles, steel, survey, torque
from core.words.findings.kind import BLOCKS, EDITION, OWNERS, FindingKind

FINDING_KINDS: tuple[FindingKind, ...] = (
    *piles.KINDS[:2],  # criterion and parameter not set
    *torque.KINDS,
    *events.KINDS,
    *piles.KINDS[2:],
    *grout.KINDS,
    *survey.KINDS,
    *steel.KINDS,
)
FINDING_KIND: dict[str, FindingKind] = {kind.word: kind for kind in FINDING_KINDS}

__all__ = ["BLOCKS", "EDITION", "FINDING_KIND", "FINDING_KINDS", "OWNERS", "FindingKind"]
