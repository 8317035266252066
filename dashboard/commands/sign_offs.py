"""Signing piles off."""

from __future__ import annotations

from pathlib import Path

from core import services
from core.errors import PilewrightError
from core.settings import Project


def accept_pile(folder: Path, pile: str, by: str, note: str) -> str | None:
    """Sign ``pile`` off. Returns None when done, else the sentence that says why not."""
    try:
        services.accept(folder, [pile], by=by, note=note)
    except PilewrightError as error:
        return str(error)
    return None


def signers(settings: Project) -> list[str]:
    """Names of the people who may accept."""
    return [p.name for p in settings.tables.people if settings.may(p, "accept")]
