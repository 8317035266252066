"""Installation events of every pile: what was written beside readings, and how deep it happened.

What was written is read by ``records.events_in``; whether an event matters is decided elsewhere.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from core.records import JUDGED_EVENTS, OTHER_TEXT, events_in

VOIDING = ("spin_out_mm", "reversed_turning_mm")  # events after which torque says nothing
RECORDED = ("pile_id", "run_no", "run_order", "depth_mm", "text", "event_words")


def with_events(readings: pd.DataFrame) -> pd.DataFrame:
    """``readings`` with event_words: the events that each text names; empty without a text."""
    return readings.assign(event_words=_words(readings["event"]))


def _words(texts: pd.Series) -> pd.Series:
    """Per text its events, joined by a comma; each distinct text is read once."""
    read = {text: ", ".join(events_in(text)) for text in texts.dropna().unique()}
    return texts.map(read).astype("str").fillna("")


def pile_events(readings: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """One row per pile: depth of the deepest event of each judged kind, and what was written.

    Also event_distance_mm, the criterion's multiple of the largest helix, and event_void_to_mm,
    the depth above which torque is void after spin-out or reversed turning. The deepest counts,
    because it is the nearest to the toe. ``piles`` gives event_multiple and largest_helix_mm.
    """
    noted = readings[readings["event_words"].ne("")]
    found: dict[str, pd.Series] = {}
    for event in JUDGED_EVENTS:
        own = noted[names_event(noted["event_words"], event.word)]
        by_pile = own.groupby("pile_id")
        found[event.column] = by_pile["depth_mm"].max().astype(float)
        found[event.text_column] = by_pile["event"].agg(_quoted).astype("str")
    frame = pd.DataFrame(found).reindex(piles["pile_id"].rename("pile_id"))
    distance = piles.set_index("pile_id")[["event_multiple", "largest_helix_mm"]].prod(
        axis=1, skipna=False
    )
    frame["event_distance_mm"] = distance
    frame["event_void_to_mm"] = frame[list(VOIDING)].max(axis=1) + distance
    return frame.reset_index()


def names_event(words: pd.Series, word: str) -> pd.Series:
    """Whether each of ``words``, events joined by a comma, names ``word``."""
    return (", " + words + ",").str.contains(f", {word},", regex=False)


def _quoted(texts: pd.Series) -> str:
    return "; ".join(f'"{text}"' for text in texts.drop_duplicates())


def with_event_voids(piles: pd.DataFrame) -> pd.DataFrame:
    """``piles`` with void_to_mm, the deeper of what disturbed ground and events make void."""
    return piles.assign(void_to_mm=piles[["void_to_mm", "event_void_to_mm"]].max(axis=1))


def recorded_texts(readings: pd.DataFrame, runs: pd.DataFrame) -> pd.DataFrame:
    """One row per event beside a reading and per run with remarks, in the order of the work.

    A remark has no depth. ``event_words``: the events that the text names; empty for a remark
    that names none, because remarks tell of anything.
    """
    beside = readings[readings["event"].notna()].rename(columns={"event": "text"})
    remarks = runs[runs["remarks"].notna()].rename(columns={"remarks": "text"})
    named = _words(remarks["text"])
    named = named.mask(named.eq(OTHER_TEXT), "")
    remarks = remarks.assign(depth_mm=np.nan, event_words=named)
    place = ["entry_no", "sheet", "row_no"]
    parts = [part[[*RECORDED, *place]].astype({"depth_mm": "Int64"}) for part in (beside, remarks)]
    order = ["run_order", "depth_mm"]
    return pd.concat(parts, ignore_index=True).sort_values(order, ignore_index=True)


def texts_to_read(recorded: pd.DataFrame) -> pd.DataFrame:
    """The rows of ``recorded`` that only a person can judge.

    Beside a reading: a text that names no event of the closed list. In remarks, which have no
    depth: one that names an event of the list, but for the neutral ones.
    """
    beside = recorded["depth_mm"].notna()
    judged = pd.Series(False, index=recorded.index)
    for event in JUDGED_EVENTS:
        judged |= names_event(recorded["event_words"], event.word)
    other = names_event(recorded["event_words"], OTHER_TEXT)
    return recorded[(beside & other) | (~beside & judged)]
