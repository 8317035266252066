"""Times the main job from the files to the screen, in one run, on an invented job of any size.

Times are seconds, each the median of a few goes; ratios are of the same run, so that they hold on
another machine. Nothing here passes or fails.
"""

from __future__ import annotations

import argparse
import json
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import duckdb

from core import services
from core.assessment import cache
from tests.benchmarks import big_job, notebook, on_screen

BY, SIGNER = "Bo Invented", "Ada Invented"
GOES = 3


def seconds(work: Callable[[], object], goes: int = GOES) -> float:
    """Median time of ``goes`` goes of ``work``."""
    times = []
    for _ in range(goes):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return statistics.median(times)


def bare_insert(log: Path, where: Path) -> float:
    """The plainest way of the log into a database file."""

    def insert() -> None:
        where.unlink(missing_ok=True)
        with duckdb.connect(str(where)) as con:
            con.execute("create table log as select * from read_csv(?)", [str(log)])

    return seconds(insert)


def bare_scan(where: Path) -> float:
    """One grouped scan over that table."""
    question = 'select Pile, max("Depth (m)"), avg("Torque (kN·m)") from log group by Pile'
    with duckdb.connect(str(where), read_only=True) as con:
        return seconds(lambda: con.execute(question).fetchall())


def taken(folder: Path, *paths: Path, replace: bool = False) -> float:
    """Time of one import. Raises RuntimeError when anything is refused."""
    begun = time.perf_counter()
    report = services.import_files(
        folder, paths, by=BY, choice=services.ImportChoice(replace=replace)
    )
    ended = time.perf_counter()
    if report.refused:
        raise RuntimeError(f"{report.problems}\n{report.conflicts}")
    return ended - begun


def corrected(text: str) -> str:
    """The log with the torque of every hundredth reading a little higher."""
    lines = text.splitlines()
    for at in range(1, len(lines), 100):
        head, _, torque = lines[at].rpartition(",")
        lines[at] = f"{head},{float(torque) + 0.01:.2f}"
    return "\n".join(lines) + "\n"


def imports(parent: Path, folder: Path, files: dict[str, str]) -> dict[str, float]:
    """First import of the log, the same again, and 1 % of it corrected; against the bare insert."""
    log = parent / "incoming" / "log.csv"
    bare = bare_insert(log, parent / "bare.duckdb")
    times = {"bare_insert_s": bare, "bare_scan_s": bare_scan(parent / "bare.duckdb")}
    times["import_s"] = statistics.median([*_into_copies(parent, folder, log), taken(folder, log)])
    times["import_again_s"] = taken(folder, log)
    log.write_text(corrected(files["log.csv"]), encoding="utf-8")
    times["import_corrected_s"] = taken(folder, log, replace=True)
    for name in big_job.OF_RUNS[1:]:
        taken(folder, parent / "incoming" / name)
    return times | {"import_ratio": times["import_s"] / bare}


def _into_copies(parent: Path, folder: Path, log: Path) -> list[float]:
    """Times of the first import of ``log`` into copies of the project, one after the other."""
    times = []
    for go in range(1, GOES):
        copy = parent / f"copy {go}"
        shutil.copytree(folder, copy)
        times.append(taken(copy, log))
        shutil.rmtree(copy)
    return times


def judging(folder: Path, files: dict[str, str]) -> dict[str, float]:
    """Assessment cold (a new process, imports and all) and warm, as of a day, and the notebook."""
    words = "import sys; from core import services; services.assess(sys.argv[1])"
    command = [sys.executable, "-c", words, str(folder)]
    times = {"assess_cold_s": seconds(lambda: subprocess.run(command, check=True), 1)}
    times["assess_s"] = seconds(lambda: (cache.forget(), services.assess(folder)))
    times["assess_again_s"] = seconds(lambda: services.assess(folder))
    entry = services.history(folder)["entry_no"].max()
    times["as_of_s"] = seconds(lambda: services.assess(folder, int(entry) - 1), 1)
    times["notebook_s"] = seconds(lambda: notebook.accepted(files), 1)
    times["assess_to_notebook"] = times["assess_s"] / times["notebook_s"]
    times["verify_s"] = seconds(lambda: services.verify(folder), 1)
    return times


def signing(folder: Path) -> dict[str, float]:
    """A sign-off of half the job, and the assessment with it."""
    piles = services.assess(folder).piles["pile_id"].dropna().tolist()
    half = piles[: len(piles) // 2]
    times = {
        "accept_half_s": seconds(lambda: services.accept(folder, half, SIGNER, "benchmark"), 1),
    }
    return times | {"assess_accepted_s": seconds(lambda: services.assess(folder))}


def day(parent: Path, folder: Path, piles: int, readings: int) -> dict[str, float]:
    """One day's file of twenty new piles into the big store, and the save of one sign-off."""
    extra = big_job.texts(20, readings, first=piles + 1)
    path = parent / "incoming" / "schedule_of_the_day.csv"
    path.write_text(extra["schedule.csv"], encoding="utf-8")
    taken(folder, path)
    path = parent / "incoming" / "log_of_the_day.csv"
    path.write_text(extra["log.csv"], encoding="utf-8")
    times = {"day_file_s": taken(folder, path)}
    sign = partial(services.accept, folder, [f"P{piles}"], SIGNER, "benchmark")
    return times | {"sign_off_s": seconds(sign, 1)}


def saving(folder: Path) -> dict[str, float]:
    """The save of one form, a heat put in quarantine, while nothing else is new."""
    services.assess(folder)
    put = partial(services.put_in_quarantine, folder, "H0005", BY, "benchmark")
    return {"form_save_s": seconds(put, 1)}


def run(piles: int, readings: int, browser: bool) -> dict[str, float]:
    """Every number of one job of ``piles`` piles with ``readings`` readings each."""
    with tempfile.TemporaryDirectory() as place:
        parent = Path(place)
        files = big_job.texts(piles, readings)
        folder = big_job.without_log(parent, files)
        found: dict[str, float] = {"piles": piles, "readings": piles * readings}
        found |= imports(parent, folder, files)
        found |= judging(folder, files)
        found |= signing(folder)
        found |= day(parent, folder, piles, readings)
        found |= on_screen.reruns(folder)
        if browser:
            found |= on_screen.plan(folder, parent, f"P{piles - 1}")
        found |= saving(folder)
        found["store_mb"] = (folder / "project.duckdb").stat().st_size / 1e6
        found["memory_mb"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        return found


def main() -> None:
    """Time the job that the arguments ask for and print what was found."""
    asked = argparse.ArgumentParser(prog="python3 tests/benchmarks", description=__doc__)
    asked.add_argument("--piles", type=int, default=5000)
    asked.add_argument("--readings", type=int, default=60)
    asked.add_argument("--json", action="store_true", help="print numbers as JSON")
    asked.add_argument("--no-browser", action="store_true", help="leave Chromium out")
    given = asked.parse_args()
    found = run(given.piles, given.readings, not given.no_browser)
    if given.json:
        print(json.dumps({name: round(value, 4) for name, value in found.items()}, indent=2))
        return
    for name, value in found.items():
        print(f"{name:24} {value:12,.3f}")


if __name__ == "__main__":
    main()
