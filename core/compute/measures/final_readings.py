"""Final readings in the headers of runs, each a reading at the toe beside those of the log.

Frames in, frames out. Where header and log disagree the lower counts; whether the last reading is
close enough to the toe is decided by the settings.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from core.records import CONVERSION_NOISE

# Columns of a reading by the columns of the run that give the header's.
_OF_RUN = {
    "toe_mm": "depth_mm",
    "final_torque_read_nm": "torque_read_nm",
    "final_pressure_kpa": "pressure_kpa",
    "final_pressure_kind": "pressure_kind",
    "final_return_pressure_kpa": "return_pressure_kpa",
}
_FROM_LOG = ("instrument_id", "gear")  # the run's own, else those of its deepest reading
UNKNOWN, BELOW = -2.0, -1.0  # in the order of what counts: nothing known, under the curve, torque
KEY = ["pile_id", "run_no"]


def with_final_readings(readings: pd.DataFrame, runs: pd.DataFrame) -> pd.DataFrame:
    """``readings`` and a row per run whose header gives a final torque or pressure; of_header.

    The header's reading lies at the toe of its run, on the day on which the run ended. It has the
    run's instrument and gear, else those of the run's deepest reading.
    """
    given = runs["final_torque_read_nm"].notna() | runs["final_pressure_kpa"].notna()
    headers = runs[given & runs["toe_mm"].notna()]
    frame = readings.assign(of_header=False)
    if headers.empty:
        return frame
    rows = headers.assign(**{name: headers[old] for old, name in _OF_RUN.items()})
    rows["read_on"] = headers["ended_on"].fillna(headers["run_on"])
    deepest = readings.sort_values("depth_mm").drop_duplicates(KEY, keep="last")
    place = pd.MultiIndex.from_frame(deepest[KEY])
    wanted = place.get_indexer(pd.MultiIndex.from_frame(headers[KEY]))
    for name in _FROM_LOG:
        taken = deepest[name].iloc[wanted].where(wanted >= 0).set_axis(headers.index)
        rows[name] = rows[name].fillna(taken if len(deepest) else "").fillna("")
    rows = rows.reindex(columns=list(readings.columns)).assign(of_header=True)
    dtypes = {name: kind for name, kind in frame.dtypes.items() if name in rows}
    return pd.concat([frame, rows.astype(dtypes)], ignore_index=True)


def superseded(readings: pd.DataFrame, near_mm: pd.Series) -> pd.Series:
    """Whether each reading gives way to the other where a header and a log both read the toe.

    ``near_mm``: by row, how far above the toe the log's last reading is one at the toe.
    """
    pairs = toe_pairs(readings, near_mm)
    lower = pairs["header_order"] < pairs["log_order"]
    gone = pairs["log"].where(lower, pairs["header"])
    return readings.index.to_series().isin(gone)


def toe_pairs(readings: pd.DataFrame, near_mm: pd.Series) -> pd.DataFrame:
    """One row per run whose header and log both read the toe: index, order and torque of either.

    What is known to be lower comes first in the order: a reading without torque or estimated,
    one below the curve, one on it by its torque, one above it.
    """
    header = readings[readings["of_header"]]
    if header.empty:
        names = ["pile_id", "run_order", "header", "log", "header_order", "log_order",
                 "run_no", "header_torque_nm", "log_torque_nm"]  # fmt: skip
        return pd.DataFrame(columns=names)
    toes = header.set_index(KEY)["depth_mm"].astype(float)
    log = readings[~readings["of_header"] & readings["pile_id"].isin(header["pile_id"])]
    log = log[log["direction"].ne("reversed") & log["flag"].ne("missed")]
    above = toes.reindex(pd.MultiIndex.from_frame(log[KEY])).to_numpy() - log["depth_mm"]
    near = near_mm.reindex(log.index).fillna(0.0)
    log = log[(above >= 0) & (above <= near)].sort_values("depth_mm")
    log = log.drop_duplicates(KEY, keep="last")
    parts = [
        pd.DataFrame(
            {
                "pile_id": part["pile_id"],
                "run_no": part["run_no"],
                "run_order": part["run_order"],
                name: part.index,
                f"{name}_order": _order(part),
                f"{name}_torque_nm": part["torque_nm"],
            }
        )
        for name, part in (("header", header), ("log", log))
    ]
    return parts[0].merge(parts[1].drop(columns="run_order"), on=KEY)


def _order(readings: pd.DataFrame) -> np.ndarray:
    known = readings["flag"].ne("estimated")
    place = [readings["range"].eq(word) & known for word in ("below", "in", "above")]
    torque = readings["torque_nm"].to_numpy(dtype=float)
    order: np.ndarray = np.select(place, [BELOW, torque, np.inf], UNKNOWN)
    return order


def header_measures(readings: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """One row per pile whose header and log both read a toe: torque of either, and whether apart.

    Of several runs the last of those that disagree, else the last. ``piles`` gives toe_reading_mm.
    """
    near = readings["pile_id"].map(piles.set_index("pile_id")["toe_reading_mm"])
    pairs = toe_pairs(readings, near)
    header, log = (pairs[name].to_numpy(dtype=float) for name in ("header_order", "log_order"))
    apart = ~np.isclose(header, log, rtol=CONVERSION_NOISE, atol=0.0)
    pairs = pairs.assign(header_apart=apart)
    last = pairs.sort_values(["header_apart", "run_order"]).drop_duplicates("pile_id", keep="last")
    names = ["header_torque_nm", "log_torque_nm", "header_apart", "header_run_no"]
    return last.rename(columns={"run_no": "header_run_no"}).set_index("pile_id")[names]
