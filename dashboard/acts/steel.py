"""Quarantine of heats, files of certificates, and stamps read again."""

from __future__ import annotations

from pathlib import Path

from core import flow
from core.errors import PilewrightError


def put_in_quarantine(folder: Path, heat: str, mill: str, by: str, reason: str) -> str | None:
    """Put a heat in quarantine. Returns None when done, else the sentence that says why not."""
    try:
        flow.put_in_quarantine(folder, heat, by, reason, mill)
    except PilewrightError as error:
        return str(error)
    return None


def lift_quarantine(folder: Path, heat: str, mill: str, by: str, reason: str) -> str | None:
    """Lift the quarantine of a heat. Returns None when done, else why not."""
    try:
        flow.lift_quarantine(folder, heat, by, reason, mill)
    except PilewrightError as error:
        return str(error)
    return None


def read_again(
    folder: Path, heat: str, mill: str, becomes: str, by: str, reason: str
) -> str | None:
    """Correct a misread heat. Returns None when done, else why not."""
    try:
        flow.read_again(folder, heat, mill, becomes, by, reason)
    except PilewrightError as error:
        return str(error)
    return None


def attach_certificate(
    folder: Path, certificate: str, name: str, content: bytes, by: str
) -> str | None:
    """Keep a file that shows a certificate. Returns None when done, else why not."""
    try:
        flow.attach_certificate(folder, certificate, name, content, by)
    except PilewrightError as error:
        return str(error)
    return None
