"""The chain as boxes and lines: pile, component, heat, certificate; many boxes are folded."""

from __future__ import annotations

from itertools import pairwise

import pandas as pd

LEVELS = ("pile", "component", "heat", "certificate")


def boxes(chain: pd.DataFrame, most: int) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Boxes (``level``, ``box``, ``broken``, ``count``) and lines between neighbouring levels.

    Lines have ``level`` (of their beginning), ``box``, ``next_box`` and ``broken``. With more
    than ``most`` boxes the piles are folded by area, components by kind, and heats and
    certificates by mill; ``count`` is how many a box stands for. When that is still too many,
    each level is one box.
    """
    rows = _named(chain)
    table = rows[list(LEVELS)]
    if _number(table) > most:
        table = _folded(table, chain)
    if _number(table) > most:
        table = pd.DataFrame({level: f"every {level}" for level in LEVELS}, index=rows.index)
    nodes = [_boxes_of(level, table[level], rows) for level in LEVELS]
    return pd.concat(nodes, ignore_index=True), _lines(table, rows)


def _number(table: pd.DataFrame) -> int:
    return int(table.nunique().sum())


def _boxes_of(level: str, named: pd.Series, rows: pd.DataFrame) -> pd.DataFrame:
    count = rows[level].groupby(named, sort=False).nunique().rename("count")
    broken = rows[f"broken_{level}"].groupby(named, sort=False).any().rename("broken")
    found = pd.concat([count, broken], axis=1).rename_axis("box").reset_index()
    return found.assign(level=level)


def _named(chain: pd.DataFrame) -> pd.DataFrame:
    """A name per level of each piece of steel, and whether the chain is broken there."""
    lost_heat = chain["heat"].isna()
    mill = chain["mill"].fillna("").where(~lost_heat, "")
    certificate = chain["certificate"].where(chain["on_file"], None)
    where = chain["component"].fillna("unknown") + " " + chain["stamp"]
    frame = pd.DataFrame(
        {
            "pile": chain["pile_id"],
            "component": where,
            "heat": chain["heat"] + (" " + mill).where(mill.ne(""), ""),
            "certificate": certificate,
        }
    )
    frame["heat"] = frame["heat"].fillna("no heat")
    frame["certificate"] = frame["certificate"].fillna("no certificate")
    frame["broken_pile"] = False
    frame["broken_component"] = ~chain["on_register"].astype(bool)
    frame["broken_heat"] = lost_heat
    frame["broken_certificate"] = ~chain["listed"].astype(bool)
    return frame


def _folded(table: pd.DataFrame, chain: pd.DataFrame) -> pd.DataFrame:
    """Names of groups; a group of one keeps the name of that one."""
    mill = chain["mill"].fillna("").replace("", "mill not known")
    groups = {
        "pile": "area " + chain["area"].fillna("not known"),
        "component": chain["component"].fillna("unknown"),
        "heat": mill.mask(table["heat"].eq("no heat"), "no heat"),
        "certificate": mill.mask(table["certificate"].eq("no certificate"), "no certificate"),
    }
    folded = {}
    for level, names in groups.items():
        alone = table[level].groupby(names).transform("nunique").eq(1)
        folded[level] = names.mask(alone, table[level])
    return pd.DataFrame(folded)


def _lines(table: pd.DataFrame, rows: pd.DataFrame) -> pd.DataFrame:
    parts = []
    for level, following in pairwise(LEVELS):
        frame = pd.DataFrame(
            {
                "box": table[level],
                "next_box": table[following],
                "broken": rows[f"broken_{following}"],
            }
        )
        ends = frame.groupby(["box", "next_box"], sort=False)["broken"].all().reset_index()
        parts.append(ends.assign(level=level))
    return pd.concat(parts, ignore_index=True)
