"""Record kind of the as-built survey."""

from __future__ import annotations

from core.records.kinds import Column, Kind
from core.records.piles import _PILE_ID, OF_PILE

SURVEY_STAGES = ("after installation", "after cut-off", "before concrete", "re-survey")


def _metres(name: str, meaning: str, *aliases: str) -> Column:
    return Column(name, "number", meaning, aliases=aliases, required=True)


def _tilt(name: str, meaning: str, *aliases: str) -> Column:
    return Column(name, "number", meaning, aliases=aliases, low=-90, high=90)


SURVEY = Kind(
    "survey",
    "survey",
    "one as-built survey of one pile at one stage",
    ("pile_id", "survey_stage"),
    (
        _PILE_ID,
        Column(
            "survey_stage",
            "text",
            "When in the life of the pile it was surveyed.",
            aliases=("survey stage", "stage"),
            required=True,
            one_of=SURVEY_STAGES,
        ),
        Column(
            "surveyed_on",
            "date",
            "Day of the survey.",
            aliases=("date", "day", "surveyed", "date surveyed"),
            required=True,
        ),
        _metres("easting_m", "Easting of the measured point.", "easting", "east", "e", "x"),
        _metres("northing_m", "Northing of the measured point.", "northing", "north", "n", "y"),
        _metres("level_m", "Level of the measured point.", "level", "z", "elevation"),
        Column(
            "head_level_m",
            "number",
            "Level of the head; empty where the point was measured on the head of a pile cut off.",
            aliases=("head level", "top level", "as-built head level"),
        ),
        Column(
            "batter_deg",
            "number",
            "As-built angle of the axis from vertical.",
            aliases=("batter from vertical", "inclination from vertical"),
            unclear=dict.fromkeys(("batter", "inclination"), "from vertical or from horizontal"),
            low=0,
            high=90,
        ),
        Column(
            "azimuth_deg",
            "number",
            "As-built direction of the batter, clockwise from grid north.",
            aliases=("azimuth", "bearing"),
            low=0,
            high=360,
        ),
        _tilt("tilt_east_deg", "Tilt from vertical, toe east positive, where no batter is given.",
              "tilt east", "plumb east"),
        _tilt("tilt_north_deg", "Tilt from vertical, toe north positive, where no batter is given.",
              "tilt north", "plumb north"),
        Column("resolution_mm", "number", "Least step of the survey.", aliases=("resolution",),
               low=0),
        Column("surveyor", "text", "Surveyor.", aliases=("surveyed by",)),
        Column("reviewed_by", "text", "Engineer who reviewed it.", aliases=("reviewed",)),
        Column("reviewed_on", "date", "Day of the review.", aliases=("date reviewed",)),
        Column("remarks", "text", "Remarks.", aliases=("remark", "notes", "comment", "comments")),
    ),
    refers_to=OF_PILE,
)  # fmt: skip
