"""A record kind is declared in one file: everything else finds it, in older projects too."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys

from tests.house.tree import ROOT
from tests.services.small import SCHEDULE, SETTINGS, started

CONCRETE = '''
"""Record kind of the concrete of caps."""

from core.records.checks import not_before
from core.records.kinds import Column, Kind
from core.records.piles import OF_PILE, PILE_ID

CONCRETE_POUR = Kind(
    "invented_pour",
    "invented pour",
    "one pile in one pour of one cap",
    ("cap", "pour_no", "pile_id"),
    (
        Column("cap", "text", "Cap.", required=True, example="B2"),
        Column("pour_no", "text", "Number of the pour.", aliases=("pour",), required=True,
               example="1"),
        PILE_ID,
        Column("poured_on", "date", "Day of the pour.", required=True, example="2026-03-20"),
        Column("tested_on", "date", "Day of the test.", example="2026-04-17"),
        Column("volume_l", "number", "Volume of the pour.", aliases=("volume",), low=0,
               example="2400"),
    ),
    refers_to=OF_PILE,
    day="poured_on",
    checks=(not_before("tested_on", "poured_on"),),
)
'''
IMPORT = """
import json, sys
from pathlib import Path
from core import services
from core.ledger import Ledger

folder, incoming = Path(sys.argv[1]), Path(sys.argv[2])
before = services.assess(folder)  # reads the project as it is
templates = [path.name for path in services.write_templates(incoming / "templates")]
reports = [services.import_files(folder, [incoming / name], by="Bo Invented")
           for name in ("late.csv", "pours.csv")]
with Ledger(folder).read() as reader:
    entries = reader.entries()
    current = reader.current_frame("invented_pour", reader.last_entry())
after = services.assess(folder)
print(json.dumps({
    "piles": [len(before.positions), len(after.positions)],
    "templates": templates,
    "problems": [report.problems["problem"].tolist() for report in reports],
    "acts": entries["act"].tolist(),
    "note": entries.loc[entries["act"].eq("schema"), "note"].tolist(),
    "rows": current[["cap", "pour_no", "pile_id", "volume_l"]].values.tolist(),
    "columns": services.data_dictionary("invented_pour")["column"].tolist(),
    "faults": [str(fault) for fault in services.verify(folder)[0]],
}))
"""


def test_a_kind_in_a_file_of_its_own_is_imported_into_a_project_of_before(tmp_path):
    folder = started(tmp_path, SETTINGS, ("schedule.csv", SCHEDULE))
    program = tmp_path / "program"
    shutil.copytree(ROOT / "core", program / "core", ignore=shutil.ignore_patterns("__pycache__"))
    (program / "core/records/zz_invented.py").write_text(CONCRETE, encoding="utf-8")
    incoming = tmp_path / "pours"
    incoming.mkdir()
    header = "Cap,Pour,Pile,Poured on,Tested on,Volume (L)\n"
    (incoming / "late.csv").write_text(f"{header}B2,1,101,2026-03-20,2026-03-02,2400\n")
    (incoming / "pours.csv").write_text(f"{header}B2,1,101,2026-03-20,2026-03-28,2400\n")
    done = subprocess.run(
        [sys.executable, "-c", IMPORT, str(folder), str(incoming)],
        cwd=program, env={**os.environ, "PYTHONPATH": str(program)}, capture_output=True,
        text=True, check=False, timeout=120,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    answer = json.loads(done.stdout)
    assert answer["piles"] == [3, 3]
    assert "invented_pour.xlsx" in answer["templates"]
    assert answer["problems"] == [
        ["Invented pour B2, 1, 101: Tested on 2026-03-02 is before Poured on 2026-03-20."],
        [],
    ]
    assert answer["acts"][-2:] == ["schema", "file"]
    assert answer["note"] == ["tables added: invented_pour"]
    assert answer["rows"] == [["B2", "1", "101", 2400.0]]
    assert answer["columns"][:3] == ["cap", "pour_no", "pile_id"]
    assert answer["faults"] == []
