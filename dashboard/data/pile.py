"""One pile: its row, findings, readings, steel, grout, survey, history, and its worksheet."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd
import streamlit as st

from core import records, services, units, words
from core.subjects.registry import FINDING
from dashboard import theme
from dashboard.data.importing import local
from dashboard.data.views import BY_KEY, View, piles


def row(view: View, subject: str) -> pd.Series | None:
    """The row of one pile, or None when there is none of that number."""
    frame = piles(view)
    found = frame[frame["subject"] == subject]
    return None if found.empty else found.iloc[0]


def replacements(view: View, subject: str) -> list[str]:
    """Numbers of the piles that serve in place of ``subject``."""
    frame = piles(view)
    return frame.loc[frame["replaces"] == subject, "subject"].tolist()


def findings(view: View, subject: str) -> pd.DataFrame:
    """Findings of one pile, worst first."""
    frame = view.assessment.findings
    own = (frame["pile_id"] == subject) | (
        (frame["subject"] == subject) & frame["subject_kind"].isin(["pile", "position"])
    )
    return frame[own].reset_index(drop=True)


def reasons(view: View, subject: str) -> pd.DataFrame:
    """The findings of one pile that object to its acceptance, worst first."""
    own = findings(view, subject)
    return own[own["result"].map(words.RESULT_STATE).notna()]


def readings(view: View, subject: str) -> pd.DataFrame:
    """Readings of one pile by run and depth, with the bound of those outside the range.

    ``bound_torque_nm`` is the torque that a reading is known to lie above or below;
    ``event_sort`` is ``critical``, ``other``, ``neutral``, or empty where no event is written.
    """
    frame = view.assessment.measured.profile
    own = frame[frame["pile_id"] == subject]
    ceiling = own.get("ceiling_torque_nm", pd.Series(float("nan"), index=own.index))
    bound = own["torque_lower_bound_nm"].where(own["range"].eq("above"), ceiling)
    order = [name for name in ("run_order", "run_no", "depth_mm") if name in own.columns]
    sort = _event_sort(own["event_words"])
    return own.assign(bound_torque_nm=bound, event_sort=sort).sort_values(order)


def _event_sort(event_words: pd.Series) -> pd.Series:
    critical = {event.word for event in records.JUDGED_EVENTS}

    def sort(text: str) -> str:
        named = set(text.split(", ")) - {""}
        if named & critical:
            return "critical"
        return "other" if records.OTHER_TEXT in named else "neutral" if named else ""

    return event_words.map(sort).astype("str")


def recorded(view: View, subject: str) -> pd.DataFrame:
    """Events and remarks of one pile as they were written, in the order of the work."""
    frame = view.assessment.measured.recorded
    return frame[frame["pile_id"] == subject].reset_index(drop=True)


@st.cache_resource(max_entries=128, hash_funcs=BY_KEY, show_spinner=False)
def evidence(view: View, subject: str) -> pd.DataFrame:
    """Source rows of a pile's findings: kind, record, file, sheet, rows as ranges."""
    frame = view.assessment.evidence(subject)
    if frame.empty:
        return frame.assign(rows=pd.Series(dtype=str))
    keys = ["kind", "record", "file", "sheet"]
    frame = frame.drop_duplicates([*keys, "row"]).sort_values([*keys, "row"])
    starts = frame.groupby(keys, dropna=False)["row"].diff().ne(1).fillna(True)
    spans = frame.assign(span=starts.cumsum()).groupby([*keys, "span"], sort=False, dropna=False)
    ends = spans["row"].agg(["min", "max"]).reset_index()
    first, last = ends["min"].astype("Int64").astype(str), ends["max"].astype("Int64").astype(str)
    ends["rows"] = first.where(ends["min"] == ends["max"], first + "–" + last)
    return ends.groupby(keys, sort=False, dropna=False)["rows"].agg(", ".join).reset_index()


# Findings whose limit a figure draws, and the setting that gives it.
TAKE_LIMITS = {
    FINDING["grout_take"].word: "min_cumulative_ratio",
    FINDING["grout_take_in_lift"].word: "min_lift_ratio",
    FINDING["grout_take_above_alarm"].word: "alarm_ratio",
}


def string_placed(view: View, subject: str) -> pd.DataFrame:
    """One row per piece of steel in the last string of one pile, the head first."""
    rows = services.string_placed(view.assessment, subject)
    return rows.sort_values(
        "place", ascending=False, kind="stable", na_position="last"
    ).reset_index(drop=True)


@st.cache_resource(max_entries=128, hash_funcs=BY_KEY, show_spinner=False)
def string_layout(view: View, subject: str, _pile: pd.Series) -> Any:
    """Where the last string of one pile lies, as `core.services.StringLayout` says."""
    return services.string_layout(view.assessment, _pile)


def earlier_strings(view: View, subject: str) -> list[str]:
    """Numbers of the runs of one pile whose string is not its last."""
    trace = view.assessment.measured.trace
    own = trace[trace["pile_id"].eq(subject) & ~trace["latest"]]
    return own["run_no"].drop_duplicates().tolist()


def lifts(view: View, subject: str) -> pd.DataFrame:
    """Lifts of one pile in the order of the work, and where a gap lies between them."""
    return services.lifts_of_pile(view.assessment, subject)


def specimens(view: View, subject: str) -> pd.DataFrame:
    """Specimens of the sample groups that represent one pile, by group and age."""
    sampled, frame = view.assessment.measured.sampled, view.assessment.measured.specimens
    groups = sampled.loc[sampled["pile_id"].eq(subject), "sample_group_id"]
    return frame[frame["sample_group_id"].isin(groups)].reset_index(drop=True)


def take_limits(view: View, subject: str) -> dict[str, float]:
    """Limits of the take of one pile by the name of their setting, those that are set."""
    found = findings(view, subject).dropna(subset=["limit_value"])
    held = found[found["kind"].isin(TAKE_LIMITS)]
    return dict(zip(held["kind"].map(TAKE_LIMITS), held["limit_value"], strict=True))


def surveys(view: View, subject: str) -> pd.DataFrame:
    """Surveys of one pile, the latest first, with their deviations."""
    frame = view.assessment.measured.surveys
    own = frame[frame["pile_id"].eq(subject)]
    return own.sort_values(
        "surveyed_on", ascending=False, kind="stable", na_position="last"
    ).reset_index(drop=True)


def final_window(view: View, pile_type: str, system: str) -> str:
    """Length of the final window of a type, as written in the settings."""
    return view.assessment.project.parameter_text(pile_type, "required_torque", "window_mm", system)


def offset_limit(view: View, pile_type: str) -> tuple[float, bool]:
    """Maximum offset in plan of a type [mm], and whether it holds for each axis by itself."""
    rows = view.assessment.project.criteria("plan_offset")
    rows = rows[rows["pile_type"].eq(pile_type) & rows["criterion_status"].eq("set")]
    if rows.empty:
        return float("nan"), False
    return float(rows["max_mm"].iloc[0]), rows["measured"].iloc[0] == "per axis"


COLUMNS = ["day", "what", "person", "file", "entry_no", "current"]


@st.cache_resource(max_entries=64, hash_funcs=BY_KEY, show_spinner=False)
def history(view: View, subject: str, system: str, _pile: pd.Series) -> pd.DataFrame:
    """One row per thing done and per entry, newest day first: day, what, person, file, entry_no.

    ``current`` is False for an entry that is withdrawn. ``day`` is empty where none is recorded.
    """
    found = services.pile_history(view.assessment, _pile)
    works = found.works.assign(
        on=found.works["happened_on"],
        what=_done(found.works, system),
        current=True,
        rank=0,
    )
    entered = found.entries.assign(
        on=local(Path(str(view.key[0])), found.entries["entered_at"]).dt.normalize(),
        what=_entered(found.entries, found.about),
        current=found.entries["active"],
        rank=1,
    )
    both = pd.concat([works, entered], ignore_index=True)
    both["file"] = both["source"].fillna("form")
    both = both.sort_values(
        ["on", "rank", "entry_no"], ascending=False, kind="stable", na_position="last"
    )
    both["day"] = theme.days(both["on"])
    return both[COLUMNS].reset_index(drop=True)


def _done(works: pd.DataFrame, system: str) -> list[str]:
    rows = zip(works["happening"], works["name"], works["detail"], works["amount"], strict=True)
    return [_sentence(*row, system) for row in rows]


def _sentence(happening: str, name: str, detail: str, amount: float, system: str) -> str:
    number = 0 if pd.isna(amount) else int(amount)
    sentence = {
        "revision": f"Revision {name} of the schedule issued",
        "run": f"Run {name} to {units.text(amount, 'toe_mm', system)}",
        "string": f"String of run {name}: {number} components placed",
        "grout": f"Grout placed in run {name}: {number} lifts, batches",
        "sample": f"Sample group {name} taken: {number} specimens",
        "strength": f"Sample group {name} tested: "
        f"minimum {units.text(amount, 'strength_mpa', system)}",
        "survey": f"Survey {name}",
        "stage": f"Stage reached: {name}",
        "sign-off": f"Signed off by {name} as",
        "quarantine": f"Heat {name}",
    }[happening]
    if happening in ("grout", "sign-off", "quarantine"):
        return f"{sentence} {detail}"
    return f"{sentence}: {detail}" if detail else sentence


def _entered(entries: pd.DataFrame, about: pd.DataFrame) -> list[str]:
    """What each entry records about the pile, and whether it is withdrawn."""
    held: dict[int, list[str]] = {}
    for row in about.itertuples():
        removed = f" ({row.removed} removed)" if row.removed else ""
        part = f"{records.KIND[str(row.kind)].word} {row.rows:,}{removed}"
        held.setdefault(row.entry_no, []).append(part)
    sentences = []
    for entry in entries.itertuples():
        first = f"Entry {entry.entry_no}, {entry.act}"
        if pd.notna(entry.withdraws):
            first += f" withdraws entry {entry.withdraws}"
        parts = ": " + ", ".join(held[entry.entry_no]) if entry.entry_no in held else ""
        sentences.append(first + parts + ("" if entry.active else " (withdrawn)"))
    return sentences


@dataclass(frozen=True)
class Line:
    """One step in words: ``inputs`` are pairs of a number and where it comes from."""

    subject: str
    title: str
    equation: str
    inputs: tuple[tuple[str, str], ...]
    result: str
    measure: str
    value: float
    note: str
    source: str


@st.cache_resource(max_entries=64, hash_funcs=BY_KEY, show_spinner=False)
def worksheet(view: View, subject: str) -> list[Line]:
    """The steps of one pile, read under the view's entry."""
    sheet = services.worksheet(view.assessment, subject)
    return [_line(sheet, step) for step in sheet.steps]


def _line(sheet: services.Worksheet, step: services.Step) -> Line:
    inputs = tuple(
        (_equal(f"{one.symbol} = ", one.value, one.unit), f"{one.description}; {sheet.place(one)}")
        for one in step.inputs
    )
    result = _equal("", step.value, step.unit)
    return Line(step.subject, step.title, step.equation, inputs, result, step.measure, step.value,
                step.note, step.source)  # fmt: skip


def _equal(symbol: str, value: float, unit: str) -> str:
    return f"{symbol}{services.number_text(value, unit)} {unit}".rstrip()


def rating_results(view: View, subject: str) -> set[str]:
    """Results of the rule that holds the torque against the rating of the string."""
    found = findings(view, subject)
    return set(found.loc[found["kind"].eq(FINDING["rated_torque"].word), "result"])
