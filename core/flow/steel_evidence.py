"""Which rows of the ledger the findings of steel rest on."""

from __future__ import annotations

import pandas as pd

from core.compute.measures.heats import may_be_one_mill
from core.compute.selection import quarantines
from core.flow.citing import PLACE, cited
from core.flow.measuring import Measured
from core.flow.snapshot import Snapshot

_OF_STRING = ["string", "length_difference_mm", "steel"]


def rows_of_steel(numbers: Measured, known: Snapshot) -> list[pd.DataFrame]:
    """One row per pile or lot, measure and ledger row: strings, deliveries and certificates."""
    strings, chain = numbers.steel.strings, numbers.chain
    components, recorded = known.frame("component"), known.frame("piece")
    held = strings[strings["latest"]]
    pieces = chain[chain["latest"]]
    of_component = _joined(held, components, ["stamp", "delivery_id"])
    of_piece = _joined(pieces, recorded, ["stamp", "delivery_id", "piece"])
    of_certificate = _joined(pieces, known.frame("certificate"), ["certificate"])
    heats = known.frame("heat_on_certificate")
    of_heat = _joined(pieces, heats, ["certificate", "mill", "heat"])
    of_note = _joined(held, known.frame("delivery"), ["delivery_id"])
    of_quarantine = _quarantined(pieces, known.select(quarantines))
    cut = numbers.steel.cut.rename(columns={"cut_from": "stamp"})
    of_cut = [_named_by_stamp(cut[["stamp"]], components),
              _named_by_stamp(cut[["stamp"]], components, "cut_from")]  # fmt: skip
    lots = numbers.steel.lots[["stamp"]]
    of_lot = [_named_by_stamp(lots, frame) for frame in (components, held)]
    ends = numbers.runs.groupby("pile_id", sort=False).tail(1)
    return [
        cited(held, "component_placed", _OF_STRING),
        cited(ends, "run", ["length_difference_mm", "string"]),
        cited(of_component, "component", ["steel", "string", "length_difference_mm"]),
        cited(of_piece, "piece", ["steel"]),
        cited(of_certificate, "certificate", ["steel"]),
        cited(of_heat, "heat_on_certificate", ["steel"]),
        cited(of_note, "delivery", ["steel"]),
        cited(of_quarantine, "quarantine", ["quarantine"]),
        cited(
            _joined(pieces[pieces["quarantined"]], recorded, ["stamp", "delivery_id", "piece"]),
            "piece",
            ["quarantine"],
        ),
        *(cited(rows, "component", ["remnant"], "lot") for rows in of_cut),
        cited(of_lot[0], "component", ["lot"], "lot"),
        cited(of_lot[1], "component_placed", ["lot"], "lot"),
    ]


def _joined(rows: pd.DataFrame, record: pd.DataFrame, key: list[str]) -> pd.DataFrame:
    named = rows[["pile_id", *key]].drop_duplicates()
    return named.merge(record[[*key, *PLACE]], on=key)


def _quarantined(pieces: pd.DataFrame, quarantines: pd.DataFrame) -> pd.DataFrame:
    """Quarantines of the heats that each pile holds; of any mill where one names none."""
    held = pieces.loc[pieces["quarantined"], ["pile_id", "mill", "heat"]].drop_duplicates()
    found = held.merge(quarantines[["mill", "heat", *PLACE]], on="heat", suffixes=("", "_kept"))
    return found[may_be_one_mill(found["mill"], found["mill_kept"])]


def _named_by_stamp(
    lots: pd.DataFrame, record: pd.DataFrame, column: str = "stamp"
) -> pd.DataFrame:
    named = record[[column, *PLACE]].rename(columns={column: "stamp"})
    found = lots.merge(named, on="stamp")
    return found.rename(columns={"stamp": "pile_id"})
