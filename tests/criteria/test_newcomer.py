"""The example of DEVELOPERS.md: a record kind and a criterion, one file each, nothing else."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from textwrap import dedent

import pytest

from core import services
from tests.house.tree import ROOT
from tests.services.small import log, small_project

EXAMPLE = re.compile(r"  ```python\n  \"\"\"(core/\S+)\"\"\"\n(.*?)  ```", re.DOTALL)
SET = """
[criteria.all.invented_volume]
clause = "9"
due = "installed"
min_volume = "900 l"
"""
POURS = """\
Cap,Pour,Pile,Poured on,Volume (l)
C-1,1,101,2026-03-09,500
C-1,2,101,2026-03-10,400
C-1,3,101,2026-05-01,400
C-2,1,102,2026-03-10,899.9
"""
ASSESS = """
import json
import sys
from pathlib import Path

from core import services
from core.settings import project_template
from core.subjects import registry

folder = Path(sys.argv[1])
before = services.assess(folder)
settings = (folder / "project.toml").read_text(encoding="utf-8")
(folder / "project.toml").write_text(settings + sys.argv[2], encoding="utf-8")
pours = folder.parent / "pours.csv"
pours.write_text(sys.argv[3], encoding="utf-8")
assert not services.import_files(folder, [pours], by="Bo Invented").refused
after = services.assess(folder)
found = after.findings[after.findings["finding"].eq("invented_volume")]
rows = after.evidence().query("kind == 'invented volume'")
print(json.dumps({
    "last": [kind.id for kind in registry.kinds_of("grout")[-2:]],
    "template": "[criteria.first.invented_volume]" in project_template(),
    "before": before.piles.set_index("pile_id")["state"].to_dict(),
    "newer": before.findings.query("kind == 'criterion newer than sign-off'")["part"].tolist(),
    "recorded": after.findings.query("finding == 'invented_pour_recorded'").set_index("subject")[
        "result"].to_dict(),
    "results": dict(zip(found["subject"], found["result"])),
    "rows": sorted(zip(rows["subject"], rows["file"], rows["row"].astype(int))),
}))
"""


@pytest.fixture(scope="module")
def said(tmp_path_factory):
    """What the program with the two files says of a job that was signed off without them."""
    parent = tmp_path_factory.mktemp("newcomer")
    folder = small_project(parent / "job", *(log(pile) for pile in ("101", "102", "103")))
    services.accept(folder, ["101"], "Ada Invented", "record read")
    ignored = shutil.ignore_patterns("__pycache__")
    shutil.copytree(ROOT / "core", parent / "core", ignore=ignored)
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    written = {path: dedent(text) for path, text in EXAMPLE.findall(guide)}
    assert list(written) == ["core/records/zz_invented.py", "core/subjects/grout/zz_rules.py"]
    for path, text in written.items():
        (parent / path).write_text(text, encoding="utf-8")
    run = [sys.executable, "-c", ASSESS, str(folder), SET, POURS]
    told = subprocess.run(run, cwd=parent, capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stderr
    return json.loads(told.stdout.splitlines()[-1])


def test_the_criterion_stands_last_of_its_subject_and_in_the_template(said):
    assert said["last"] == ["invented_pour_recorded", "invented_volume"]
    assert said["template"]


def test_its_rule_is_met_on_the_limit_not_met_below_and_without_evidence(said):
    assert said["results"] == {
        "101": "met",  # 900 l up to the day of assessment
        "102": "not met",
        "103": "no evidence",
    }


def test_a_finding_without_numbers_is_met_where_the_record_is(said):
    assert said["recorded"] == {"101": "met", "102": "met", "103": "no evidence"}


def test_rows_of_the_record_kind_are_the_evidence_up_to_the_day(said):
    assert said["rows"] == [
        ["101", "pours.csv", 2],
        ["101", "pours.csv", 3],
        ["102", "pours.csv", 5],
    ]


def test_it_drops_no_sign_off_that_was_given_without_it(said):
    assert said["before"]["101"] == "accepted"
    assert said["before"]["102"] == "record incomplete"
    assert said["newer"] == ["invented_volume"]
