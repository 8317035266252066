"""Which rows of the ledger the findings of steel rest on."""

from __future__ import annotations

import pandas as pd

from core.flow.citing import PLACE, cited
from core.flow.facts import Facts
from core.flow.measuring import Measured

_OF_STRING = ["string", "length_difference_mm", "steel"]


def rows_of_steel(numbers: Measured, known: Facts) -> list[pd.DataFrame]:
    """One row per pile or lot, measure and ledger row: strings, deliveries and certificates."""
    works, strings, chain = known.works, numbers.steel.strings, numbers.chain
    held = strings[strings["latest"]]
    pieces = chain[chain["latest"]]
    of_component = _joined(held, works.components, ["stamp", "delivery_id"])
    of_piece = _joined(pieces, works.pieces, ["stamp", "delivery_id", "piece"])
    of_certificate = _joined(pieces, works.steel_certificates, ["certificate"])
    lots = numbers.steel.lots[["stamp"]]
    of_lot = [_named_by_stamp(lots, frame) for frame in (works.components, held)]
    ends = numbers.runs.groupby("pile_id", sort=False).tail(1)
    return [
        cited(held, "component_placed", _OF_STRING),
        cited(ends, "run", ["length_difference_mm", "string"]),
        cited(of_component, "component", ["steel", "string", "length_difference_mm"]),
        cited(of_piece, "piece", ["steel"]),
        cited(of_certificate, "certificate", ["steel"]),
        cited(of_lot[0], "component", ["lot"], "lot"),
        cited(of_lot[1], "component_placed", ["lot"], "lot"),
    ]


def _joined(rows: pd.DataFrame, record: pd.DataFrame, key: list[str]) -> pd.DataFrame:
    named = rows[["pile_id", *key]].drop_duplicates()
    return named.merge(record[[*key, *PLACE]], on=key)


def _named_by_stamp(lots: pd.DataFrame, record: pd.DataFrame) -> pd.DataFrame:
    found = lots.merge(record[["stamp", *PLACE]], on="stamp")
    return found.rename(columns={"stamp": "pile_id"})
