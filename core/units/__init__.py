"""The one unit registry, the closed table of accepted spellings, and how stored numbers are shown.

A column's name ends in its unit. Whole columns are converted when files are read and for display;
a unit's text from a file is looked up in the table and never handed to the registry.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
import pandas as pd
import pint

from core.units.spellings import AMBIGUOUS as AMBIGUOUS  # part of this module
from core.units.spellings import AS_WRITTEN
from core.units.spellings import FEET_AND_INCHES as FEET_AND_INCHES  # part of this module
from core.units.spellings import SHARE as SHARE
from core.units.spellings import SLOPE as SLOPE
from core.units.spellings import SLOPES as SLOPES
from core.units.spellings import SPELLINGS as SPELLINGS  # part of this module

REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()
REGISTRY.define(f"{FEET_AND_INCHES} = inch")
REGISTRY.define(f"{SLOPE} = 1")
REGISTRY.define(f"{SHARE} = 0.01")
SYSTEMS = ("SI", "US")


@dataclass(frozen=True)
class Shown:
    """How a stored unit is shown in one system: registry expression, symbol, decimals."""

    expression: str
    symbol: str
    decimals: int


@dataclass(frozen=True)
class Suffix:
    """A legal ending of a column name: role, registry expression, and its two displays."""

    ending: str
    role: str
    expression: str
    si: Shown
    us: Shown


def _suffix(ending: str, role: str, expression: str, si: Shown, us: Shown) -> Suffix:
    return Suffix(ending, role, expression, si, us)


SUFFIXES: tuple[Suffix, ...] = (  # longest ending first: the first that fits is the unit
    _suffix(
        "_mm_per_turn", "advance", "mm", Shown("mm", "mm/turn", 0), Shown("inch", "in/turn", 2)
    ),
    _suffix(
        "_kg_m3", "density", "kg/m**3", Shown("kg/m**3", "kg/m³", 0), Shown("lb/ft**3", "pcf", 1)
    ),
    _suffix(
        "_kn_m3",
        "unit weight",
        "kN/m**3",
        Shown("kN/m**3", "kN/m³", 1),
        Shown("lbf/ft**3", "pcf", 0),
    ),
    _suffix("_strength_kpa", "stress", "kPa", Shown("kPa", "kPa", 0), Shown("lbf/ft**2", "psf", 0)),
    _suffix(
        "_n_per_mm", "stiffness", "N/mm", Shown("kN/mm", "kN/mm", 1), Shown("kip/inch", "kip/in", 1)
    ),
    _suffix("_per_m", "torque factor", "1/m", Shown("1/m", "1/m", 1), Shown("1/ft", "1/ft", 2)),
    _suffix("_mm2", "area", "mm**2", Shown("mm**2", "mm²", 0), Shown("inch**2", "in²", 2)),
    _suffix("_mm3", "solid volume", "mm**3", Shown("mm**3", "mm³", 0), Shown("inch**3", "in³", 1)),
    _suffix("_cm3", "displacement", "cm**3", Shown("cm**3", "cm³", 1), Shown("inch**3", "in³", 2)),
    _suffix("_kpa", "pressure", "kPa", Shown("bar", "bar", 1), Shown("psi", "psi", 0)),
    _suffix("_mpa", "stress", "MPa", Shown("MPa", "MPa", 1), Shown("ksi", "ksi", 2)),
    _suffix("_deg", "angle", "degree", Shown("degree", "°", 1), Shown("degree", "°", 1)),
    _suffix("_percent", "share", SHARE, Shown(SHARE, "%", 2), Shown(SHARE, "%", 2)),
    _suffix("_um", "coating", "micrometer", Shown("micrometer", "µm", 0), Shown("thou", "mil", 1)),
    _suffix("_rpm", "turning speed", "rpm", Shown("rpm", "rpm", 1), Shown("rpm", "rpm", 1)),
    _suffix("_days", "days", "day", Shown("day", "days", 0), Shown("day", "days", 0)),
    _suffix("_nm", "torque", "N*m", Shown("kN*m", "kN·m", 2), Shown("ft*lbf", "ft·lbf", 0)),
    _suffix("_kn", "force", "kN", Shown("kN", "kN", 1), Shown("kip", "kip", 1)),
    _suffix("_mm", "length", "mm", Shown("m", "m", 2), Shown("ft", "ft", 1)),
    _suffix("_m", "coordinate", "m", Shown("m", "m", 2), Shown("ft", "ft", 2)),
    _suffix("_h", "hours", "hour", Shown("hour", "h", 1), Shown("hour", "h", 1)),
    _suffix("_l", "volume", "litre", Shown("litre", "L", 1), Shown("gallon", "US gal", 1)),
    _suffix("_n", "force", "N", Shown("kN", "kN", 1), Shown("kip", "kip", 1)),
    _suffix("_s", "seconds", "second", Shown("second", "s", 1), Shown("second", "s", 1)),
)
# Words in a name that make its length a small one, shown finer than depths and levels are.
SMALL = ("offset", "difference", "resolution")
_SMALL_SHOWN = {"SI": Shown("mm", "mm", 0), "US": Shown("inch", "in", 2)}


def suffix_of(column: str) -> Suffix | None:
    """The legal suffix that ends ``column``, or None for a column without a unit."""
    return next((s for s in SUFFIXES if column.endswith(s.ending)), None)


def role_of(column: str) -> str | None:
    """What kind of quantity ``column`` holds (``torque``, ``length`` …), or None."""
    suffix = suffix_of(column)
    return suffix.role if suffix else None


def folded(spelling: str) -> str:
    """A unit's text ready for the table: lower case, one space, plain dots and dashes."""
    text = spelling.strip().lower().replace("•", "·").replace("⋅", "·").replace("×", "*")
    text = re.sub(r"[‐-―−]", "-", text)
    text = re.sub(r"\s+", " ", text)
    return text.rstrip(".")


def accepted(spelling: str, role: str) -> str | None:
    """Registry expression for a file's unit text in a given role, or None when not accepted."""
    return SPELLINGS.get(role, {}).get(folded(spelling))


def usual_spellings(role: str) -> dict[str, str]:
    """One spelling of each unit that a file may use for ``role``, by registry expression."""
    found: dict[str, str] = {}
    for spelling, expression in SPELLINGS.get(role, {}).items():
        found.setdefault(expression, AS_WRITTEN.get(spelling, spelling))
    return found


def accepted_spellings(role: str) -> list[str]:
    """Spellings a file may use for ``role``, for an error message."""
    return sorted(SPELLINGS.get(role, {}))


@lru_cache(maxsize=512)
def factor(source: str, target: str) -> float:
    """How many ``target`` are one ``source``; both are registry expressions without offset.

    Raises pint.DimensionalityError when they are not the same kind of quantity.
    """
    # pint multiplies a number by the expression; multiplicative units only are in the tables.
    return float((1.0 * REGISTRY.parse_expression(source)).to(target).magnitude)


def to_store(values: Any, expression: str, column: str) -> Any:
    """Values in ``expression`` converted to the unit that ends ``column``.

    A slope becomes its angle. Raises ValueError when ``column`` has no unit suffix.
    """
    suffix = suffix_of(column)
    if suffix is None:
        raise ValueError(f"column {column} has no unit suffix")
    if expression in SLOPES and suffix.role == "angle":
        return slope_deg(values * factor(expression, SLOPE))
    return values * factor(expression, suffix.expression)


def slope_deg(ratio: Any) -> Any:
    """Angle from vertical of a line that leans ``ratio`` horizontal parts per vertical one."""
    return np.degrees(np.arctan(ratio))


def shown_unit(column: str, system: str) -> Shown | None:
    """How ``column`` is shown in ``system`` (``SI`` or ``US``), or None without a unit."""
    suffix = suffix_of(column)
    if suffix is None:
        return None
    if suffix.role == "length" and not set(SMALL).isdisjoint(column.split("_")):
        return _SMALL_SHOWN[system]
    return suffix.us if system == "US" else suffix.si


def unit_word(column: str) -> str:
    """The store unit of ``column`` as printed in JSON: ``N·m``, ``mm``; empty without a unit."""
    suffix = suffix_of(column)
    if suffix is None:
        return ""
    plain = {
        "N*m": "N·m",
        SHARE: "%",
        "litre": "L",
        "degree": "°",
        "hour": "h",
        "second": "s",
        "mm**2": "mm²",
    }
    plain |= {
        "micrometer": "µm",
        "mm**3": "mm³",
        "cm**3": "cm³",
        "kg/m**3": "kg/m³",
        "kN/m**3": "kN/m³",
    }
    return (
        "mm/turn" if suffix.role == "advance" else plain.get(suffix.expression, suffix.expression)
    )


def shown_name(column: str, system: str) -> str:
    """Heading of ``column`` when shown: ``depth [m]``, ``torque [ft·lbf]``, ``pile id``."""
    suffix, unit = suffix_of(column), shown_unit(column, system)
    if suffix is None or unit is None:
        return column.replace("_", " ")
    return f"{column.removesuffix(suffix.ending).replace('_', ' ')} [{unit.symbol}]"


def shown_values(values: Any, column: str, system: str) -> Any:
    """Values of ``column`` in the unit that ``system`` shows."""
    suffix, unit = suffix_of(column), shown_unit(column, system)
    if suffix is None or unit is None:
        return values
    return values * factor(suffix.expression, unit.expression)


def shown(frame: pd.DataFrame, system: str) -> pd.DataFrame:
    """A copy of ``frame`` in display units, columns renamed by ``shown_name``."""
    columns = {
        shown_name(str(name), system): shown_values(frame[name], str(name), system)
        for name in frame.columns
    }
    return pd.DataFrame(columns, index=frame.index)


def text(
    value: float | None, column: str, system: str, beside: float | None = None, more: int = 0
) -> str:
    """One stored value as printed with its unit, or ``not recorded``.

    A number without a unit has the decimals that it or the value ``beside`` it needs, at most two;
    ``more`` decimals come on top.
    """
    if value is None or not np.isfinite(value):
        return "not recorded"
    unit = shown_unit(column, system)
    if unit is None:
        return f"{value:z,.{max(_decimals(value), _decimals(beside)) + more}f}"
    return f"{shown_values(value, column, system):z,.{unit.decimals + more}f} {unit.symbol}".strip()


def _decimals(value: float | None) -> int:
    """Decimals of a number rounded to two, without zeros at its end; none where there is none."""
    if value is None or not np.isfinite(value):
        return 0
    return len(f"{value:.2f}".rstrip("0").partition(".")[2])
