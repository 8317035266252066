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


EDITION = 2  # of the finding kinds; a sign-off records the edition that it was judged by


@dataclass(frozen=True)
class FindingKind:
    """One kind of finding: what it means, what it blocks, who clears it and with what.

    ``since`` is the edition in which the kind first appeared: a sign-off of an earlier edition
    was not judged by it. Edition 1 ended with the first sign-offs; a new kind gives ``since=2``.
    ``form`` is the edition in which what it judges last changed, so that a result may be another
    on the same records.
    """

    word: str
    meaning: str
    blocks: str
    owner: str
    clears: str
    since: int = 1
    form: int = 1
