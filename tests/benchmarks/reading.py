"""Times the reading of a ledger: ``python -m tests.benchmarks.reading [folder ...]``.

Without folders, jobs of 3 and 5,000 invented piles and the sample of 197 are built first. Prints
the shortest of a few readings in milliseconds, each with nothing kept of the one before: opening
the ledger, the settings and the current rows of all kinds; then with the selections that an
assessment asks for; then the whole assessment.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

from core import selection, services
from core.assessment import cache
from core.assessment.snapshot import load_snapshot
from tests.benchmarks import big_job

GOES = 5
SAMPLE = Path(__file__).parents[2] / "sample_project"
SELECTIONS = (
    selection.schedule_in_force, selection.schedule_for_construction, selection.schedule_at_runs,
    selection.ordered_runs, selection.readings_of_runs, selection.readings_without_run,
    selection.certificates, selection.calibration_points, selection.grout_placements,
    selection.components_placed, selection.quarantines,
)  # fmt: skip


def shortest(work: Callable[[], object]) -> float:
    """Milliseconds of the shortest of a few goes of ``work``, nothing kept between them."""
    times = []
    for _ in range(GOES):
        cache.forget()
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return 1e3 * min(times)


def read_and_select(folder: Path) -> None:
    """Read the ledger and make every frame that an assessment works on."""
    snapshot = load_snapshot(folder)
    for one in SELECTIONS:
        snapshot.select(one)
    for kind in snapshot.last_entries:
        snapshot.frame(kind)


def jobs(parent: Path) -> Iterator[Path]:
    """Projects of three sizes."""
    yield big_job.made(_new(parent / "three"), 3, 60)
    services.build_sample(SAMPLE, parent / "sample")
    yield parent / "sample"
    yield big_job.made(_new(parent / "many"), 5000, 60)


def _new(folder: Path) -> Path:
    folder.mkdir()
    return folder


def main(folders: list[str]) -> None:
    """Print one line per project."""
    print(f"{'piles':>6} {'read':>8} {'with selections':>16} {'assess':>8}  ms")
    with tempfile.TemporaryDirectory() as place:
        for folder in [Path(one) for one in folders] or jobs(Path(place)):
            piles = len(services.assess(folder).piles)
            works = (load_snapshot, read_and_select, services.assess)
            read, selected, assessed = (shortest(partial(work, folder)) for work in works)
            print(f"{piles:6} {read:8.0f} {selected:16.0f} {assessed:8.0f}")


if __name__ == "__main__":
    main(sys.argv[1:])
