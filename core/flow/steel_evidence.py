"""Which rows of the ledger the measures of steel rest on."""

from __future__ import annotations

from functools import cache

import pandas as pd

from core.compute.measures.heats import may_be_one_mill
from core.compute.selection import quarantines
from core.flow.cited_rows import PLACE, Cited, of_frame
from core.flow.measuring import Measured
from core.flow.snapshot import Snapshot


def rows_of_steel(numbers: Measured, known: Snapshot) -> list[Cited]:
    """Of piles and lots: strings, deliveries and certificates."""
    strings, chain, lots = numbers.steel.strings, numbers.chain, numbers.steel.lots[["stamp"]]

    @cache
    def held() -> pd.DataFrame:
        return strings[strings["latest"]]

    @cache
    def pieces() -> pd.DataFrame:
        return chain[chain["latest"]]

    def joined(rows: pd.DataFrame, kind: str, *key: str) -> pd.DataFrame:
        return _joined(rows, known.frame(kind), list(key))

    def quarantined() -> pd.DataFrame:
        of_piece = pieces()[pieces()["quarantined"]]
        return joined(of_piece, "piece", "stamp", "delivery_id", "piece")

    def remnants(column: str) -> pd.DataFrame:
        cut = numbers.steel.cut.rename(columns={"cut_from": "stamp"})
        return _named_by_stamp(cut[["stamp"]], known.frame("component"), column)

    of_string = ["string", "length_difference_mm", "steel"]
    return [
        of_frame("component_placed", of_string, held),
        of_frame("run", ["length_difference_mm", "string"],
                 lambda: numbers.runs.groupby("pile_id", sort=False).tail(1)),
        of_frame("component", ["steel", "string", "length_difference_mm"],
                 lambda: joined(held(), "component", "stamp", "delivery_id")),
        of_frame("piece", ["steel"],
                 lambda: joined(pieces(), "piece", "stamp", "delivery_id", "piece")),
        of_frame("certificate", ["steel"], lambda: joined(pieces(), "certificate", "certificate")),
        of_frame("heat_on_certificate", ["steel"],
                 lambda: joined(pieces(), "heat_on_certificate", "certificate", "mill", "heat")),
        of_frame("delivery", ["steel"], lambda: joined(held(), "delivery", "delivery_id")),
        of_frame("quarantine", ["quarantine"],
                 lambda: _quarantined(pieces(), known.select(quarantines))),
        of_frame("piece", ["quarantine"], quarantined),
        of_frame("component", ["remnant"], lambda: remnants("stamp"), "lot"),
        of_frame("component", ["remnant"], lambda: remnants("cut_from"), "lot"),
        of_frame("component", ["lot"],
                 lambda: _named_by_stamp(lots, known.frame("component")), "lot"),
        of_frame("component_placed", ["lot"], lambda: _named_by_stamp(lots, held()), "lot"),
    ]  # fmt: skip


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
