"""A sheet that is not understood: a person says once how it is laid out."""

from __future__ import annotations

from pathlib import Path


def show(where: Path) -> None:
    """Nothing yet."""
