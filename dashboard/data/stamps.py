"""Stamps of the register and what patterns read in them."""

from __future__ import annotations

from collections.abc import Hashable
from pathlib import Path

import pandas as pd
import streamlit as st

from core import services


def stamps(where: Path) -> pd.DataFrame:
    """Every stamp of the register with its supplier and the heats recorded of it."""
    return _stamps(str(where), services.probe(where))


@st.cache_resource(max_entries=4, show_spinner=False)
def _stamps(where: str, moved: Hashable) -> pd.DataFrame:
    return services.stamps_on_register(Path(where))


def stamp_patterns(where: Path) -> dict[str, str]:
    """The pattern of each supplier in project.toml."""
    return services.patterns(where)


def stamps_read(where: Path, supplier: str, pattern: str) -> pd.DataFrame:
    """What ``pattern`` reads in the stamps of one supplier. Raises PilewrightError."""
    held = stamps(where)
    own = held[held["supplier"].eq(supplier)].reset_index(drop=True)
    return services.read_stamps(own, pattern)
