"""Installation events: what was written beside readings and in remarks, and how deep it happened.

What was written is read by ``records.events_in``; whether an event matters is decided elsewhere.
"""

from __future__ import annotations

import numpy as np

from core.records import JUDGED_EVENTS, OTHER_TEXT, events_in
from core.records.current_rows import Array, CurrentRows
from core.subjects.tables import Texts

VOIDING = ("spin_out_mm", "reverse_rotation_mm")  # events after which torque proves nothing
NAMED = ("pile_id", "run_no", "run_order", "depth_mm", "text")


def words(rows: CurrentRows, name: str) -> Texts:
    """Per row the events that its text names, joined by a comma; each distinct text read once."""
    read = [", ".join(events_in(text)) for text in rows.texts(name)]
    place = {text: at for at, text in enumerate(dict.fromkeys(read))}
    codes = np.array([*(place[text] for text in read), -1])[rows.codes(name)]
    return Texts(codes, list(place))


def naming(of: Texts, word: str) -> Array:
    """Whether each text of events joined by a comma names ``word``."""
    found: Array = np.array([*(word in text.split(", ") for text in of.words), False])[of.codes]
    return found


def quoted(rows: CurrentRows, owner: Array, length: int) -> Texts:
    """Per owner the distinct texts of its rows' ``event``, in quotation marks, in their order."""
    texts, codes = rows.texts("event"), rows.codes("event")
    of: dict[int, dict[str, None]] = {}
    for pile, code in zip(owner.tolist(), codes.tolist(), strict=True):
        of.setdefault(pile, {})[texts[code]] = None
    found = np.full(length, -1)
    found[list(of)] = range(len(of))
    return Texts(found, ["; ".join(f'"{text}"' for text in own) for own in of.values()])


def recorded_texts(readings: CurrentRows, runs: CurrentRows) -> CurrentRows:
    """One row per event beside a reading and per run with remarks, in the order of the work.

    A remark has no depth. ``event_words``: the events that the text names; empty for a remark
    that names none, because remarks are about anything.
    """
    beside = readings.where(readings.has("event") & ~readings.is_true("of_header"))
    remarks = runs.where(runs.has("remarks"))
    noted = _as_text(beside, "event", words(beside, "event"))
    named = words(remarks, "remarks")
    named = Texts(named.codes, ["" if text == OTHER_TEXT else text for text in named.words])
    rows = noted.above(_as_text(remarks, "remarks", named))
    depth = rows.values("depth_mm").astype(float)
    order = np.lexsort((depth, rows.values("run_order")))
    return rows.only([*NAMED, "event_words", "entry_no", "sheet", "row_no"]).take(order)


def _as_text(rows: CurrentRows, name: str, named: Texts) -> CurrentRows:
    """``rows`` with what is written under ``name`` as text, and the events that it names."""
    own = [one for one in (*NAMED, "entry_no", "sheet", "row_no") if one in rows.names]
    found = rows.only([*own, name]).renamed({name: "text"})
    texts = [*named.words, ""]
    codes = np.where(named.codes < 0, len(texts) - 1, named.codes)
    return found.with_text("event_words", codes, texts)


def texts_to_read(recorded: CurrentRows) -> CurrentRows:
    """The rows of ``recorded`` that only a person can judge.

    Beside a reading: a text that names no event of the closed list. In remarks, which have no
    depth: one that names an event of the list, but for the neutral ones.
    """
    beside = recorded.has("depth_mm")
    named = Texts(recorded.codes("event_words"), recorded.texts("event_words"))
    judged = np.zeros(len(recorded), dtype=bool)
    for event in JUDGED_EVENTS:
        judged |= naming(named, event.word)
    return recorded.where(np.where(beside, naming(named, OTHER_TEXT), judged))
