"""Record kinds of grout: batches, placements by lift, specimens and the piles they stand for."""

from __future__ import annotations

from core.records.kinds import Column, Kind, Reference
from core.records.piles import _PILE_ID, _RUN_NO, OF_PILE, RUN

_BATCH_ID = Column(
    "batch_id",
    "text",
    "Number of the batch.",
    aliases=("batch", "batch no", "batch number", "mix no"),
    required=True,
)
_SAMPLE_GROUP_ID = Column(
    "sample_group_id",
    "text",
    "Number of the sample group: the specimens taken together for some piles.",
    aliases=("sample group", "sample group no", "sample set", "cube set"),
    required=True,
)


def _litres(name: str, meaning: str, *aliases: str, required: bool = False) -> Column:
    return Column(name, "number", meaning, aliases=aliases, required=required, low=0)


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
        ),
        Column(
            "mixed_at",
            "moment",
            "When mixing ended and the age of the batch began.",
            aliases=("time mixed", "mixed at", "time of mixing"),
        ),
        Column("mix", "text", "Name and revision of the mix.", aliases=("mix design", "mix name")),
        Column("plant", "text", "Plant that mixed it.", aliases=("mixer", "grout plant")),
        Column("cement_lot", "text", "Lot of the cement.", aliases=("cement",)),
        Column(
            "water_cement_ratio", "number", "Water over cement by mass.", aliases=("w/c",), low=0
        ),
        _litres("volume_l", "Volume of the batch.", "volume", "batch volume"),
        Column(
            "density_kg_m3",
            "number",
            "Density as weighed.",
            aliases=("density", "mud balance", "specific weight"),
            low=0,
        ),
        Column(
            "flow_s",
            "number",
            "Time of efflux from the flow cone.",
            aliases=("flow", "flow cone", "efflux time", "flow time"),
            low=0,
        ),
        Column("tested_by", "text", "Who measured density and flow.", aliases=("tester",)),
    ),
)

GROUT_PLACEMENT = Kind(
    "grout_placement",
    "grout placement",
    "what one batch gave to one lift of one run",
    ("pile_id", "run_no", "lift_no", "batch_id"),
    (
        _PILE_ID,
        _RUN_NO,
        Column(
            "lift_no",
            "text",
            "Number of the lift: the volume added while the toe went from one depth to another.",
            aliases=("lift", "lift no", "lift number"),
            required=True,
        ),
        _BATCH_ID,
        Column(
            "from_mm",
            "whole",
            "Depth of the toe when the lift began, along the axis.",
            aliases=("from", "toe from", "depth from", "from depth"),
            required=True,
            low=0,
        ),
        Column(
            "to_mm",
            "whole",
            "Depth of the toe when the lift ended, along the axis.",
            aliases=("to", "toe to", "depth to", "to depth"),
            required=True,
            low=0,
        ),
        _litres("batched_l", "Volume batched for the lift.", "batched", "volume batched",
                required=True),
        _litres("left_l", "Volume left in mixer and lines.", "left", "left over", "volume left"),
        _litres("spilled_l", "Volume spilled.", "spilled", "spilt", "waste"),
        _litres("returned_l", "Volume that came back out of the hole.", "returned", "return"),
        Column(
            "how_measured",
            "text",
            "How the volume was measured.",
            aliases=("measured by", "volume measured by"),
            one_of=("flow meter", "tank dip", "pump strokes", "bags"),
        ),
        _litres("resolution_l", "Least step of that measurement.", "resolution"),
        Column(
            "placed_on",
            "date",
            "Day of the placement; the run's day when empty.",
            aliases=("date", "day", "date placed"),
        ),
        Column(
            "started_at",
            "moment",
            "When the placement began.",
            aliases=("start", "start time", "started", "time start", "placed at"),
        ),
        Column(
            "ended_at",
            "moment",
            "When the placement ended.",
            aliases=("end", "end time", "ended", "time end", "finish"),
        ),
        Column("pressure_kpa", "number", "Pressure of the grout.", aliases=("pressure",), low=0),
        Column(
            "level_drop_mm",
            "whole",
            "How far the grout fell in the head after this placement.",
            aliases=("level drop", "drop", "level fallen"),
            low=0,
        ),
        _litres("topped_up_l",
                "Volume topped up after the fall; in the take only as a placement of its own.",
                "topped up", "top up"),
        Column("remarks", "text", "Remarks.", aliases=("remark", "notes", "comment", "comments")),
        Column(
            "depths_of",
            "text",
            "Whether the depths of the lift are of the toe, as when empty, or of the grout column.",
            aliases=("depths are of", "lift depths of"),
            one_of=("toe", "column"),
        ),
    ),
    refers_to=(Reference(RUN, without="refused"), Reference(GROUT_BATCH)),
)  # fmt: skip

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
        ),
        _SAMPLE_GROUP_ID,
        Column(
            "batch_id",
            "text",
            "Batch that it was taken from.",
            aliases=("batch", "batch no", "batch number"),
        ),
        Column(
            "taken_on",
            "date",
            "Day on which it was taken.",
            aliases=("taken", "date taken", "date cast", "cast on", "sampled on"),
            required=True,
        ),
        Column(
            "age_days",
            "number",
            "Age at which it is to be tested, or was.",
            aliases=("age", "age at test", "test age"),
            required=True,
            low=0,
        ),
        Column("tested_on", "date", "Day of the test.", aliases=("tested", "date tested")),
        Column(
            "strength_mpa",
            "number",
            "Compressive strength; empty until the result is in.",
            aliases=("strength", "compressive strength", "result"),
            low=0,
            empty_for_none=True,
        ),
        Column("laboratory", "text", "Laboratory.", aliases=("lab",)),
        Column("report", "text", "Number of the report.", aliases=("report no", "lab report")),
    ),
    refers_to=(Reference(GROUT_BATCH),),
)

SAMPLE_GROUP_MEMBER = Kind(
    "sample_group_member",
    "pile of a sample group",
    "one pile that one sample group stands for",
    ("sample_group_id", "pile_id"),
    (_SAMPLE_GROUP_ID, _PILE_ID),
    refers_to=(
        *OF_PILE,
        Reference(GROUT_SPECIMEN, {"sample_group_id": "sample_group_id"}, "outstanding"),
    ),
)
