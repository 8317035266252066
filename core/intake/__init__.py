"""Files in, typed frames and problems out. Knows no ledger and no limits."""

from __future__ import annotations

from core.intake.taking import Taken, take

__all__ = ["Taken", "take"]
