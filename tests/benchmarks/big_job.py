"""An invented job of any size: piles in rows, a reading every 300 mm, grout a metre, steel by lots.

Every pile is grouted from a batch of its own; two piles of one day share a group of specimens.
"""

from __future__ import annotations

import math
from datetime import date, timedelta
from pathlib import Path

from core import services
from tests.services.grout_job import BATCHES, GROUTED, MEMBERS, PLACED_HEAD, SPECIMENS
from tests.services.small import CERTIFICATES, INSTRUMENTS, SCHEDULE
from tests.services.steel_job import settings

HEATS, MILLS = 400, 4
FIRST_DISC_M, LIFT_M, LITRES_A_METRE = 0.5, 1.0, 32.0
OF_RUNS = ("log.csv", "placed.csv", "batches.csv", "placements.csv", "specimens.csv", "members.csv")
LEAD_M, EXTENSION_M, STICK_UP_M = 2.1, 3.0, 0.4
PER_LOT = 40


def texts(piles: int, readings: int, first: int = 1) -> dict[str, str]:
    """Every file of the job by its name; ``readings`` a pile, piles numbered from ``first``."""
    rows: dict[str, list[str]] = {name: [head] for name, head in _HEADS.items()}
    for number in range(first, first + piles):
        _pile(rows, number, readings)
    for heat in range(HEATS):
        rows["heats"].append(f"MC-{heat // 4},Mill {heat % MILLS},H{heat:04d},{heat % 7 + 1}")
    for certificate in range(HEATS // 4):
        rows["certificates"].append(f"MC-{certificate},3.1")
    for lot in range(extensions(readings) * piles // PER_LOT + 1):
        rows["components"].append(f"X-{lot},extension,{PER_LOT},{EXTENSION_M}")
        heat = (11 * lot) % HEATS
        rows["pieces"].append(f"X-{lot},whole,Mill {heat % MILLS},H{heat:04d}")
    files = {f"{name}.csv": "\n".join(lines) + "\n" for name, lines in rows.items()}
    return {"instruments.csv": INSTRUMENTS, "calibrations.csv": CERTIFICATES, **files}


_HEADS = {
    "schedule": SCHEDULE.splitlines()[0],
    "log": "Pile,Run,Date,Rig,Instrument,Toe depth (m),Reason for stopping,Stick-up (m),"
    "Cut off (m),First disc depth (m),Start time,End time,Depth (m),Torque (kN·m)",
    "batches": BATCHES.splitlines()[0],
    "placements": PLACED_HEAD.strip(),
    "specimens": SPECIMENS.splitlines()[0],
    "members": MEMBERS.splitlines()[0],
    "components": "Stamp,Kind,Quantity,Length (m)",
    "pieces": "Stamp,Piece,Mill,Heat",
    "placed": "Pile,Run,Place in string,Stamp,Bolts",
    "certificates": "Mill certificate,Certificate type",
    "heats": "Mill certificate,Mill,Heat,Page",
}


def extensions(readings: int) -> int:
    """How many extensions follow a lead of two pieces of steel down to the last reading."""
    return math.ceil((0.3 * readings + STICK_UP_M - LEAD_M) / EXTENSION_M)


def _pile(rows: dict[str, list[str]], number: int, readings: int) -> None:
    east, north = 3.0 * (number % 100), 3.0 * (number // 100)
    name, toe = f"P{number}", 0.3 * readings
    rows["schedule"].append(
        f"{name},A,2026-02-01,for construction,A,T1,{east:.1f},{north:.1f},compression,5.0,2.4"
    )
    day = date(2026, 3, 2) + timedelta((number - 1) // 2 % 20)
    run = f"{name},1,{day},Rig {number % 3 + 1},TI-1,{toe:.1f}"
    string = LEAD_M + extensions(readings) * EXTENSION_M
    run += f",torque and depth reached,{STICK_UP_M},{string - toe - STICK_UP_M:.1f}"
    run += f",{FIRST_DISC_M},{day} 08:05,{day} 08:55"
    rows["log"] += [
        f"{run},{0.3 * (at + 1):.1f},{1.0 + 5.5 * (at + 1) / readings + 0.01 * (number % 9):.2f}"
        for at in range(readings)
    ]
    rows["components"].append(f"L{number},lead,1,2.1")
    rows["placed"].append(f"{name},1,1,L{number},none needed")
    for place in range(extensions(readings)):
        lot = (extensions(readings) * (number - 1) + place) // PER_LOT
        rows["placed"].append(f"{name},1,{place + 2},X-{lot},fitted and tight")
    _grout(rows, number, day, toe)
    for piece, group in (("shaft", 150), ("helix", 25)):  # piles that share the heat of a piece
        heat = (7 * (number // group) + len(piece)) % HEATS
        rows["pieces"].append(f"L{number},{piece},Mill {heat % MILLS},H{heat:04d}")


def _grout(rows: dict[str, list[str]], number: int, day: date, toe: float) -> None:
    batch, group = f"B{number}", f"G{(number + 1) // 2}"
    rows["batches"].append(f"{batch},{day},{day} 08:00,1890,16")
    for lift in range(math.ceil((toe - FIRST_DISC_M) / LIFT_M)):
        top = FIRST_DISC_M + lift * LIFT_M
        bottom = min(top + LIFT_M, toe)
        litres = LITRES_A_METRE * (bottom - top)
        rows["placements"].append(
            f"P{number},1,{lift + 1},{batch},{top:.1f},{bottom:.1f},{litres:.1f},0,0,0,"
            f"{day} 08:{10 + 2 * lift},{day} 08:{11 + 2 * lift},20,"
        )
    rows["members"].append(f"{group},P{number}")
    if number % 2:
        tested = day + timedelta(28)
        rows["specimens"] += [
            f"{group}-{one},{group},{batch},{day},28,{tested},{41 + one}.0,Invented Lab,L-{number}"
            for one in range(3)
        ]


def grouted_settings() -> str:
    """Settings of the small job with steel whose piles are grouted."""
    of_steel = settings()
    own = of_steel[of_steel.index("[component_kinds.lead]") : of_steel.index("[[torque_factors]]")]
    criteria = of_steel[of_steel.index("[criteria.all.string_recorded]") :]
    before, mark, after = GROUTED.partition("[[torque_factors]]")
    cut = after.index("[criteria.all.string_recorded]")
    grout = after.index("[criteria.all.grout_recorded]")
    return before + own + mark + after[:cut] + criteria + after[grout:]


def without_log(parent: Path, files: dict[str, str]) -> Path:
    """A project in ``parent`` that has taken in what needs no run; every file lies beside it."""
    folder = parent / "project"
    services.new_project(folder)
    (folder / "project.toml").write_text(grouted_settings(), encoding="utf-8")
    incoming = parent / "incoming"
    incoming.mkdir(exist_ok=True)
    for name, text in files.items():
        (incoming / name).write_text(text, encoding="utf-8")
    _take_in(folder, [incoming / name for name in files if name not in OF_RUNS])
    return folder


def made(parent: Path, piles: int, readings: int) -> Path:
    """The whole job as a project in ``parent``."""
    folder = without_log(parent, texts(piles, readings))
    for name in OF_RUNS:
        _take_in(folder, [parent / "incoming" / name])
    return folder


def _take_in(folder: Path, paths: list[Path]) -> None:
    report = services.import_files(folder, paths, by="Bo Invented")
    if report.refused:
        raise RuntimeError(f"{report.problems}\n{report.conflicts}")
