"""The chain of every piece of steel placed up to the day that judges."""

from __future__ import annotations

import pandas as pd

from core.compute.measures import steel as measures
from core.flow.facts import Facts
from core.judge import chains


def chain_of(facts: Facts) -> pd.DataFrame:
    """One row per piece of steel placed, with the words where its chain stops."""
    works = facts.works
    placed = works.components_placed
    placed = placed[~(placed["run_on"] > pd.Timestamp(facts.on))].reset_index(drop=True)
    strings = measures.strings(placed, works.components, facts.project.component_kinds())
    chain = measures.chain(
        strings, works.pieces, works.steel_certificates, works.heats_on_certificates
    )
    return chains.with_breaks(chain)
