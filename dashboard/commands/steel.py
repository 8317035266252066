"""Quarantine of heats, files of certificates, and stamps read again.

Each returns None when done, else the sentence that says why not.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from core import services
from core.errors import PilewrightError


def put_in_quarantine(folder: Path, heat: str, mill: str, by: str, reason: str) -> str | None:
    """Put a heat in quarantine."""
    return _refusal(lambda: services.put_in_quarantine(folder, heat, by, reason, mill))


def lift_quarantine(folder: Path, heat: str, mill: str, by: str, reason: str) -> str | None:
    """Lift the quarantine of a heat."""
    return _refusal(lambda: services.lift_quarantine(folder, heat, by, reason, mill))


def read_again(
    folder: Path, heat: str, mill: str, becomes: str, by: str, reason: str
) -> str | None:
    """Correct a misread heat."""
    return _refusal(lambda: services.read_again(folder, heat, mill, becomes, by, reason))


def attach_certificate(
    folder: Path, certificate: str, name: str, content: bytes, by: str
) -> str | None:
    """Keep a file that shows a certificate."""
    return _refusal(lambda: services.attach_certificate(folder, certificate, name, content, by))


def _refusal(act: Callable[[], object]) -> str | None:
    try:
        act()
    except PilewrightError as error:
        return str(error)
    return None
