"""Torque and final torque of three million readings against the plainest array work on them.

``python -m tests.benchmarks.torque_means``: the ratio of calibration and final torques to one
``np.interp`` and one ``np.add.reduceat`` over the same arrays, best of five each.
"""

from __future__ import annotations

import time

import numpy as np

from core.formulas import torque

RUNS, READINGS = 50_000, 60
POINTS_KPA = np.linspace(1500.0, 22_500.0, 15)
POINTS_NM = 1.05 * POINTS_KPA + 3e-6 * POINTS_KPA**2


def best(work) -> float:
    """Seconds of the best of five goes."""
    times = []
    for _ in range(5):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return min(times)


def main() -> None:
    rng = np.random.default_rng(1)
    pressure = rng.uniform(1500.0, 22_500.0, RUNS * READINGS)
    depth = np.tile(np.arange(1, READINGS + 1) * 300.0, RUNS)
    starts = np.arange(RUNS) * READINGS
    toes = np.full(RUNS, READINGS * 300.0)
    arguments = (starts, toes, 900.0, 10.0)
    plain = best(lambda: np.add.reduceat(np.interp(pressure, POINTS_KPA, POINTS_NM), starts))
    whole = best(
        lambda: torque.final_torques(
            depth, torque.calibrated_torque(pressure, POINTS_KPA, POINTS_NM), *arguments
        )
    )
    print(f"{len(pressure):,} readings in {RUNS:,} runs")
    print(f"interp and reduceat: {plain:.3f} s; calibrated and final torques: {whole:.3f} s")
    print(f"ratio: {whole / plain:.2f}")


if __name__ == "__main__":
    main()
