"""The one small tree of exceptions. Bad data is never an exception: it is a problem (a row)."""

from __future__ import annotations

from collections.abc import Sequence


class PilewrightError(Exception):
    """Anything the user can be told in one sentence. The message is that sentence."""


class ProjectError(PilewrightError):
    """The project folder or its project.toml cannot be used; lists every fault found."""

    def __init__(self, message: str, faults: Sequence[str] = ()) -> None:
        self.faults = tuple(faults)
        super().__init__("\n  ".join((message, *self.faults)))


class NoProject(ProjectError):
    """There is no project where one is looked for, or none is named."""


class StoreBusy(PilewrightError):
    """Somebody else holds the ledger for longer than we are willing to wait."""


class StoreTooNew(PilewrightError):
    """The ledger was written by a newer version of the program."""


class StoreDamaged(PilewrightError):
    """The ledger is missing, is another job's, or cannot be read as a ledger."""


class Refused(PilewrightError):
    """The act is understood and not allowed: no right, not *criteria met*, already withdrawn."""


class WrongUse(PilewrightError):
    """The request itself makes no sense: an unknown pile, an entry that does not exist."""
