"""Which readings are of which run, and the certificates with their instruments."""

from __future__ import annotations

import numpy as np

from core.records.current_rows import PLACE, Array, CurrentRows, common_codes
from core.selection.matching import last_of_each, places_of, row_of
from core.selection.order import in_order, ordered_runs, plain_ranks, ranks, sorted_by

RUN = ("pile_id", "run_no")
OF_READING = (
    "pile_id", "run_no", "depth_mm", "pressure_kpa", "pressure_kind", "return_pressure_kpa",
    "torque_read_nm", "instrument_id", "gear", "direction", "advance_mm_per_turn", "read_at",
    "event", "flag",
)  # fmt: skip
OF_RUN = (
    "run_order", "rig", "run_on", "started_at", "ended_at", "toe_mm", "predrilled_length_mm",
)  # fmt: skip
OF_CERTIFICATE = (
    "instrument_id", "certificate", "issued_on", "valid_from_on", "valid_to_on", "laboratory",
    "instrument_kind", "rig", "entry_no", "row_no",
)  # fmt: skip


def readings_of_runs(torque_reading: CurrentRows, run: CurrentRows) -> CurrentRows:
    """One row is one reading of a run, with the instrument and gear that hold for it.

    A pile's runs come in the order of the work, a run's readings by depth.
    """
    runs = ordered_runs(run)
    at = places_of(torque_reading, RUN, runs, RUN)
    depth = torque_reading.values("depth_mm").astype(np.int64)
    order = np.argsort(at * (1 << 32) + depth, kind="stable")
    order = order[at[order] >= 0]
    readings, of_run = torque_reading.take(order), runs.take(at[order])
    for name in ("instrument_id", "gear"):
        readings = readings.with_text(name, *_own_or(readings, of_run, name))
    return readings.only(OF_READING).beside(of_run, OF_RUN).beside(readings, PLACE)


def _own_or(readings: CurrentRows, of_run: CurrentRows, name: str) -> tuple[Array, list[str]]:
    """Codes and texts of a reading's own ``name``, else its run's, else empty text."""
    (own, runs), texts = common_codes((readings, name), (of_run, name))
    if "" not in texts:
        texts = [*texts, ""]
    return np.where(own >= 0, own, np.where(runs >= 0, runs, texts.index(""))), texts


def readings_without_run(torque_reading: CurrentRows, run: CurrentRows) -> CurrentRows:
    """One row is one run that is on no record although readings of it are.

    With how many they are, ``readings``, and the first of them.
    """
    lost = torque_reading.where(places_of(torque_reading, RUN, run, RUN) < 0)
    pile, number = plain_ranks(lost, "pile_id"), plain_ranks(lost, "run_no")
    group = pile * (int(number.max(initial=0)) + 1) + number
    place = (lost.values("entry_no"), plain_ranks(lost, "sheet"), lost.values("row_no"))
    first = last_of_each(group, *(-key for key in place))
    count = np.unique(group, return_counts=True)[1]
    found = lost.take(first).with_whole("readings", count)
    return found.only([*RUN, "readings", *PLACE])


def certificates(calibration: CurrentRows, instrument: CurrentRows) -> CurrentRows:
    """One row is one calibration certificate with what its instrument is."""
    rows = in_order("calibration", calibration)
    at = row_of(rows, instrument, "instrument_id")
    return rows.beside(instrument.take(at), ["instrument_kind", "rig"]).only(OF_CERTIFICATE)


def calibration_points(calibration_point: CurrentRows) -> CurrentRows:
    """One row is one point of one certificate's curve, along its pressure."""
    pressure = calibration_point.values("point_pressure_kpa")
    return sorted_by(
        calibration_point,
        *(
            plain_ranks(calibration_point, name)
            for name in ("instrument_id", "certificate", "gear")
        ),
        np.where(np.isnan(pressure), -np.inf, pressure),
        ranks(calibration_point, "point_no"),
    )
