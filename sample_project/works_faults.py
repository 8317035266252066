"""What is planted in grout, survey and steel: who departs, how, and the findings it must give."""

from __future__ import annotations

from dataclasses import dataclass

from faults import NO_EVIDENCE, NOT_MET, NOTED

WAITING = "waiting"
Row = tuple[str, str, str, str]  # subject, kind, result, why


@dataclass(frozen=True)
class GroutFault:
    """One pile's departure in its grout; ``takes`` are the take ratios of its lifts."""

    takes: tuple[float, ...] = ()
    waste_recorded: bool = True
    recorded: bool = True
    sampled: bool = True
    density_kg_m3: int = 0
    mixed_min_before: int = 15
    level_drop_mm: int = 0
    topped_up_l: int = 0
    turned_h_later: float = 0.0
    last_lift_recorded: bool = True


GROUT: dict[str, GroutFault] = {
    "P-105": GroutFault(takes=(1.75, 0.88, 1.45)),
    "P-110": GroutFault(sampled=False),
    "P-116": GroutFault(takes=(1.05, 1.04, 1.05)),
    "P-117": GroutFault(last_lift_recorded=False),
    "P-121": GroutFault(takes=(1.60, 2.40, 2.60)),
    "P-123": GroutFault(waste_recorded=False),
    "P-124": GroutFault(level_drop_mm=160, topped_up_l=4),  # clean: it was topped up
    "P-125": GroutFault(density_kg_m3=1790),
    "P-127": GroutFault(mixed_min_before=95),
    "P-129": GroutFault(level_drop_mm=180),
    "P-133": GroutFault(turned_h_later=3.6),
    "P-135": GroutFault(recorded=False),
}
WEAK_DAY, WEAK_MPA = "2026-09-18", 21.4
NO_RESULT_FROM = "2026-09-24"  # specimens of these days are still in the laboratory
NOT_TRACED = "P-149"  # a pile on no schedule is in no sample group and on no survey list


@dataclass(frozen=True)
class SurveyFault:
    """One pile's departure in its survey: out of place at cut-off level, leaning, too high.

    ``up_mm`` is how far up the axis, above cut-off level, the surveyor measured.
    """

    east_mm: float = 0.0
    north_mm: float = 0.0
    tilt_deg: float = 0.0
    head_mm: int = 0
    up_mm: float = 0.0
    surveyed: bool = True
    reviewed: bool = True


SURVEY: dict[str, SurveyFault] = {
    "B15-1": SurveyFault(surveyed=False),
    "B25-1": SurveyFault(surveyed=False),
    "P-111": SurveyFault(surveyed=False),
    "B16-1": SurveyFault(reviewed=False),
    "B53-2": SurveyFault(head_mm=62),
    "B54-2": SurveyFault(east_mm=-71.0, north_mm=64.0),
    "P-131": SurveyFault(tilt_deg=3.4),
    "W-04": SurveyFault(up_mm=600.0),  # clean: it only looks out of place
    "W-06": SurveyFault(east_mm=21.0, north_mm=118.0, up_mm=170.0),
}
# Pile, day of the concrete, pour record.
CONCRETED_OVER = (
    ("P-130", "2026-09-25", "pour record 3"),
    ("P-111", "2026-10-01", "pour record 4"),
)

# Steel, by the pile in whose string it stands.
SAME_STAMP_AS = {"B26-1": "B25-2"}
DOUBTFUL_HEAT = "W-02"  # the letter O on the stamp, a zero on the certificate
NO_CERTIFICATE, LOW_TYPE, NOT_ON_REGISTER = "B26-2", "W-16", "B50-1"
FORGOTTEN_PIECE, WRONG_LEAD, REMNANT = "B52-2", "P-134", "B19-1"
LOOSE_BOLTS = "B53-1"
OVER_USED_LOT = "XF-A"
NO_HEAT, SAME_STAMP_WITHIN, OLD_BOLTS = "B48-2", "B47-2", "W-13"
LOST_PARENT = "XB-Z"  # what a remnant is said to be cut from; no delivery brought it
# Extensions of these piles are of a lot of their own, and that lot is at fault.
LOW_GRADE, BRITTLE, TOO_EARLY, NO_ZINC, THIN_ZINC, NO_ORIGIN, CALLED_BACK, NO_RATING = (
    "B55-1", "B55-2", "B52-1", "B51-1", "B50-2", "B49-1", "B49-2", "B48-1",
)  # fmt: skip


def _of_grout() -> list[Row]:
    missing = "left, spilled and returned are blank for one lift"
    rows = [
        ("P-105", "grout take in a lift", NOT_MET, "the second lift takes 0.9 of its void"),
        ("P-110", "grout sampling", NO_EVIDENCE, "left out of the day's sample group"),
        ("P-110", "grout strength", NO_EVIDENCE, "no sample group stands for it"),
        (
            "P-112A",
            "installed near fresh grout",
            NOT_MET,
            "1.2 m from P-112, grouted half an hour before",
        ),
        (
            "P-113",
            "installed near fresh grout",
            NOT_MET,
            "1.2 m from P-112A, grouted the same morning",
        ),
        ("P-116", "grout take", NOT_MET, "every lift takes little, 1.05 in all"),
        ("P-117", "grout lifts to the toe", NO_EVIDENCE, "the sheet lacks its last lift of 2 ft"),
        ("P-121", "grout take above the alarm", NOTED, "a soft pocket drank the grout"),
        ("P-123", "grout recorded", NO_EVIDENCE, missing),
        ("P-123", "grout take", NO_EVIDENCE, missing),
        ("P-123", "grout take in a lift", NO_EVIDENCE, missing),
        ("P-125", "grout density", NOT_MET, "a batch with too much water"),
        ("P-127", "batch age at placement", NOT_MET, "the batch stood for more than two hours"),
        ("P-129", "grout level after placing", NOT_MET, "fell 180 mm and was not topped up"),
        ("P-133", "turned after initial set", NOT_MET, "turned after noon to fit the bracket"),
        ("P-135", "grout recorded", NO_EVIDENCE, "the day's sheet is silent about it"),
    ]
    weak = "one specimen of the group of 18 September reaches 21.4 MPa"
    rows += [(f"P-{n}", "grout strength", NOT_MET, weak) for n in (120, 121, 122, 123)]
    late = "seven days are over, the laboratory has not reported yet"
    rows += [(f"P-{n}", "grout strength", WAITING, late) for n in range(136, 141)]
    return rows


def _of_survey() -> list[Row]:
    covered = "concrete stands over it, nobody surveyed it"
    kinds = ("survey recorded", "offset in plan", "angle of the axis", "head level")
    return [
        ("B15-1", "survey recorded", NO_EVIDENCE, "abandoned and filled before the surveyor came"),
        ("B16-1", "survey reviewed", NO_EVIDENCE, "nobody has reviewed the survey yet"),
        ("B25-1", "survey recorded", NO_EVIDENCE, "the surveyor missed it"),
        ("B53-2", "head level", NOT_MET, "62 mm above cut-off level"),
        ("B54-2", "offset in plan", NOT_MET, "96 mm out of place"),
        ("P-111", "survey reviewed", NOT_MET, covered),
        *(("P-111", kind, NO_EVIDENCE, covered) for kind in kinds),
        ("P-130", "survey reviewed", NOT_MET, "concrete on the 25th, reviewed on the 28th"),
        ("P-131", "angle of the axis", NOT_MET, "leans by 3.4 degrees"),
        ("W-06", "offset in plan", NOT_MET, "looks in place up the batter; 120 mm out at cut-off"),
    ]


def _of_steel() -> list[Row]:
    twice = "one lead's stamp stands in the strings of both"
    return [
        ("B25-2", "stamp used twice", NOT_MET, twice),
        ("B26-1", "stamp used twice", NOT_MET, twice),
        ("B26-2", "mill certificate", NO_EVIDENCE, "no certificate lists the heat of its lead"),
        ("B50-1", "component not on the register", NO_EVIDENCE, "a stamp that no delivery brought"),
        ("B52-2", "length reconciliation", NOT_MET, "an extension is not on the string list"),
        (
            "B47-2",
            "stamp used twice",
            NOT_MET,
            "the lead's stamp stands at its coupling, too",
        ),
        ("B48-1", "rated torque", NO_EVIDENCE, "no document gives the rating of its extensions"),
        ("B48-2", "heat traced", NO_EVIDENCE, "the heat of its lead's shaft is not on the list"),
        ("B49-1", "origin of the steel", NOTED, "no certificate says where the heat was melted"),
        ("B49-2", "heat in quarantine", NOT_MET, "the mill calls heat A51333 back"),
        ("B50-2", "zinc thickness", NOT_MET, "66 micrometres where 75 are required"),
        ("B51-1", "zinc recorded", NOTED, "the lot of its galvanizing is not on the list"),
        (
            "B52-1",
            "component placed before delivery",
            NO_EVIDENCE,
            "placed on 29 September, delivered on 2 October",
        ),
        ("B55-1", "grade of the steel", NOT_MET, "heat A51330: 441 MPa where 450 are required"),
        ("B55-2", "chemistry of the steel", NOT_MET, "heat A51331: carbon equivalent 0.48"),
        ("W-13", "heat traced", NO_EVIDENCE, "bolts of a lot that went out of use the day before"),
        ("XB-Z", "remnant not tracked", NOTED, "a remnant is cut from a stamp that nobody knows"),
        ("B53-1", "string recorded", NOT_MET, "the bolts of one coupling are not fitted"),
        ("P-134", "wrong component for the type", NOT_MET, "a lead with helices of 300 and 350"),
        ("W-02", "heat not on the certificate named", NO_EVIDENCE, "B4O172 or B40172"),
        ("W-16", "type of mill certificate", NOTED, "2.2 where 3.1 is asked"),
        (OVER_USED_LOT, "lot quantity exceeded", NOTED, "six placed of five delivered"),
    ]


def planted_works() -> list[Row]:
    """Every finding of grout, survey and steel that the raw files must give."""
    return [*_of_grout(), *_of_survey(), *_of_steel()]
