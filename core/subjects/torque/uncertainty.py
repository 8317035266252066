"""How well each torque is known: of every reading, and of what a pile's final window gives.

Gauge and calibration err alike in all readings of one instrument, so the expanded uncertainty of
a mean is the mean of those of its readings, with the same weights.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np

from core.formulas import measurement
from core.records.current_rows import Array
from core.subjects.columns import Book, Column, calculate, choose, take
from core.subjects.steps import Step
from core.subjects.tables import Links, Table, measure, setting
from core.subjects.torque.measures import Pile
from core.subjects.torque.readings import Reading, ReadingRows

SUBJECT = "uncertainty of torque"


class Instrument(Table):
    """One instrument of which it is known how well it measures, in project.toml."""

    subject, title = SUBJECT, "of {instrument_id}"
    class_share = setting("{class_share_key}")
    full_scale_kpa, resolution_kpa = (
        setting("{full_scale_kpa_key}"),
        setting("{resolution_kpa_key}"),
    )
    full_scale_nm, resolution_nm = setting("{full_scale_nm_key}"), setting("{resolution_nm_key}")
    calibration_nm, coverage = setting("{calibration_nm_key}"), setting("{coverage_key}")

    @measure("standard uncertainty of the gauge")
    def gauge_kpa(self) -> Column:
        """From its accuracy class."""
        return calculate(measurement.of_gauge, self)

    @measure("standard uncertainty of the step of reading")
    def step_kpa(self) -> Column:
        """From the smallest difference that is read."""
        return calculate(measurement.of_resolution, self)


class ReadingUncertainty(ReadingRows):
    """One reading and how well its torque is known; ``at``: its instrument's row, -1 for none."""

    subject = SUBJECT
    log: Reading
    instruments: Instrument
    at: Array

    def _of(self, name: str) -> Column:
        return take(self, getattr(self.instruments, name), self.at)

    @measure("expanded uncertainty of the torque")
    def torque_uncertainty_nm(self) -> Column:
        """Unknown where nothing is known of the instrument, or there is no torque."""
        calibration, coverage = self._of("calibration_nm"), self._of("coverage")
        shown = calculate(
            measurement.of_torque_shown,
            self,
            class_share=self._of("class_share"),
            full_scale_nm=self._of("full_scale_nm"),
            resolution_nm=self._of("resolution_nm"),
            calibration_nm=calibration,
            coverage=coverage,
        )
        known = (self.at >= 0) & self.log.torque_lower_bound_nm.known
        by_dial = self.log.shown_nm.known
        if not known.any() or by_dial[known].all():
            return shown.where(known)
        through = calculate(
            measurement.of_torque,
            self,
            torque_per_pressure=self.log.slope,
            gauge_kpa=self._of("gauge_kpa"),
            resolution_kpa=self._of("step_kpa"),
            calibration_nm=calibration,
            coverage=coverage,
        )
        return choose(self, (known & by_dial, shown), (known, through))


def _window_links(table: PileUncertainty) -> list[Links]:
    return table.pile.window_read.links()


class PileUncertainty(Table):
    """One pile: how well the numbers of its final window and its maximum torque are known."""

    subject = SUBJECT
    pile: Pile
    known: ReadingUncertainty

    @cached_property
    def _own(self) -> Column:
        return self.known.torque_uncertainty_nm

    def steps(self, book: Book, row: int = 0) -> list[Step]:
        """How well the final torque is known, where it is."""
        if self.final_uncertainty_nm.known[row]:
            book.value(self.final_uncertainty_nm, row)
        return book.steps

    @measure(
        "expanded uncertainty of the final torque",
        evidence=_window_links,
        note=lambda table, row: table.share_of_final(row),
    )
    def final_uncertainty_nm(self) -> Column:
        """Of the mean, with its weights."""
        counted = self._own.where(self.pile.log.status.counts)
        return self.pile.mean_of(counted, measurement.of_mean, measurement.of_weighted_mean)

    def share_of_final(self, row: int) -> str:
        """The uncertainty beside the final torque, in words."""
        share = (
            self.final_uncertainty_nm.values[row]
            / self.pile.final_torque_lower_bound_nm.values[row]
        )
        return f"{share:.1%} of the final torque; printed as ± beside its margin"

    @measure("expanded uncertainty of the last reading", evidence=_window_links)
    def last_uncertainty_nm(self) -> Column:
        """Of the deepest reading of the window."""
        window, depth = self.pile.window, self.pile.log.depth_mm
        return take(self, self._own, window.at(depth.values, "last"))

    @measure("expanded uncertainty of the mean without the peak reading", evidence=_window_links)
    def without_peak_uncertainty_nm(self) -> Column:
        """Of the mean of the window without its maximum reading."""
        rest = self.pile.without_peak(self.pile.log.torque_lower_bound_nm)
        return rest.mean(self._own, measurement.of_mean)

    @measure(
        "expanded uncertainty of the maximum torque",
        evidence=lambda table: table.pile.evidence("max_torque_nm"),
    )
    def max_uncertainty_nm(self) -> Column:
        """Of the maximum torque of which it is known."""
        torque = np.where(self._own.known, self.pile.log.torque_nm.values, np.nan)
        return take(self, self._own, self.pile.every.at(torque, "maximum"))
