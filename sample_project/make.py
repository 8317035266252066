"""Makes the invented sample project: raw files as a crew would hand them in, and what is planted.

Run `python3 sample_project/make.py`. The same seed gives the same bytes.
"""

from __future__ import annotations

import csv
from datetime import date, timedelta
from pathlib import Path

import numpy as np
from boreholes import borehole_rows
from certificates import CERTIFICATES, certificate_rows, instrument_rows
from crew import SEED
from diary import FIRST_DAY, ISSUED_C, all_days, log_rows, position_of
from dress import Sent
from faults import NAMES, NOT_ON_SCHEDULE, planted
from ground import Ground, flood_plain
from known_layouts import layouts
from layout import (
    FORGOTTEN_IN_C,
    INSTRUCTED,
    Position,
    instructed_place,
    revision_b,
    revision_c,
    schedule_row,
)
from senders import sent_files
from strings import Days
from works_faults import CONCRETED_OVER, planted_works
from works_rows import Works
from works_senders import works_files
from yard_papers import quarantine_rows

HERE = Path(__file__).resolve().parent
ISSUED_A, ISSUED_B = date(2026, 7, 6), date(2026, 8, 31)
KN_PER_KIP, KNM_PER_FT_LB, MM_PER_FT = 4.4482216153, 0.0013558179483, 304.8
Rows = list[dict[str, str]]


def preliminary_rows() -> Rows:
    """Revision A: the designer's first list in US customary units, loads not yet final."""
    return [_preliminary_row(position) for position in revision_b()]


def _preliminary_row(position: Position) -> dict[str, str]:
    load_kip = f"{0.9 * position.load_kn / KN_PER_KIP:.1f}"
    compression = position.direction == "compression"
    return {
        "Pile no": position.name,
        "Rev": "A",
        "Issue date": ISSUED_A.isoformat(),
        "Status": "preliminary",
        "Area": position.area,
        "Grid": position.cap,
        "Type mark": position.pile_type,
        "East (m)": f"{position.east_m:.2f}",
        "North (m)": f"{position.north_m:.2f}",
        "Design compression (kips)": load_kip if compression else "",
        "Design tension (kips)": "" if compression else load_kip,
        "Min torque (ft-lb)": f"{0.9 * position.required_knm / KNM_PER_FT_LB:.0f}",
        "Min embedment (ft)": f"{position.min_embedment_mm / MM_PER_FT:.1f}",
    }


def construction_rows(ground: Ground, revision: str) -> Rows:
    """Revision B or C as issued for construction."""
    late = revision == "C"
    issued = ISSUED_C if late else ISSUED_B
    listed = revision_c() if late else [(position, "") for position in revision_b()]
    return [
        {
            "Position": position.name,
            "Revision": revision,
            "Issued": issued.isoformat(),
            "Status": "for construction",
            **({"Change": change} if late else {}),
            **schedule_row(position, ground.surface_m),
        }
        for position, change in listed
    ]


def pile_rows() -> Rows:
    """Replacement, moved and extra piles with their instructions."""
    known = {position.name: position for position in revision_b()}
    rows = []
    for pile, order in INSTRUCTED.items():
        place = instructed_place(pile, known[order.position])
        rows.append(
            {
                "Pile": pile,
                "Position served": order.position,
                "Replaces": order.replaces,
                "New easting (m)": f"{place.east_m:.3f}",
                "New northing (m)": f"{place.north_m:.3f}",
                "Instruction no": order.instruction,
            }
        )
    return rows


def stage_rows(driven: list[tuple[str, date]]) -> Rows:
    """Released by area, set out on the working day before the pile is begun."""
    rows = []
    for pile, day in driven:
        if pile != NOT_ON_SCHEDULE:
            released = max(ISSUED_B + timedelta(days=2), day - timedelta(days=5))
            evidence = f"release {position_of(pile).area}-{released:%m%d}"
            rows += [
                _stage_row(pile, "released", released, evidence),
                _stage_row(pile, "set out", workday_before(day), "stake sheet"),
            ]
    ahead = [f"B{bent}-{pile}" for bent in (27, 45) for pile in (1, 2)]
    last_day = FIRST_DAY + timedelta(days=18)
    rows += [_stage_row(pile, "released", last_day, "release B-1002") for pile in ahead]
    rows += [_stage_row(pile, "set out", last_day, "stake sheet") for pile in ahead[:2]]
    rows += [
        _stage_row(pile, "concreted over", date.fromisoformat(day), evidence)
        for pile, day, evidence in CONCRETED_OVER
    ]
    return rows


def workday_before(day: date) -> date:
    """The last Monday to Friday before ``day``."""
    return day - timedelta(days=3 if day.weekday() == 0 else 1)


def _stage_row(pile: str, stage: str, on: date, evidence: str) -> dict[str, str]:
    return {"Pile": pile, "Stage": stage, "Stage date": on.isoformat(), "Evidence": evidence}


def raw_tables(days: Days, ground: Ground) -> dict[str, Rows]:
    """Name of each table, without ending, with its rows before anybody dresses them."""
    tables = {
        "schedule_rev_A": preliminary_rows(),
        "schedule_rev_B": construction_rows(ground, "B"),
        "schedule_rev_C": construction_rows(ground, "C"),
        "instructions": pile_rows(),
        "instruments": instrument_rows(),
        "boreholes": borehole_rows(ground),
    }
    for certificate in CERTIFICATES:
        tables[f"certificate_{certificate.number}"] = certificate_rows(certificate)
    driven: dict[str, date] = {}
    for rig, day, done in days:
        name = f"log_{rig.name.lower().replace(' ', '')}_{day.isoformat()}"
        tables[name] = log_rows(rig, day, done)
        for pile, run in done:
            driven.setdefault(pile, run.day)
    tables["stages"] = stage_rows(list(driven.items()))
    return tables


def planted_findings() -> Rows:
    """Every finding that the raw files must give."""
    of_works = [dict(zip(NAMES, row, strict=True)) for row in planted_works()]
    rows = [*planted(FORGOTTEN_IN_C), *of_works]
    return sorted(rows, key=lambda row: tuple(row.values()))


def sign_off_rows(days: Days) -> Rows:
    """What the engineer signs after two weeks: every pile finished by then without a finding."""
    found = {row["subject"] for row in planted_findings()}
    last_day = FIRST_DAY + timedelta(days=11)
    ended: dict[str, date] = {}
    for _, _, done in days:
        ended.update({pile: run.day for pile, run in done})
    note = f"Records of the weeks to {last_day.isoformat()} read, sheets compared (invented)"
    return [
        {"pile": pile, "by": "Erin Sample", "note": note}
        for pile, day in sorted(ended.items())
        if day <= last_day and pile not in found
    ]


def write(path: Path, rows: Rows) -> None:
    """Writes rows as CSV; the first row's keys are the header."""
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, fieldnames=list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def planted_rows(files: dict[str, Sent]) -> Rows:
    """Every problem that taking the raw files in must give, one row each."""
    names = ("file", "sheet", "row", "kind", "why")
    return [
        dict(zip(names, (file, sheet, "" if row is None else str(row), kind, why), strict=True))
        for file, sent in sorted(files.items())
        for sheet, row, kind, why in sorted(sent.planted, key=lambda one: (one[0], one[1] or 0))
    ]


def main(folder: Path = HERE) -> None:
    """Writes raw/, layouts/ and the lists of what is planted; what was there before goes first."""
    raw, said = folder / "raw", folder / "layouts"
    for place in (raw, said):
        place.mkdir(parents=True, exist_ok=True)
        for old in place.iterdir():
            old.unlink()
    ground = flood_plain(np.random.default_rng(SEED))
    days = all_days(ground)
    files = sent_files(raw_tables(days, ground)) | works_files(Works(days, ground))
    for name, sent in files.items():
        (raw / name).write_bytes(sent.content)
    for name, text in layouts().items():
        (said / name).write_text(text, encoding="utf-8", newline="\n")
    write(folder / "planted.csv", planted_findings())
    write(folder / "planted_problems.csv", planted_rows(files))
    write(folder / "quarantine.csv", quarantine_rows())
    write(folder / "sign_offs.csv", sign_off_rows(days))
    print(f"{len(files)} files, {sum(len(s.content) for s in files.values())} bytes in {raw}")


if __name__ == "__main__":
    main()
