"""How long one writer waits while eight readers are busy.

``python tests/benchmarks/store_leases.py`` builds invented ledgers of 200 and of 5,000 piles with
60 readings each, lets eight processes ask for all readings without a pause, writes a small entry
again and again, and prints the longest wait for the lease.
"""

from __future__ import annotations

import multiprocessing
import statistics
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pandas as pd

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from core.ledger import Ledger, NewEntry

READERS, WRITES, PAUSE_S = 8, 40, 0.25
SIZES, DEPTHS = (200, 5000), 60


def build(folder: Path, count: int) -> Ledger:
    piles = [f"P-{number}" for number in range(count)]
    runs = pd.DataFrame({"pile_id": piles, "run_no": "1", "toe_mm": DEPTHS * 300})
    number = np.arange(count * DEPTHS)
    readings = pd.DataFrame(
        {
            "pile_id": np.repeat(piles, DEPTHS),
            "run_no": "1",
            "depth_mm": (number % DEPTHS + 1) * 300,
            "torque_read_nm": 5000.0 + number % 977,
        }
    )
    ledger = Ledger.create(folder)
    with ledger.write() as writer:
        writer.append(NewEntry("invented", "file", "runs.csv"), {"run": runs})
        writer.append(NewEntry("invented", "file", "t.csv"), {"torque_reading": readings})
    return ledger


def read_on(folder: Path, stop, counts) -> None:
    ledger = Ledger(folder)
    reads = 0
    while not stop.is_set():
        with ledger.read(timeout_s=60) as reader:
            reader.current("torque_reading", reader.last_entry())
        reads += 1
    counts.put(reads)


def waits_of_writer(ledger: Ledger) -> tuple[list[float], list[float]]:
    """Seconds until the lease was had, and until everything was written, for each write."""
    waited, done = [], []
    for number in range(WRITES):
        asked = time.perf_counter()
        with ledger.write(timeout_s=60) as writer:
            waited.append(time.perf_counter() - asked)
            note = pd.DataFrame({"pile_id": [f"N-{number}"], "stage": ["released"]})
            writer.append(NewEntry("invented", "form"), {"stage_record": note})
        done.append(time.perf_counter() - asked)
        time.sleep(PAUSE_S)
    return waited, done


def measure(count: int) -> None:
    apart = multiprocessing.get_context("spawn")
    with tempfile.TemporaryDirectory() as name:
        ledger = build(Path(name), count)
        stop, counts = apart.Event(), apart.Queue()
        readers = [
            apart.Process(target=read_on, args=(ledger.folder, stop, counts))
            for _ in range(READERS)
        ]
        for reader in readers:
            reader.start()
        time.sleep(5)
        waited, done = waits_of_writer(ledger)
        stop.set()
        reads = [counts.get(timeout=60) for _ in readers]
        for reader in readers:
            reader.join(60)
    print(f"{READERS} readers: {sum(reads)} reads of {count * DEPTHS} readings each")
    print(f"{WRITES} writes: longest wait for the lease {max(waited):.2f} s, "
          f"median {statistics.median(waited):.2f} s; asked to done {max(done):.2f} s")  # fmt: skip


if __name__ == "__main__":
    for size in SIZES:
        measure(size)
