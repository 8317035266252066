"""Time and peak memory of one assessment with nothing kept, and of one worksheet, per project.

``python -m tests.benchmarks.assessing FOLDER …``: each folder in a process of its own.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from core import services
from core.assessment import cache

FRAMES = ("piles", "positions", "findings", "attention")


def one(folder: Path, repeats: int) -> dict[str, Any]:
    """Numbers of one project in this process: the best of ``repeats``, in ms, and GB."""
    services.assess(folder)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024**2
    assessed = best(repeats, lambda: fresh(folder))
    framed = best(repeats, lambda: frames_of(fresh(folder)))
    assessment = services.assess(folder)
    pile = assessment.piles["pile_id"].dropna().iloc[-1]
    sheet = best(repeats + 2, lambda: services.worksheet(assessment, pile))
    return {
        "piles": len(assessment.piles),
        "assess": assessed,
        "with frames": framed,
        "worksheet": sheet,
        "peak": peak,
    }


def frames_of(assessment: services.Assessment) -> list[Any]:
    """The frames that screens read first."""
    return [getattr(assessment, name) for name in FRAMES]


def fresh(folder: Path) -> services.Assessment:
    """The assessment with nothing kept."""
    cache.forget()
    return services.assess(folder)


def best(repeats: int, done: Callable[[], Any]) -> float:
    """The shortest of several times of ``done`` [ms]."""
    times = []
    for _ in range(repeats):
        begun = time.perf_counter()
        done()
        times.append((time.perf_counter() - begun) * 1000)
    return min(times)


def main() -> None:
    """Print one line per folder."""
    if sys.argv[1] == "--one":
        folder = Path(sys.argv[2])
        print(json.dumps(one(folder, int(sys.argv[3]))))
        return
    print(f"{'piles':>7} {'assess':>9} {'with frames':>12} {'worksheet':>10} {'peak':>8}")
    for name in sys.argv[1:]:
        repeats = "2" if "huge" in name else "5"
        call = [sys.executable, "-m", "tests.benchmarks.assessing", "--one", name, repeats]
        done = subprocess.run(call, check=True, stdout=subprocess.PIPE, text=True)
        of = json.loads(done.stdout)
        print(
            f"{of['piles']:>7} {of['assess']:>6.0f} ms {of['with frames']:>9.0f} ms "
            f"{of['worksheet']:>7.0f} ms {of['peak']:>5.2f} GB"
        )


if __name__ == "__main__":
    main()
