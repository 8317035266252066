"""A layout's columns belong to the kind whose rows the sheet's rows are, as known words do."""

from core.readers import Layout, Origin, ReadOptions, StoredLayout, parse_file
from tests.readers.files import PROJECT

LOG = "No;Day;Deep;Shown;Per turn\n101;2026-03-04;0.3;20;74\n101;2026-03-04;0.6;25;71\n"
LAYOUT = Layout(
    kinds=("run", "torque_reading"),
    header_rows=(1, 1),
    columns={
        "pile_id": Origin(header="No"),
        "run_on": Origin(header="Day"),
        "depth_mm": Origin(header="Deep", unit="m"),
        "pressure_kpa": Origin(header="Shown", unit="bar"),
        "pressure_kind": Origin(text="differential"),
        "advance_mm_per_turn": Origin(header="Per turn", unit="mm/turn"),
    },
)


def test_an_advance_that_changes_from_reading_to_reading_is_the_readings_and_not_the_runs():
    how = ReadOptions(layouts=(StoredLayout(sender="Rig 1", name="log", layout=LAYOUT),))
    result = parse_file(LOG.encode(), "log.csv", PROJECT, how)
    assert result.problems.empty
    assert result.frames["torque_reading"]["advance_mm_per_turn"].tolist() == [74, 71]
    assert result.frames["run"]["advance_mm_per_turn"].isna().all()
