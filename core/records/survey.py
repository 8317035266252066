"""Record kind of the as-built survey."""

from __future__ import annotations

from core.records.checks import not_before, row_check
from core.records.kinds import Check, Column, Kind
from core.records.piles import OF_PILE, PILE_ID

SURVEY_STAGES = ("after installation", "after cut-off", "before concrete", "re-survey")


def metres(name: str, meaning: str, *aliases: str, example: str) -> Column:
    """A required coordinate or level."""
    return Column(name, "number", meaning, aliases=aliases, required=True, example=example)


def _tilt(name: str, meaning: str, *aliases: str, example: str) -> Column:
    return Column(name, "number", meaning, aliases=aliases, low=-90, high=90, example=example)


_AXIS = "Give the axis by batter and azimuth, or by both tilts."


def _needs(given: str, lacking: str) -> Check:
    return row_check(
        given,
        "missing value",
        lambda rows: rows.given(given) & ~rows.given(lacking),
        lambda rows, at: (
            f"Pile {rows.text('pile_id', at)} has {rows.name(given)} but no {rows.name(lacking)}."
        ),
        _AXIS,
    )


_AXIS_WHOLE = (
    _needs("azimuth_deg", "batter_deg"),
    _needs("tilt_east_deg", "tilt_north_deg"),
    _needs("tilt_north_deg", "tilt_east_deg"),
)
_one_axis = row_check(
    "batter_deg",
    "two axes",
    lambda rows: (
        rows.given("batter_deg") & (rows.given("tilt_east_deg") | rows.given("tilt_north_deg"))
    ),
    "Pile {pile_id} has a batter of {batter_deg} and tilts as well: two axes of one pile.",
    "Keep the one that was measured. " + _AXIS,
)
_REVIEWED_AFTER = not_before(
    "reviewed_on",
    "surveyed_on",
    "The survey of pile {pile_id} is reviewed on {reviewed_on}, before it was taken on "
    "{surveyed_on}.",
)

SURVEY = Kind(
    "survey",
    "survey",
    "one as-built survey of one pile at one stage",
    ("pile_id", "survey_stage"),
    (
        PILE_ID,
        Column(
            "survey_stage",
            "text",
            "When in the life of the pile it was surveyed.",
            aliases=("survey stage", "stage"),
            required=True,
            choices=SURVEY_STAGES,
            example="after cut-off",
        ),
        Column(
            "surveyed_on",
            "date",
            "Day of the survey.",
            aliases=("date", "day", "surveyed", "date surveyed"),
            required=True,
            example="2026-03-10",
        ),
        metres(
            "easting_m",
            "Easting of the measured point.",
            "easting",
            "east",
            "e",
            "x",
            example="100.262",
        ),
        metres(
            "northing_m",
            "Northing of the measured point.",
            "northing",
            "north",
            "n",
            "y",
            example="200.488",
        ),
        metres(
            "level_m", "Level of the measured point.", "level", "z", "elevation", example="3.12"
        ),
        Column(
            "head_level_m",
            "number",
            "Level of the head; empty where the point was measured on the head of a pile cut off.",
            aliases=("head level", "top level", "as-built head level"),
            example="3.12",
        ),
        Column(
            "batter_deg",
            "number",
            "As-built angle of the axis from vertical.",
            aliases=("batter from vertical", "inclination from vertical"),
            unclear=dict.fromkeys(("batter", "inclination"), "from vertical or from horizontal"),
            low=0,
            high=90,
            example="11.8",
        ),
        Column(
            "azimuth_deg",
            "number",
            "As-built direction of the batter, clockwise from grid north.",
            aliases=("azimuth", "bearing"),
            low=0,
            high=360,
            example="91",
        ),
        _tilt(
            "tilt_east_deg",
            "Tilt from vertical, toe east positive, where no batter is given.",
            "tilt east",
            "plumb east",
            example="0.4",
        ),
        _tilt(
            "tilt_north_deg",
            "Tilt from vertical, toe north positive, where no batter is given.",
            "tilt north",
            "plumb north",
            example="-0.2",
        ),
        Column(
            "resolution_mm",
            "number",
            "Minimum step of the survey.",
            aliases=("resolution",),
            low=0,
            example="0.001",
        ),
        Column("surveyor", "text", "Surveyor.", aliases=("surveyed by",), example="E. Invented"),
        Column(
            "reviewed_by",
            "text",
            "Engineer who reviewed it.",
            aliases=("reviewed",),
            example="F. Invented",
        ),
        Column(
            "reviewed_on",
            "date",
            "Day of the review.",
            aliases=("date reviewed",),
            example="2026-03-11",
        ),
        Column(
            "remarks",
            "text",
            "Remarks.",
            aliases=("remark", "notes", "comment", "comments"),
            example="head bent",
        ),
    ),
    refers_to=OF_PILE,
    order=210,
    day="surveyed_on",
    checks=(*_AXIS_WHOLE, _one_axis, _REVIEWED_AFTER),
)
