"""Who sends which table in which dress: CSV of every sort, workbooks, papers, and files gone wrong.

What is planted outside the logs stands here beside the table that carries it.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from diary import ISSUED_C
from dress import COMMA, PLAIN, TABS_UTF_16, Sent, as_csv
from office_books import certificates, schedule
from papers import left_by_an_open_program, one_page, open_document, picture
from rig_books import day_sheets, pile_sheets
from slips import MARK, Mark, Row, Rows, false_starts, with_slips

Tables = Mapping[str, Rows]
IN_WORKBOOK = ("FH-26-112", "FH-26-140", "FH-26-287")  # certificates of one year, one workbook
OFFICE_COPIES, PILE_SHEETS, DAY_SHEETS = 39, 38, 39  # weeks of the year


def sent_files(tables: Tables) -> dict[str, Sent]:
    """Every raw file by its name."""
    return {
        "schedule_rev_A.csv": as_csv(preliminary(tables["schedule_rev_A"])),
        "schedule_rev_B.csv": as_csv(tables["schedule_rev_B"]),
        "schedule_rev_C.xlsx": schedule(with_spares(tables["schedule_rev_C"]), ISSUED_C),
        "instructions.ods": open_document(
            instructions(tables["instructions"]), "Site instructions on piles (invented)"
        ),
        "instruments.csv": as_csv(tables["instruments"]),
        "boreholes.csv": as_csv(tables["boreholes"]),
        "stages.csv": as_csv(stages(tables["stages"]), TABS_UTF_16),
        **_certificates(tables),
        **_rig_1(tables),
        **_rig_2(tables),
        **gone_wrong(tables),
        "certificate_FH-26-155_scan.pdf": Sent(one_page("FH-26-155, scan of page 1 - invented")),
        "photo_B15-1_obstruction.png": Sent(picture(120)),
        "~$rig2_week_39.xlsx": Sent(left_by_an_open_program()),
    }


def _certificates(tables: Tables) -> dict[str, Sent]:
    own = {name.partition("_")[2]: rows for name, rows in tables.items() if "certificate" in name}
    files = {
        f"certificate_{number}.csv": as_csv(rows)
        for number, rows in own.items()
        if number not in IN_WORKBOOK
    }
    listed = [(number, own[number]) for number in IN_WORKBOOK]
    return {**files, "certificates_2026.xlsx": certificates(listed)}


def _logs(tables: Tables, rig: str) -> dict[date, Rows]:
    start = f"log_{rig}_"
    return {
        date.fromisoformat(name.removeprefix(start)): rows
        for name, rows in tables.items()
        if name.startswith(start)
    }


def _rig_1(tables: Tables) -> dict[str, Sent]:
    files = {}
    for day, rows in _logs(tables, "rig1").items():
        written = with_slips(rows, "Pile", "Depth (m)", 0.15)
        written += false_starts(rows, day.isoformat(), "Pile")
        office = day.isocalendar().week == OFFICE_COPIES
        files[f"log_rig1_{day}.csv"] = as_csv(written, COMMA if office else PLAIN)
    return files


def _rig_2(tables: Tables) -> dict[str, Sent]:
    files = {}
    weeks: dict[int, dict[date, Rows]] = {PILE_SHEETS: {}, DAY_SHEETS: {}}
    for day, rows in _logs(tables, "rig2").items():
        written = with_slips(rows, "Pile no", "Depth (ft)", 0.5)
        written += false_starts(rows, day.isoformat(), "Pile no")
        week = weeks.get(day.isocalendar().week)
        if week is None:
            files[f"log_rig2_{day}.csv"] = as_csv(written)
        else:
            week[day] = written
    by_pile = [row for rows in weeks[PILE_SHEETS].values() for row in rows]
    return {
        f"rig2_week_{PILE_SHEETS}.xlsx": pile_sheets(by_pile),
        f"rig2_week_{DAY_SHEETS}.xlsx": day_sheets(weeks[DAY_SHEETS]),
        **files,
    }


def _marked(row: Row, kind: str, why: str, **changes: str) -> Row:
    return {**row, MARK: Mark(kind, why, changes)}


def preliminary(rows: Rows) -> Rows:
    """Revision A as first listed: nothing hangs on it any more, so good rows may be spoilt."""
    spoilt = {
        "B12-1": ("wrong number of cells", "a comma in a text", {}),
        "B20-1": ("not a number", "a torque to be confirmed", {"Min torque (ft-lb)": "tbc"}),
        "B33-2": ("decimal mark", "a mark of thousands", {"East (m)": "1,143.73"}),
        "P-103": ("unknown word", "an area that the job does not have", {"Area": "PHH"}),
        "P-140": ("unknown word", "a type mark that the drawing does not have",
                  {"Type mark": "P2"}),
        "W-07": ("impossible value", "tension with a minus sign",
                 {"Design tension (kips)": "-16.2"}),
        "F-2": ("missing value", "a position without its type", {"Type mark": ""}),
    }  # fmt: skip
    written: Rows = []
    for row in rows:
        name = str(row["Pile no"])
        if name not in spoilt:
            written.append(row)
            continue
        kind, why, changes = spoilt[name]
        tail = ",see sketch" if kind == "wrong number of cells" else ""
        written.append({**row, MARK: Mark(kind, why, changes, tail=tail)})
    again = dict(rows[0])
    why = "B01-1 listed again at the end"
    return [*written, {**again, MARK: Mark("repeated key", why)}]


def with_spares(rows: Rows) -> Rows:
    """Revision C with two spare positions whose numbers the spreadsheet ate."""
    kind = "number altered by the spreadsheet"
    last = rows[-1]
    return [
        *rows,
        _marked(last, kind, "position 3-2 became a date", Position="2026-03-02"),
        _marked(last, kind, "position 1E5 became a hundred thousand", Position="100000.5"),
    ]


def instructions(rows: Rows) -> Rows:
    """The instructed piles, and a line that says nothing."""
    odd = {**rows[0], "Pile": "B31-1", "Position served": "B31-1", "Replaces": "B31-1",
           "Instruction no": "SI-11"}  # fmt: skip
    return [*rows, _marked(odd, "replaces itself", "the new number was forgotten")]


def stages(rows: Rows) -> Rows:
    """The list of stages with four lines that do not count."""
    last = dict(rows[-1])
    odd = (
        ("unknown word", "staked is no stage", {"Pile": "B28-1", "Stage": "staked"}),
        ("not a date", "the thirty-first of September",
         {"Pile": "B28-2", "Stage date": "31-Sep-2026"}),
        ("missing value", "no pile", {"Pile": ""}),
        ("number altered by the spreadsheet", "pile 2-1 became a day", {"Pile": "02-Jan"}),
    )  # fmt: skip
    return [*rows, *({**last, **new, MARK: Mark(kind, why)} for kind, why, new in odd)]


def gone_wrong(tables: Tables) -> dict[str, Sent]:
    """Files that are left out whole."""
    tons = [
        {name.replace("(kips)", "(ton)"): text for name, text in row.items()}
        for row in tables["schedule_rev_A"][:6]
    ]
    staked = [
        {"Pile": pile, "Stage": "set out", "Date": day}
        for pile, day in (("B28-1", "02/10/2026"), ("B28-2", "05/10/2026"))
    ]
    check = [
        {"Pile": "B99-1", "Run": "1", "Depth (ft)": depth, "Torque (ft-lb)": torque}
        for depth, torque in (("18", "6400"), ("19", "6900"))
    ]
    files = {
        "loads_in_tons.csv": (
            tons,
            [("", 1, "unknown unit", f"{load} in tons: short, long or metric")
             for load in ("compression", "tension")],
        ),
        "set_out_B28.csv": (staked, [("", 2, "date order", "2 October or 10 February")]),
        "torque_check.csv": (
            check,
            [("", row, "unknown reference", "readings of a run that nobody has logged")
             for row in (2, 3)],
        ),
    }  # fmt: skip
    whole = [("", None, "broken file", "copied only in part")]
    half = pile_sheets(_logs(tables, "rig2")[date(2026, 9, 18)]).content
    photo = [("", None, "not a table", "a photo under the name of a log")]
    return {
        **{name: Sent(as_csv(rows).content, planted) for name, (rows, planted) in files.items()},
        "rig2_week_38 (copy).xlsx": Sent(half[: len(half) // 3], whole),
        "log_rig2_2026-10-03.csv": Sent(picture(60), photo),
    }
