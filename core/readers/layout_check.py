"""Whether a layout can be used at all, judged by the record kinds that it names."""

from __future__ import annotations

from core import units
from core.readers.chains import CHAINS, missing_columns, word
from core.readers.layouts import Layout, Origin
from core.readers.problems import listed
from core.records import KIND, Column


def layout_faults(layout: Layout) -> list[str]:
    """What is wrong with ``layout``, in sentences; none when it can be used."""
    chain = next((chain for chain in CHAINS if set(layout.kinds) <= set(chain)), None)
    if chain is None:
        return [f"One sheet cannot hold {listed(list(layout.kinds))} together; choose one of them."]
    faults = []
    first, last = layout.header_rows
    if not 1 <= first <= last or last - first > 5:
        faults.append("The header rows are a first and a last row, at most six in all.")
    for kind in layout.kinds:
        lacking = missing_columns(kind, layout.columns)
        if lacking:
            faults.append(f"A {KIND[kind].word} needs also: {listed(lacking)}.")
    for name, origin in layout.columns.items():
        found = [kind for kind in layout.kinds if name in KIND[kind].names]
        if not found:
            faults.append(f"{name} is no column of {listed(list(layout.kinds))}.")
            continue
        faults += _origin_faults(origin, KIND[found[0]].column(name), word(found[0], name))
    if not any(origin.header for origin in layout.columns.values()):
        faults.append("At least one column must come from a header of the sheet.")
    unknown = [name for name in layout.fill_down if name not in layout.columns]
    if unknown:
        faults.append(f"To be filled down but not mapped: {listed(unknown)}.")
    return faults


def _origin_faults(origin: Origin, column: Column, name: str) -> list[str]:
    """Exactly one place, and a known unit where the column has one."""
    places = sum((bool(origin.header), bool(origin.cell), origin.tab, bool(origin.text)))
    if places != 1:
        return [f"Say one place for {name}: a header, a cell, the sheet's name, or one text."]
    if column.role is None:
        return []
    if not origin.unit:
        return [f"Say the unit of {name}."]
    if units.accepted(origin.unit, column.role) is None:
        known = listed(units.accepted_spellings(column.role), 12)
        return [f"{origin.unit} is no known unit of {name}. Known: {known}."]
    return []
