"""Importing files, remembering how a sender lays them out, and withdrawing an entry."""

from __future__ import annotations

import threading
import time
from collections.abc import Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import Any

from core import services
from core.errors import PilewrightError, Refused


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


def remember_layout(
    folder: Path, sender: str, name: str, layout: Mapping[str, Any], by: str
) -> str | None:
    """Write a layout to the ledger. Returns None when done, else why not."""
    try:
        services.remember_layout(folder, sender, name, dict(layout), by)
    except PilewrightError as error:
        return str(error)
    return None


def withdraw(folder: Path, entry: int, by: str, note: str) -> tuple[int | None, str]:
    """Withdraw an entry: the entry that says so, or None and the sentence that says why not."""
    try:
        return services.withdraw(folder, entry, by, note), ""
    except PilewrightError as error:
        return None, str(error)
