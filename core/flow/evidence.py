"""Which rows of the ledger each measure rests on."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial

import numpy as np
import pandas as pd

from core import records
from core.compute.measures import pressure_kinds
from core.compute.measures.events import names_event, texts_to_read
from core.compute.selection import calibration_points, readings_without_run, schedule_in_force
from core.criteria import FINDING_KINDS
from core.flow.cited_rows import PLACE, Cited, CitedRows, Subjects, of_frame, of_rows, of_table
from core.flow.grout_evidence import rows_of_grout
from core.flow.measuring import Measured
from core.flow.measuring.steel import Steel
from core.flow.snapshot import Snapshot
from core.records import JUDGED_EVENTS

# Record kinds of which a finding that names one cites the rows about its pile; of the others a
# function of this package says which rows.
_CITED_WHOLE = {kind.name for kind in records.KINDS if "pile_id" in kind.names} - {"survey"}
OF_SURVEY = ("survey", "survey_review", "covered", "plan_offset_mm", "axis_angle_deg",
             "head_level_difference_mm")  # fmt: skip


def rows_of_measures(numbers: Measured, known: Snapshot) -> CitedRows:
    """The rows behind every measure, each made when a finding rests on it."""
    whole = sorted({kind.measure for kind in FINDING_KINDS} & _CITED_WHOLE)
    parts = [
        *_rows_of_torque(numbers.profile, numbers.runs, known),
        *_rows_of_events(numbers.profile, numbers.recorded),
        *_rows_without_parent(known),
        *rows_of_grout(numbers, known),
        *_rows_of_steel(numbers.steel),
        *of_table(numbers.of_survey, OF_SURVEY),
        *(of_rows(kind, [kind], partial(known.rows_until, kind)) for kind in whole),
    ]
    return CitedRows(parts, {kind: entry for kind, (entry, _) in known.last_entries.items()})


def rows_of_sign_offs(known: Snapshot) -> Cited:
    """Every sign-off, as of a measure of its pile."""
    return of_rows("sign_off", ["sign_off"], lambda: known.rows("sign_off"), subject="subject")


def added_since(found: pd.DataFrame, cited_rows: CitedRows, signed: pd.Series) -> set[str]:
    """Piles of which a finding rests on a row newer than their entry in ``signed``, by pile."""
    subjects = Subjects("pile", signed.index.to_list())
    signed_no = signed.to_numpy(dtype=np.int64)
    own = found[found["subject_kind"].eq("pile") & found["subject"].isin(signed.index)]
    newer = np.zeros(len(signed_no), dtype=bool)
    for measure, named in own.groupby("measure")["subject"]:
        at = subjects.codes(named)
        newest = cited_rows.newest(str(measure), subjects, since=int(signed_no.min()))
        newer[at] |= newest[at] > signed_no[at]
    return set(signed.index[newer])


def _rows_of_steel(steel: Steel) -> list[Cited]:
    """Of piles: strings, deliveries and certificates; of stamps: deliveries and places."""
    of_piles = ("string", "length_difference_mm", "steel", "quarantine")
    return [
        *of_table(steel.piles, of_piles),
        *of_table(steel.parents, ["remnant"], "lot", "stamp"),
        *of_table(steel.tables.lots, ["lot"], "lot", "stamp"),
    ]


def _rows_of_torque(profile: pd.DataFrame, runs: pd.DataFrame, known: Snapshot) -> list[Cited]:
    """Logs, runs, certificates and the schedule; subjects of one number differ by their kind."""

    @cache
    def schedule() -> pd.DataFrame:
        return known.select(schedule_in_force)[["position_id", *PLACE]]

    def of_pile() -> pd.DataFrame:
        piles = known.frame("pile")
        positions = pd.concat([piles[["pile_id", "position_id"]], _own(runs, piles)])
        return positions.merge(schedule(), on="position_id")

    def read() -> pd.DataFrame:
        return profile[profile["inside"] & (profile["standing"] | profile["superseded"])]

    def late() -> pd.DataFrame:
        return profile[~profile["in_force"]]

    def greatest() -> pd.DataFrame:
        measured = profile[profile["torque_nm"].notna()]
        greatest = measured.loc[measured.groupby("pile_id")["torque_nm"].idxmax()]
        return pd.concat([greatest, profile[profile["range"].eq("above")]])

    of_run = ["toe_mm", "stop_reason", "embedment_mm", "disturbed_toe_mm", "stop_from_mm"]
    of_schedule = ["schedule", "required_torque_nm", "torque_factor_per_m", "embedment_mm"]
    return [
        *_of_readings(["final_torque_nm"], read),
        *_of_readings(["greatest_torque_nm"], greatest),
        *_of_readings(["readings_out_of_force"], late),
        *_of_readings(["readings_out_of_force"], lambda: _by_instrument(late()), "instrument"),
        *_without_kind(profile, known),
        of_rows("torque_reading", ["lost"], lambda: known.chosen(readings_without_run)),
        of_frame("run", of_run, lambda: runs),
        of_frame("schedule", of_schedule, of_pile),
        of_frame("schedule", ["schedule"],
                 lambda: schedule().rename(columns={"position_id": "pile_id"}), "position"),
        of_frame("run", ["schedule"], lambda: runs),
        of_frame("run", ["open_run"], lambda: runs[runs["open_run"]]),
    ]  # fmt: skip


def _of_readings(
    measures: list[str], make: Callable[[], pd.DataFrame], subject_kind: str = "pile"
) -> list[Cited]:
    """Rows of logs, and of the runs whose header gives a final reading."""
    rows = cache(make)
    return [
        of_frame("torque_reading", measures, lambda: rows()[~rows()["of_header"]], subject_kind),
        of_frame("run", measures, lambda: rows()[rows()["of_header"]], subject_kind),
    ]


def _rows_of_events(profile: pd.DataFrame, recorded: pd.DataFrame) -> list[Cited]:
    """Readings beside which an event is written, and texts that a person has to read."""

    @cache
    def noted() -> pd.DataFrame:
        return profile[profile["event_words"].ne("")]

    def naming(word: str) -> pd.DataFrame:
        return noted()[names_event(noted()["event_words"], word)]

    def to_read(beside: bool) -> pd.DataFrame:
        texts = texts_to_read(recorded)
        return texts[texts["depth_mm"].notna().eq(beside)]

    return [
        *(
            of_frame("torque_reading", [event.column], partial(naming, event.word))
            for event in JUDGED_EVENTS
        ),
        of_frame("torque_reading", ["event_text"], lambda: to_read(beside=True)),
        of_frame("run", ["event_text"], lambda: to_read(beside=False)),
    ]


def _without_kind(profile: pd.DataFrame, known: Snapshot) -> list[Cited]:
    """The first row of each instrument and sheet whose pressures are of no recorded kind."""
    first = ["pile_id", "entry_no", "sheet"]

    def readings() -> pd.DataFrame:
        bare = _by_instrument(profile[pressure_kinds.readings_not_asked(profile)])
        return bare.drop_duplicates([*first, "of_header"])

    def points() -> pd.DataFrame:
        every = known.select(calibration_points)
        bare = every[pressure_kinds.points_not_asked(every)]
        return bare.rename(columns={"instrument_id": "pile_id"}).drop_duplicates(first)

    return [
        *_of_readings(["pressure_kind"], readings, "instrument"),
        of_frame("calibration_point", ["pressure_kind"], points, "instrument"),
    ]


def _rows_without_parent(known: Snapshot) -> list[Cited]:
    """Rows about a pile or a sample group that is on no record."""

    def rows(record: str, of_pile: bool) -> pd.DataFrame:
        named = known.rows_without_parent.rename(columns={"number": "pile_id"})
        return named[named["record"].eq(record) & named["refers_by"].eq("pile_id").eq(of_pile)]

    kinds = sorted(kind.name for kind in records.KINDS if kind.refers_to)
    return [
        of_frame(kind, ["unknown"], partial(rows, kind, of_pile), subject_kind)
        for kind in kinds
        for of_pile, subject_kind in ((True, "pile"), (False, "sample group"))
    ]


def _own(runs: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    own = runs.loc[~runs["pile_id"].isin(piles["pile_id"]), ["pile_id"]].drop_duplicates()
    return own.assign(position_id=own["pile_id"])


def _by_instrument(readings: pd.DataFrame) -> pd.DataFrame:
    named = readings[["instrument_id", "of_header", *PLACE]]
    return named.rename(columns={"instrument_id": "pile_id"})
