"""Readings as a frame, for screens, exports and the notebook."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from core.records.current_rows import PLACE
from core.selection.torque import OF_READING, OF_RUN
from core.subjects.columns import take
from core.subjects.frames import frame_of
from core.subjects.tables import Texts
from core.subjects.torque.curves import PLACES
from core.subjects.torque.readings import DIFFERENTIAL, LINE
from core.subjects.torque.standing import NOT_COUNTED
from core.subjects.torque.tables import Torque

OF_PILE = ("toe_mm", "predrilled_length_mm")  # a reading's run has its own; the pile's holds


def profile(torque: Torque) -> pd.DataFrame:
    """One row per reading with all that is worked out of it, by number of the pile and depth."""
    log, rows = torque.log, torque.log.rows
    names = [name for name in (*OF_READING, *OF_RUN) if name not in OF_PILE]
    columns = {**_curve(torque), **_standing(torque)}
    order = log.by_number
    read = rows.only([*names, *PLACE, "read_on", "of_header"]).take(order).frame()
    read["torque_read_nm"] = log.shown_nm.values[order]
    made = frame_of({name: one.take(order) for name, one in columns.items()})
    return pd.concat([read, made], axis=1)


def _curve(torque: Torque) -> dict[str, Any]:
    """Certificate, curve and what they give."""
    log = torque.log
    curves, placed = log.curves, log.placed
    with_curve = curves.of_reading >= 0
    kinds = Texts(np.where(with_curve, np.where(log.by_line, 2, 1), 0), ("", DIFFERENTIAL, LINE))
    words = Texts(np.where(log.events.codes < 0, len(log.events.words), log.events.codes),
                  [*log.events.words, ""])  # fmt: skip
    return {
        "event_words": words,
        "certificate": Texts(curves.certificate[curves.line], curves.texts["certificate"]),
        "in_force": log.in_force,
        "torque_nm": log.torque_nm.values,
        "torque_lower_bound_nm": log.torque_lower_bound_nm.values,
        "ceiling_torque_nm": log.ceiling_torque_nm.values,
        "range": Texts(placed.place, PLACES),
        "curve_pressure_kpa": np.where(with_curve, log.curve_pressure_kpa.values, np.nan),
        "curve_pressure_kind": kinds,
        "kinds_differ": placed.kinds_differ,
        "no_torque_because": log.no_torque_because,
        "torque_uncertainty_nm": torque.known.torque_uncertainty_nm.values,
    }


def _standing(torque: Torque) -> dict[str, Any]:
    """What the pile gives, and whether each reading stands and counts."""
    log, pile = torque.log, torque.pile
    found = log.standing
    return {
        **{name: take(log, getattr(pile, name), log.pile).values for name in OF_PILE},
        "superseded": found.superseded,
        "standing": found.standing,
        "counts": found.counts,
        "not_counted_because": Texts(found.why_not, NOT_COUNTED),
        "inside": found.inside,
        "in_window": found.in_window,
    }
