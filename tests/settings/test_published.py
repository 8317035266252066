"""Published tables: whole, with their sources, and never used by a measure or a rule."""

import pytest

from core.errors import WrongUse
from core.settings.published import FOLDER, OF_SOURCE, TABLES, published, tables
from tests.house.tree import ROOT


def test_every_file_is_a_table_and_every_table_a_file():
    assert {path.stem for path in FOLDER.glob("*.csv")} == set(TABLES)
    assert tables()["rows"].gt(0).all()


@pytest.mark.parametrize("table", TABLES)
def test_every_row_says_its_source_and_how_it_is_known(table):
    rows = published(table)
    assert list(rows.columns[-4:]) == list(OF_SOURCE)
    assert rows["source"].notna().all()
    known = {"read", "from memory", "trade practice", "judgement"}
    assert set(rows["evidence"]) <= known


def test_an_unknown_table_is_refused_with_those_there_are():
    with pytest.raises(WrongUse, match=r"no published table zinc\. There are: torque_factors, "):
        published("zinc")


def test_no_measure_and_no_rule_reads_a_published_table():
    rooms = [
        path
        for room in ("formulas", "subjects", "assessment")
        for path in (ROOT / "core" / room).rglob("*.py")
    ]
    assert rooms
    assert [path for path in rooms if "project.published" in path.read_text(encoding="utf-8")] == []


def test_torque_factors_in_metres_agree_with_those_in_feet():
    # Source: Hoyt & Clemence (1989), in both forms as quoted: 7 1/ft and 23 1/m for 89 mm round.
    rows = published("torque_factors").set_index("section")["value"]
    assert rows["89 mm round"] * 0.3048 == pytest.approx(7, abs=0.02)
    assert rows["219 mm round"] * 0.3048 == pytest.approx(3, abs=0.02)
