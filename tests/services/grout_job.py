"""A small invented grouted job: three piles in a row, 3 m apart, one lift a metre."""

from __future__ import annotations

from pathlib import Path

from tests.services.small import (
    CERTIFICATES,
    INSTRUMENTS,
    SCHEDULE,
    SETTINGS,
    log,
    started,
    with_the_rest,
)

TYPE = """\
element = "grouted helical pile"
section = "round 89"
helix_set = "350"
grouted = true
disc_mm = 200
grout_from = "first disc"
last_stage = "grouted"
"""
CRITERIA = """
[criteria.all.grout_recorded]
clause = "7.1"
due = "grouted"
[criteria.all.grout_take]
clause = "7.2"
due = "grouted"
min_cumulative_ratio = 1.1
min_lift_ratio = 1.0
alarm_ratio = 2.0
[criteria.all.grout_lifts_to_toe]
clause = "7.2"
due = "grouted"
max_gap_mm = 300
[criteria.all.grout_density]
clause = "7.3"
due = "grouted"
min_kg_m3 = 1850
max_kg_m3 = 1950
[criteria.all.grout_flow]
clause = "7.4"
due = "grouted"
min_s = 10
max_s = 25
[criteria.all.grout_batch_age]
clause = "7.5"
due = "grouted"
max_h = 1.5
[criteria.all.grout_sampling]
clause = "7.6"
due = "grouted"
max_piles_per_group = 2
min_specimens_per_group = 3
every_day = true
[criteria.all.grout_strength]
clause = "7.7"
due = "grouted"
min_mpa = 35
age_days = 28
overdue_after_days = 7
[criteria.all.grout_level]
clause = "7.8"
due = "grouted"
max_drop_mm = 100
[criteria.all.grout_set]
clause = "7.9"
due = "grouted"
initial_set_h = 6
[criteria.all.fresh_neighbours]
clause = "7.10"
due = "installed"
within_mm = 2000
min_h = 24
"""
FACTOR = """
[[torque_factors]]
id = "TG1"
section = "round 89"
direction = "compression"
grouted = true
helix_set = "any"
ground = "any"
value = 25
unit = "1/m"
source = "invented test on a grouted pile"
"""
_BARE = SETTINGS[SETTINGS.index('element = "helical pile"') : SETTINGS.index("criteria = ")]
_TYPED = SETTINGS.replace(_BARE, TYPE).replace("2026-03-31", "2026-05-31")
GROUTED = with_the_rest(_TYPED + CRITERIA + FACTOR, grouted=True)

BATCHES = """\
Batch,Date mixed,Time mixed,Density (kg/m3),Flow (s)
B1,2026-03-02,2026-03-02 08:00,1890,16
B2,2026-03-02,2026-03-02 08:30,1900,17
"""
PLACED_HEAD = (
    "Pile,Run,Lift,Batch,From (m),To (m),Batched (L),Left (L),Spilled (L),Returned (L),"
    "Start,End,Level drop (mm),Topped up (L)\n"
)
LIFTS = (
    ("1", "B1", 0.5, 1.5, 36, 3, 1, 2),
    ("2", "B1", 1.5, 2.5, 32, 0, 2, 0),
    ("3", "B2", 2.5, 3.0, 18, 2, 0, 0),
)
SPECIMENS = """\
Specimen,Sample group,Batch,Taken,Age (d),Tested,Strength (MPa),Laboratory,Report
S1,G1,B1,2026-03-02,7,2026-03-09,24.5,Invented Lab,L-1
S2,G1,B1,2026-03-02,28,2026-03-30,41.0,Invented Lab,L-2
S3,G1,B1,2026-03-02,28,2026-03-30,38.5,Invented Lab,L-2
"""
MEMBERS = "Sample group,Pile\nG1,101\n"


def run_log(pile="101", *, day="2026-03-02", run="1", disc="0.5", start="08:05", end="08:45"):
    """The log of one run to 3.0 m whose first disc enters at ``disc`` metres."""
    rows = log(pile, day=day, run=run).splitlines()
    told = [f"{row},{disc},{day} {start},{day} {end}" for row in rows[1:]]
    return "\n".join([rows[0] + ",First disc depth (m),Start time,End time", *told]) + "\n"


def placed(pile="101", lifts=LIFTS, *, day="2026-03-02", run="1", drop="20", topped=""):
    """Placements of one run, a lift each 10 minutes from 08:10 on."""
    rows = []
    for number, (lift, batch, *numbers) in enumerate(lifts, start=1):
        cells = ",".join("" if cell is None else str(cell) for cell in numbers)
        times = f"{day} 08:{number}0,{day} 08:{number}8"
        rows.append(f"{pile},{run},{lift},{batch},{cells},{times},{drop},{topped}")
    return PLACED_HEAD + "\n".join(rows) + "\n"


def grouted_project(parent: Path, *files: tuple[str, str], settings: str = GROUTED) -> Path:
    """A project with its schedule, instrument and certificate, and the files given."""
    first = [("schedule.csv", SCHEDULE), ("instruments.csv", INSTRUMENTS)]
    return started(parent, settings, *first, ("certificates.csv", CERTIFICATES), *files)


def whole_files(**changed: str) -> list[tuple[str, str]]:
    """Files of one grouted pile with everything in order; ``changed`` replaces their texts."""
    texts = {
        "log": run_log(), "batches": BATCHES, "placements": placed(), "specimens": SPECIMENS,
        "members": MEMBERS,
    }  # fmt: skip
    return [(f"{name}.csv", text) for name, text in {**texts, **changed}.items() if text]
