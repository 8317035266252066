"""What a finding kind says of itself, whom it may block and who may clear it."""

from __future__ import annotations

from dataclasses import dataclass

BLOCKS: dict[str, str] = {
    "A": "acceptance of the pile",
    "C": "concrete over the head",
    "P": "payment",
    "H": "hand-over",
    "W": "further work",
}
OWNERS: dict[str, str] = {
    "DES": "designer or engineer of record",
    "ENG": "engineer's representative on site",
    "PM": "contractor's project manager",
    "FM": "foreman or rig operator",
    "QC": "contractor's quality person",
    "SUR": "surveyor",
    "LAB": "testing laboratory",
}


@dataclass(frozen=True)
class FindingKind:
    """One kind of finding: what it means, what it blocks, who clears it and with what."""

    word: str
    meaning: str
    blocks: str
    owner: str
    clears: str
