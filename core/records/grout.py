"""Record kinds of grout: batches, placements by lift, specimens and the piles they stand for."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from core.records.checks import ends_after_start, not_before, row_before, row_check
from core.records.kinds import CONVERSION_NOISE, Column, Kind, Reference, Rows
from core.records.piles import OF_PILE, PILE_ID, RUN, RUN_NO

_BATCH_ID = Column(
    "batch_id",
    "text",
    "Number of the batch.",
    aliases=("batch", "batch no", "batch number", "mix no"),
    required=True,
    example="GB-14",
)
_SAMPLE_GROUP_ID = Column(
    "sample_group_id",
    "text",
    "Number of the sample group: the specimens taken together for some piles.",
    aliases=("sample group", "sample group no", "sample set", "cube set"),
    required=True,
    example="S-31",
)


def _litres(name: str, meaning: str, *aliases: str, example: str, required: bool = False) -> Column:
    return Column(
        name, "number", meaning, aliases=aliases, required=required, low=0, example=example
    )


GROUT_BATCH = Kind(
    "grout_batch",
    "grout batch",
    "one batch of grout, used by one pile or several",
    ("batch_id",),
    (
        _BATCH_ID,
        Column(
            "mixed_on",
            "date",
            "Day on which it was mixed.",
            aliases=("date", "day", "mixed on", "date mixed"),
            required=True,
            example="2026-03-04",
        ),
        Column(
            "mixed_at",
            "timestamp",
            "When mixing ended and the age of the batch began.",
            aliases=("time mixed", "mixed at", "time of mixing"),
            example="2026-03-04 07:20",
        ),
        Column(
            "mix",
            "text",
            "Name and revision of the mix.",
            aliases=("mix design", "mix name"),
            example="M1 rev 2",
        ),
        Column(
            "plant",
            "text",
            "Plant that mixed it.",
            aliases=("mixer", "grout plant"),
            example="Mixer 1",
        ),
        Column("cement_lot", "text", "Lot of the cement.", aliases=("cement",), example="CL-88"),
        Column(
            "water_cement_ratio",
            "number",
            "Water over cement by mass.",
            aliases=("w/c",),
            low=0,
            example="0.45",
        ),
        _litres("volume_l", "Volume of the batch.", "volume", "batch volume", example="240"),
        Column(
            "density_kg_m3",
            "number",
            "Density as weighed.",
            aliases=("density", "mud balance", "specific weight"),
            low=0,
            example="1880",
        ),
        Column(
            "flow_s",
            "number",
            "Time of efflux from the flow cone.",
            aliases=("flow", "flow cone", "efflux time", "flow time"),
            low=0,
            example="14.5",
        ),
        Column(
            "tested_by",
            "text",
            "Who measured density and flow.",
            aliases=("tester",),
            example="C. Invented",
        ),
    ),
    order=80,
    day="mixed_on",
    at_least_one=(
        "mixed_at",
        "mix",
        "plant",
        "cement_lot",
        "water_cement_ratio",
        "volume_l",
        "density_kg_m3",
        "flow_s",
    ),
)

_WASTE = ("left_l", "spilled_l", "returned_l")
_lift_goes_down = row_check(
    "to_mm",
    "depths out of order",
    lambda rows: rows.values["to_mm"] < rows.values["from_mm"],
    "Pile {pile_id}: lift {lift_no} goes from {from_mm} up to {to_mm}. "
    "The toe goes down during a lift.",
    "Correct the depths; write the same depth twice for a top-up.",
)


def _lifts_in_order(rows: Rows) -> None:
    """A lift begins where the one before ended or lower, unless it goes over the same depths."""
    start, end = rows.values["from_mm"], rows.values["to_mm"]
    run = rows.group(("pile_id", "run_no"))
    before = row_before(run, ~np.isnan(start) & ~np.isnan(end) & ~rows.bad)
    again = pd.DataFrame({"run": run, "from": start, "to": end}).duplicated().to_numpy()
    lift = rows.values["lift_no"]
    same = (before >= 0) & (lift == lift[before])
    above = (before >= 0) & (start < end[before]) & (start < end) & ~again & ~same

    def say(at: int) -> tuple[str, str]:
        earlier = int(before[at])
        return (
            f"{_lift(rows, at)} begins at {rows.text('from_mm', at)}, above the end of lift "
            f"{rows.text('lift_no', earlier)} at {rows.text('to_mm', earlier)} "
            f"(row {rows.rows[earlier]}).",
            "Put the lifts in order or correct the depths; a lift that is grouted again has the "
            "depths of the earlier one.",
        )

    rows.fault(above, "from_mm", "lifts out of order", say)


def _lift(rows: Rows, at: int) -> str:
    return f"Pile {rows.text('pile_id', at)}: lift {rows.text('lift_no', at)}"


def _wasted_more(rows: Rows) -> Any:
    wasted = sum(np.nan_to_num(rows.values[name]) for name in _WASTE)
    return wasted > rows.values["batched_l"] * (1 + CONVERSION_NOISE)


def _volumes(rows: Rows, at: int) -> str:
    wasted = ", ".join(
        f"{rows.name(name)} {rows.text(name, at)}" for name in _WASTE if rows.text(name, at)
    )
    return (
        f"{_lift(rows, at)}: more is wasted ({wasted}) than was batched "
        f"({rows.text('batched_l', at)})."
    )


_not_wasted_more = row_check(
    "batched_l",
    "more wasted than batched",
    _wasted_more,
    _volumes,
    "Correct the volumes, or the unit in the header.",
)

GROUT_PLACEMENT = Kind(
    "grout_placement",
    "grout placement",
    "what one batch gave to one lift of one run",
    ("pile_id", "run_no", "lift_no", "batch_id"),
    (
        PILE_ID,
        RUN_NO,
        Column(
            "lift_no",
            "text",
            "Number of the lift: the volume added while the toe went from one depth to another.",
            aliases=("lift", "lift no", "lift number"),
            required=True,
            example="1",
        ),
        _BATCH_ID,
        Column(
            "from_mm",
            "integer",
            "Depth of the toe when the lift began, along the axis.",
            aliases=("from", "toe from", "depth from", "from depth"),
            required=True,
            low=0,
            example="1.2",
        ),
        Column(
            "to_mm",
            "integer",
            "Depth of the toe when the lift ended, along the axis.",
            aliases=("to", "toe to", "depth to", "to depth"),
            required=True,
            low=0,
            example="3.2",
        ),
        _litres(
            "batched_l",
            "Volume batched for the lift.",
            "batched",
            "volume batched",
            required=True,
            example="60",
        ),
        _litres(
            "left_l",
            "Volume left in mixer and lines.",
            "left",
            "left over",
            "volume left",
            example="2",
        ),
        _litres("spilled_l", "Volume spilled.", "spilled", "spilt", "waste", example="1"),
        _litres(
            "returned_l",
            "Volume that came back out of the hole.",
            "returned",
            "return",
            example="0",
        ),
        Column(
            "how_measured",
            "text",
            "How the volume was measured.",
            aliases=("measured by", "volume measured by"),
            choices=("flow meter", "tank dip", "pump strokes", "bags"),
            example="tank dip",
        ),
        _litres("resolution_l", "Minimum step of that measurement.", "resolution", example="2"),
        Column(
            "placed_on",
            "date",
            "Day of the placement; the run's day when empty.",
            aliases=("date", "day", "date placed"),
            example="2026-03-04",
        ),
        Column(
            "started_at",
            "timestamp",
            "When the placement began.",
            aliases=("start", "start time", "started", "time start", "placed at"),
            example="2026-03-04 07:41",
        ),
        Column(
            "ended_at",
            "timestamp",
            "When the placement ended.",
            aliases=("end", "end time", "ended", "time end", "finish"),
            example="2026-03-04 07:48",
        ),
        Column(
            "pressure_kpa",
            "number",
            "Pressure of the grout.",
            aliases=("pressure",),
            low=0,
            example="0.5",
        ),
        Column(
            "level_drop_mm",
            "integer",
            "How far the grout fell in the head after this placement.",
            aliases=("level drop", "drop", "level fallen"),
            low=0,
            example="0.05",
        ),
        _litres(
            "topped_up_l",
            "Volume topped up after the fall; in the take only as a placement of its own.",
            "topped up",
            "top up",
            example="2",
        ),
        Column(
            "remarks",
            "text",
            "Remarks.",
            aliases=("remark", "notes", "comment", "comments"),
            example="slow return",
        ),
        Column(
            "depths_of",
            "text",
            "Whether the depths of the lift are of the toe, as when empty, or of the grout column.",
            aliases=("depths are of", "lift depths of"),
            choices=("toe", "column"),
            example="toe",
        ),
    ),
    refers_to=(
        Reference(
            RUN, without="refused", reason="A lift without its run belongs to no depth of work."
        ),
        Reference(
            GROUT_BATCH,
            reason="Batch sheets come later than placements; a batch not on record is a finding.",
        ),
    ),
    order=90,
    day="placed_on",
    checks=(_lift_goes_down, _lifts_in_order, _not_wasted_more, ends_after_start("placement")),
    sheet_parent=GROUT_BATCH,
)

_strength_has_day = row_check(
    "tested_on",
    "missing value",
    lambda rows: rows.given("strength_mpa") & ~rows.given("tested_on"),
    "Specimen {specimen_id} has a strength but no day of the test.",
    "Write the day of the test, or leave the strength empty until the result is in.",
    otherwise="strength_mpa",
)

GROUT_SPECIMEN = Kind(
    "grout_specimen",
    "grout specimen",
    "one specimen of one sample group, tested or still to be tested",
    ("specimen_id",),
    (
        Column(
            "specimen_id",
            "text",
            "Number of the specimen.",
            aliases=("specimen", "specimen no", "cube", "cube no", "cylinder", "cylinder no"),
            required=True,
            example="S-31-1",
        ),
        _SAMPLE_GROUP_ID,
        Column(
            "batch_id",
            "text",
            "Batch that it was taken from.",
            aliases=("batch", "batch no", "batch number"),
            example="GB-14",
        ),
        Column(
            "taken_on",
            "date",
            "Day on which it was taken.",
            aliases=("taken", "date taken", "date cast", "cast on", "sampled on"),
            required=True,
            example="2026-03-04",
        ),
        Column(
            "age_days",
            "number",
            "Age at which it is to be tested, or was.",
            aliases=("age", "age at test", "test age"),
            required=True,
            low=0,
            example="28",
        ),
        Column(
            "tested_on",
            "date",
            "Day of the test.",
            aliases=("tested", "date tested"),
            example="2026-04-01",
        ),
        Column(
            "strength_mpa",
            "number",
            "Compressive strength; empty until the result is in.",
            aliases=("strength", "compressive strength", "result"),
            low=0,
            zero_is_missing=True,
            example="41.5",
        ),
        Column(
            "laboratory", "text", "Laboratory.", aliases=("lab",), example="Invented laboratory"
        ),
        Column(
            "report",
            "text",
            "Number of the report.",
            aliases=("report no", "lab report"),
            example="LR-7",
        ),
    ),
    refers_to=(Reference(GROUT_BATCH, reason="Batch sheets may come later than results."),),
    order=100,
    day="taken_on",
    checks=(
        not_before(
            "tested_on",
            "taken_on",
            "Specimen {specimen_id} is tested on {tested_on}, before it was taken on {taken_on}.",
        ),
        _strength_has_day,
    ),
)

SAMPLE_GROUP_MEMBER = Kind(
    "sample_group_member",
    "pile of a sample group",
    "one pile that one sample group represents",
    ("sample_group_id", "pile_id"),
    (_SAMPLE_GROUP_ID, PILE_ID),
    refers_to=(
        *OF_PILE,
        Reference(
            GROUT_SPECIMEN,
            {"sample_group_id": "sample_group_id"},
            "outstanding",
            "Specimens may be recorded after the piles of their group.",
        ),
    ),
    order=110,
)
