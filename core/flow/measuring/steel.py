"""Strings and the chain of every piece of steel placed up to the day that judges."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from core.compute.measures import steel as measures
from core.compute.measures import steel_quality as quality
from core.compute.measures import strings as string_measures
from core.compute.selection import components_placed, ordered_runs, quarantines
from core.flow.snapshot import Snapshot
from core.judge import chains, steel_quality


@dataclass(frozen=True)
class Steel:
    """Components placed and delivered, their ratings and pieces, stamps twice, use of lots."""

    strings: pd.DataFrame
    ratings: pd.DataFrame
    chain: pd.DataFrame
    register: pd.DataFrame
    again: pd.DataFrame
    lots: pd.DataFrame
    cut: pd.DataFrame
    listed_heats: pd.DataFrame


def steel(snapshot: Snapshot) -> Steel:
    """All about steel that needs no pile."""
    components = measures.delivered(snapshot.frame("component"), snapshot.frame("delivery"))
    components = measures.of_kind(components, snapshot.project.component_kinds())
    components = measures.in_use(components, snapshot.frame("lot"))
    placed = snapshot.select(components_placed)
    placed = placed[~(placed["run_on"] > pd.Timestamp(snapshot.on))].reset_index(drop=True)
    strings = measures.strings(placed, components)
    recorded, heats = snapshot.frame("piece"), snapshot.frame("heat_on_certificate")
    pieces, listed = measures.both_with_mills(recorded, heats)
    chain = measures.chain(strings, recorded, snapshot.frame("certificate"), heats)
    chain = quality.with_grades(chain, snapshot.project.steel_grades())
    chain = quality.with_quarantine(chain, snapshot.select(quarantines))
    return Steel(
        strings=strings,
        ratings=string_measures.component_ratings(strings),
        chain=steel_quality.with_qualities(chains.with_breaks(chain)),
        register=measures.register(chain, components, pieces),
        again=string_measures.stamps_again(strings),
        lots=string_measures.lot_use(strings, components),
        cut=string_measures.cut_use(strings, components, snapshot.select(ordered_runs)),
        listed_heats=listed[["certificate", "mill", "heat"]],
    )


def with_steel(piles: pd.DataFrame, runs: pd.DataFrame, steel: Steel) -> pd.DataFrame:
    """``piles`` with the lengths of their string and how far it is traced."""
    lengths = string_measures.string_measures(steel.strings, runs, piles[["pile_id", "toe_mm"]])
    return piles.join(lengths, on="pile_id").join(chains.by_pile(steel.chain), on="pile_id")
