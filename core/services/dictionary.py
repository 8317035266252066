"""The data dictionary: of all record kinds, of all frames, or of one of either."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd

from core.errors import WrongUse
from core.frames import FRAMES, Frame
from core.records import KIND, KINDS
from core.reports.dictionary import dictionary

_OF_FRAMES = ("frame", "column", "type", "unit", "from", "meaning")


def data_dictionary(name: str | None = None, *, frames: bool = False) -> pd.DataFrame:
    """One row per column of every record kind, of every frame (``frames``), or of the one named.

    Raises WrongUse for a name that is neither.
    """
    if name is None:
        return _of_frames(FRAMES.values()) if frames else dictionary(KINDS)
    if name in FRAMES:
        return _of_frames([FRAMES[name]])
    if name in KIND:
        return dictionary([KIND[name]])
    raise WrongUse(
        f"There is no record kind or frame {name!r}; there are the record kinds "
        f"{', '.join(KIND)}, and the frames {', '.join(FRAMES)}."
    )


def _of_frames(frames: Iterable[Frame]) -> pd.DataFrame:
    """``from``: the record kind or key of project.toml, empty for what is worked out."""
    rows = [
        (frame.name, one.name, one.form, one.unit, one.origin, one.meaning)
        for frame in frames
        for one in frame.columns
    ]
    return pd.DataFrame(rows, columns=pd.Index(_OF_FRAMES))
