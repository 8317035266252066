"""Writes that a person asks for on a screen. Every refusal comes back as its sentence."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import Any

from core import services
from core.errors import PilewrightError, Refused
from core.settings import Project


class ImportJob:
    """Files being imported in a thread of its own, until they are or it is cancelled.

    ``step`` is what it is doing now. What the ledger does not hold at the end was not written.
    """

    def __init__(
        self,
        folder: Path,
        files: Sequence[tuple[str, bytes]],
        by: str,
        choice: services.ImportChoice,
    ) -> None:
        self.step = "opening the files"
        self._began = time.monotonic()
        self._cancelled = threading.Event()
        worker = ThreadPoolExecutor(1, thread_name_prefix="import")
        choice = replace(choice, dry_run=False)
        self._future: Future[services.ImportReport] = worker.submit(
            services.import_contents, folder, files, by=by, choice=choice, progress=self._progress
        )
        worker.shutdown(wait=False)

    def _progress(self, step: str) -> None:
        if self._cancelled.is_set():
            raise Refused("Cancelled; nothing was written.")
        self.step = step

    def cancel(self) -> None:
        """Stop at the next step; what was written so far is undone."""
        self._cancelled.set()

    @property
    def is_cancelled(self) -> bool:
        """Whether somebody asked to stop; it may still be on its way."""
        return self._cancelled.is_set()

    @property
    def done(self) -> bool:
        """Whether it has ended, well or not."""
        return self._future.done()

    @property
    def seconds(self) -> int:
        """How long it has been going on."""
        return int(time.monotonic() - self._began)

    def outcome(self) -> tuple[services.ImportReport | None, str]:
        """The report, or None and the sentence that says why nothing was written."""
        try:
            return self._future.result(), ""
        except PilewrightError as error:
            return None, str(error)


def store_layout(
    folder: Path, sender: str, name: str, layout: Mapping[str, Any], by: str
) -> str | None:
    """Write a layout to the ledger. Returns None when done, else why not."""
    try:
        services.store_layout(folder, sender, name, dict(layout), by)
    except PilewrightError as error:
        return str(error)
    return None


def withdraw(folder: Path, entry: int, by: str, note: str) -> tuple[int | None, str]:
    """Withdraw an entry: the entry that says so, or None and the sentence that says why not."""
    try:
        return services.withdraw(folder, entry, by, note), ""
    except PilewrightError as error:
        return None, str(error)


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


def put_in_quarantine(folder: Path, heat: str, mill: str, by: str, reason: str) -> str | None:
    """Put a heat in quarantine."""
    return _refusal(lambda: services.put_in_quarantine(folder, heat, by, reason, mill))


def release_heat(folder: Path, heat: str, mill: str, by: str, reason: str) -> str | None:
    """Lift the quarantine of a heat."""
    return _refusal(lambda: services.release_heat(folder, heat, by, reason, mill))


def correct_heat(
    folder: Path, heat: str, mill: str, becomes: str, by: str, reason: str
) -> str | None:
    """Correct a misread heat."""
    return _refusal(lambda: services.correct_heat(folder, heat, mill, becomes, by, reason))


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
