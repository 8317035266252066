"""What is planted on purpose: how a pile departs from a clean one, and the findings it must give.

``ends`` are the last readings as multiples of the required torque of revision B.
"""

from __future__ import annotations

from dataclasses import dataclass

Rows = tuple[tuple[str, str, str], ...]
NAMES = ("subject", "kind", "result", "why")
NOT_MET, NO_EVIDENCE, NOTED = "not met", "no evidence", "noted"
WINDOW_KINDS = (
    "required torque",
    "torque at the last reading",
    "mean torque without the peak reading",
    "drop at the end",
)
REASON, ADVANCE = "reason for stopping", "advance per revolution"
GAP = "reading gap in the final window"


@dataclass(frozen=True)
class Fault:
    """One pile's departure. Stations count from the top, ``left_out`` from the end (0 = last).

    ``events``: what is written beside a station, counted from the end, too.
    """

    rows: Rows = ()
    ends: tuple[float, ...] = ()
    last_station: int | None = None
    stop_reason: str = "torque and depth reached"
    advance_shares: tuple[float, ...] | None = None
    advance_recorded: bool = True
    left_out: tuple[int, ...] = ()
    toe_below_last_mm: int = 0
    instrument: str = ""
    swap_at: int = 0
    swap_to: str = ""
    resumed_stations: int = 0
    backed_off_stations: int = 0
    worked_to: str = ""
    remarks: str = ""
    events: tuple[tuple[int, str], ...] = ()


def _short(kinds: tuple[str, ...], why: str) -> Rows:
    return tuple((kind, NOT_MET, why) for kind in kinds)


def _unknown(first: tuple[str, str, str], why: str) -> Rows:
    return (first, *((kind, NO_EVIDENCE, why) for kind in WINDOW_KINDS))


def _missing(why: str) -> Rows:
    return _unknown((GAP, NO_EVIDENCE, why), "the window has a gap")


_SHORT = "all readings of the window are below the required torque"
_LAST = "only the last reading is below the required torque"
_SPIKE = "a spike lifts the mean over the required torque"
_OVER = "the crew went past the rated torque"
_ALL_THREE = WINDOW_KINDS[:3]

FAULTS: dict[str, Fault] = {
    "B02-2": Fault((("required torque cross-check", NOTED, "printed 5 % too high"),)),
    "P-104": Fault((("required torque cross-check", NOTED, "printed 4 % too low"),)),
    "B11-2": Fault((
        ("required torque cross-check", NOTED, "ratio 3.28: a factor in 1/ft used as 1/m"),
    )),
    "B04-2": Fault(_short(_ALL_THREE, _SHORT), ends=(0.96, 0.93, 0.97)),
    "W-05": Fault(
        (*_short(_ALL_THREE, _SHORT), (REASON, NOT_MET, "the crew says so itself")),
        ends=(0.94, 0.96, 0.97, 0.94), stop_reason="depth reached, torque not",
    ),
    "P-107": Fault(_short(WINDOW_KINDS[1:2], _LAST), ends=(1.15, 1.10, 0.95)),
    "W-09": Fault(_short(WINDOW_KINDS[1:2], _LAST), ends=(1.12, 1.14, 1.10, 0.96)),
    "B12-1": Fault(_short(WINDOW_KINDS[2:3], _SPIKE), ends=(0.90, 1.26, 1.03)),
    "P-111": Fault(_short(WINDOW_KINDS[2:3], _SPIKE), ends=(0.92, 1.24, 1.02)),
    "P-115": Fault((("rated torque", NOT_MET, _OVER),), ends=(1.50, 1.66, 1.86)),
    "W-12": Fault(
        (("rated torque", NOT_MET, _OVER), (REASON, NOT_MET, "stopped at the rating")),
        ends=(1.40, 1.50, 1.62, 1.72), stop_reason="rating reached",
    ),
    "B08-1": Fault(
        (("embedment", NOT_MET, "0.8 m short in strong ground"),),
        ends=(1.15, 1.22, 1.28), last_station=14,
    ),
    "P-122": Fault(
        (("embedment", NOT_MET, "17 ft, minimum 18.04 ft"),
         (REASON, NOT_MET, "the crew says that the depth is not reached")),
        ends=(1.12, 1.20, 1.25), last_station=17, stop_reason="torque reached, depth not",
    ),
    "B19-2": Fault(
        (("drop at the end", NOT_MET, "falls by 25 % within the window"),), ends=(1.42, 1.30, 1.06)
    ),
    "W-14": Fault(
        (("drop at the end", NOT_MET, "falls by 26 % within the window"),),
        ends=(1.35, 1.42, 1.25, 1.05),
    ),
    "B05-1": Fault(
        _unknown(("spin-out", NOT_MET, "0.6 m above the toe, 1.05 m are required"),
                 "the readings below spin-out do not count"),
        events=((2, "spun out, crowd increased"),),
    ),
    "B07-2": Fault(
        (("spin-out", NOTED, "2.4 m above the toe: torque counts again in time"),),
        events=((8, "spin-out"),),
    ),
    "B18-2": Fault(
        (("coupling failure", NOT_MET, "a bolt of the first coupling sheared"),),
        events=((11, "coupling bolt sheared, replaced"),),
    ),
    "B23-1": Fault(
        (("remark to review", NOTED, "names no event of the list"),),
        events=((9, "roots, smell of gas"),),
    ),
    "B15-1": Fault(
        (("required torque", NOT_MET, "abandoned on an obstruction"),
         ("mean torque without the peak reading", NOT_MET, "abandoned on an obstruction"),
         ("embedment", NOT_MET, "abandoned at 2.1 m"),
         (REASON, NOT_MET, "refusal on obstruction"),
         (ADVANCE, NOT_MET, "spins on the obstruction"),
         ("remark to review", NOTED, "its remarks name an obstruction")),
        ends=(0.35, 0.60, 1.12), last_station=7, stop_reason="refusal on obstruction",
        advance_shares=(0.90, 0.55, 0.10),
        remarks="Obstruction at 2.1 m, withdrawn and hole filled; see B15-1R",
    ),
    "P-126": Fault(
        ((ADVANCE, NOT_MET, "about 0.72 of the pitch"),), advance_shares=(0.74, 0.72, 0.70)
    ),
    "B22-2": Fault(
        ((ADVANCE, NOT_MET, "about 0.75 of the pitch"),), advance_shares=(0.77, 0.76, 0.73)
    ),
    "B25-1": Fault(((ADVANCE, NO_EVIDENCE, "not recorded"),), advance_recorded=False),
    "W-03": Fault(_missing("the last reading but one is missing"), left_out=(1,)),
    "B51-2": Fault(_missing("the last reading but one is missing"), left_out=(1,)),
    "P-131": Fault(
        (("reading gap above the final window", NOTED, "two readings missing"),), left_out=(7, 8)
    ),
    "B17-2": Fault(
        (("reading gap above the final window", NOTED, "one reading missing"),), left_out=(9,)
    ),
    "B10-2": Fault(_missing("the toe is 0.45 m below the last reading"), toe_below_last_mm=450),
    "P-134": Fault(
        (("calibration in force", NO_EVIDENCE, "certificate ran out the day before"),),
        instrument="TI-32",
    ),
    "B21-1": Fault(
        instrument="GS-12", swap_at=8, swap_to="GS-11", remarks="Hose failed, gauge set changed"
    ),
    "B06-1": Fault(
        (("calibrated range", NO_EVIDENCE, "a reading under the lowest point"),
         *((kind, NO_EVIDENCE, "a reading of the window has no torque")
           for kind in WINDOW_KINDS if kind != "torque at the last reading")),
        ends=(1.30, 1.06, 1.34), instrument="GS-12",
    ),
    "B24-2": Fault(
        (("rated torque", NO_EVIDENCE, "the last reading is over the highest point"),
         ("drop at the end", NO_EVIDENCE, "the last reading has no torque, only a floor")),
        ends=(1.05, 1.13, 1.28), instrument="GS-12",
    ),
    "P-138": Fault((
        ("no torque factor for this case", NO_EVIDENCE, "no row for made ground"),
    )),
    "B13-2": Fault(resumed_stations=5, remarks="End of shift, resumed next morning"),
    "W-08": Fault(
        _unknown(("penetration after a stop", NOT_MET, "0.3 m after a night"),
                 "a reading of the window does not count"),
        resumed_stations=1, remarks="End of shift, resumed next morning",
    ),
    "W-18": Fault(
        (*_unknown(("disturbed ground", NOT_MET, "0.6 m below the earlier toe"),
                   "a reading of the window does not count"),
         ("reverse rotation", NOTED, "1.5 m above the toe"),
         ("remark to review", NOTED, "its remarks name reverse rotation")),
        backed_off_stations=3, remarks="Backed off to correct the batter, re-advanced",
    ),
    "B14-1": Fault(
        (*_short(_ALL_THREE, "revision C raises the requirement after installation"),
         ("schedule revision at the run", NOTED, "installed to B, judged by C")),
        ends=(1.03, 1.06, 1.09),
    ),
    "B47-1": Fault(
        (("revision worked to", NOT_MET, "the crew still worked to B, C was in force"),),
        ends=(1.22, 1.24, 1.25), worked_to="B",
    ),
}  # fmt: skip

NOT_ON_SCHEDULE = "P-149"
NO_CRITERION = ("F-1", "F-2", "F-3")
STOPPED, INSTALLING = "W-20", "B46-1"


def planted(forgotten: str) -> list[dict[str, str]]:
    """Every finding that the raw files must give, one row each."""
    rows = [(pile, *row) for pile, fault in FAULTS.items() for row in fault.rows]
    rows += [
        (
            pile,
            "criterion not set",
            NO_EVIDENCE,
            "advance per revolution is left open for this type",
        )
        for pile in NO_CRITERION
    ]
    rows += [
        (INSTALLING, "run not closed", NOTED, "it is being driven on the judging day"),
        ("TI-32", "calibration in force", NO_EVIDENCE, "used after its certificate ran out"),
        (NOT_ON_SCHEDULE, "pile not on any schedule", NO_EVIDENCE, "a number of no position"),
        (forgotten, "position missing from the latest revision", NOTED, "revision C is silent"),
    ]
    return [dict(zip(NAMES, row, strict=True)) for row in rows]
