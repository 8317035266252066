"""Design loads by direction, the torque that each needs, and the required torque that governs."""

from __future__ import annotations

import numpy as np
import pandas as pd

from core import units
from core.compute import torque as formulas
from core.records import CONVERSION_NOISE

DIRECTIONS = ("compression", "tension")
OF_FACTOR = ("torque_factor_per_m", "torque_factor_id", "torque_factor_source")


def matched_torque_factors(piles: pd.DataFrame, factors: pd.DataFrame) -> pd.DataFrame:
    """The row of the torque factor table that fits each case, by the index of ``piles``.

    Fits: same section, direction and grout, and the same helix set and ground or ``any``;
    an exact word goes before ``any``. Two equally exact rows give none: the case is ambiguous.
    """
    case = ["section", "direction", "grouted"]
    cases = piles[[*case, "helix_set", "ground_class"]].reset_index(names="row")
    pairs = cases.merge(factors, on=case, suffixes=("", "_of_factor"))
    exact_set = pairs["helix_set"].eq(pairs["helix_set_of_factor"])
    exact_ground = pairs["ground_class"].eq(pairs["ground"])
    fits = (exact_set | pairs["helix_set_of_factor"].eq("any")) & (
        exact_ground | pairs["ground"].eq("any")
    )
    pairs = pairs.assign(exact=exact_set.astype(int) + exact_ground.astype(int))[fits]
    best = pairs[pairs["exact"] == pairs.groupby("row")["exact"].transform("max")]
    best = best.drop_duplicates("row", keep=False).set_index("row")
    best = best.rename(columns={"id": "torque_factor_id", "source": "torque_factor_source"})
    return best[list(OF_FACTOR)]


def with_load_cases(
    piles: pd.DataFrame, safety_factors: pd.DataFrame, factors: pd.DataFrame
) -> pd.DataFrame:
    """``piles`` with the factors of each direction and the torque that its load needs.

    ``piles`` gives design_compression_kn, design_tension_kn, load_basis, load_nature, direction
    and the case of the torque factor. Added for each direction: ``{direction}_safety_factor``,
    ``{direction}_torque_factor_per_m`` with ``_id`` and ``_source``, and ``{direction}_torque_nm``.
    Over both: computed_torque_nm, the greatest, with computed_direction, and computed_whole,
    whether every load has its torque. load_kn, safety_factor and the torque factor without a
    direction are those of factor_direction: the schedule's, else the one that governs.
    """
    frame = piles.copy()
    for direction in DIRECTIONS:
        frame = frame.join(_of_direction(frame, direction, safety_factors, factors))
    torques = frame[[f"{direction}_torque_nm" for direction in DIRECTIONS]]
    loaded = frame[[f"design_{direction}_kn" for direction in DIRECTIONS]].gt(0)
    names = np.array(DIRECTIONS, dtype=object)
    known = torques.notna().to_numpy()
    greatest = names[torques.fillna(-np.inf).to_numpy().argmax(axis=1)]
    first = names[loaded.to_numpy().argmax(axis=1)]
    computed = np.where(known.any(axis=1), greatest, None)
    frame["computed_torque_nm"] = torques.max(axis=1)
    frame["computed_direction"] = pd.Series(computed, frame.index, dtype="str")
    frame["computed_whole"] = (known | ~loaded.to_numpy()).all(axis=1) & known.any(axis=1)
    chosen = frame["direction"].fillna(frame["computed_direction"])
    chosen = chosen.fillna(
        pd.Series(np.where(loaded.any(axis=1), first, None), frame.index, dtype="str")
    )
    return _of_chosen(frame.assign(factor_direction=chosen))


def _of_direction(
    piles: pd.DataFrame, direction: str, safety_factors: pd.DataFrame, factors: pd.DataFrame
) -> pd.DataFrame:
    """Safety factor, torque factor and torque of the load in one direction."""
    own = safety_factors[safety_factors["direction"].eq(direction)].set_index("nature")["value"]
    safety = piles["load_nature"].map(own).astype(float)
    cases = matched_torque_factors(piles.assign(direction=direction), factors)
    cases = cases.reindex(piles.index)
    load = piles[f"design_{direction}_kn"].astype(float)
    service = piles["load_basis"].eq("service") & load.gt(0)
    torque = formulas.required_torque(
        (load * units.factor("kN", "N")).where(service), safety, cases["torque_factor_per_m"]
    )
    return pd.DataFrame(
        {
            f"{direction}_safety_factor": safety,
            **{f"{direction}_{name}": cases[name] for name in OF_FACTOR},
            f"{direction}_torque_nm": torque,
        }
    )


def _of_chosen(frame: pd.DataFrame) -> pd.DataFrame:
    """``frame`` with load and factors of ``factor_direction`` under names without a direction."""
    tension = frame["factor_direction"].eq("tension")
    none = frame["factor_direction"].isna()
    pairs = {"load_kn": "design_{}_kn", "safety_factor": "{}_safety_factor"}
    pairs |= {name: f"{{}}_{name}" for name in OF_FACTOR}
    chosen = {}
    for name, of in pairs.items():
        compression, other = (frame[of.format(direction)] for direction in DIRECTIONS)
        chosen[name] = compression.mask(tension, other).mask(none)
    return frame.assign(**chosen)


def torque_requirements(piles: pd.DataFrame) -> pd.DataFrame:
    """Beside each row: the required torque that governs and why, rating, resistance.

    ``piles`` gives printed_torque_nm, computed_torque_nm, computed_whole, cross_check_share,
    printed_governs (the clause by which the printed value governs), torque_factor_per_m,
    final_torque_nm, and the ratings of schedule, section and components placed.
    printed_agrees: whether the two differ by no more than the share; missing with either of them.
    required_is_part: computed of some of the loads alone, so that meeting it proves nothing.
    """
    printed, computed = piles["printed_torque_nm"], piles["computed_torque_nm"]
    both = printed.notna() & computed.notna()
    share = piles["cross_check_share"].astype(float) * (1 + CONVERSION_NOISE)
    agrees = formulas.difference_share(printed, computed) <= share
    greater = formulas.governing_torque(printed, computed, share)
    settled = piles["printed_governs"].fillna("").ne("") & printed.notna()
    required = printed.fillna(computed).mask(both & ~settled, greater)
    names = ["schedule_rated_torque_nm", "section_rated_torque_nm", "component_rated_torque_nm"]
    implied = formulas.resistance(piles["final_torque_nm"], piles["torque_factor_per_m"])
    return pd.DataFrame(
        {
            "required_torque_nm": required,
            "required_by": _required_by(printed, computed, both & ~agrees, settled),
            "required_is_part": printed.isna() & computed.notna() & ~piles["computed_whole"],
            "printed_agrees": agrees.astype(object).where(both, None),
            "rated_torque_nm": piles[names].min(axis=1),
            "resistance_kn": implied * units.factor("N", "kN"),
        }
    )


def _required_by(
    printed: pd.Series, computed: pd.Series, apart: pd.Series, settled: pd.Series
) -> pd.Series:
    """Which value governs: printed or computed, and where they are apart, why."""
    words = np.select(
        [
            apart & settled,
            apart & (printed >= computed),
            apart,
            printed.notna(),
            computed.notna(),
        ],
        [
            "printed, by its clause",
            "printed, the greater",
            "computed, the greater",
            "printed",
            "computed",
        ],
        "",
    )
    return pd.Series(words, printed.index, dtype="str").replace("", np.nan)
