"""Layouts: said once by a person, remembered in the ledger, used for the files of that sender."""

import json

import pytest

from core import services
from core.errors import WrongUse
from tests.services.small import log, small_project

STRANGE = """\
Pfahl;wie tief;wie stark
102;0.45;1.0
102;0.75;2.0
"""
LAYOUT = {
    "kinds": ["torque_reading"],
    "header_rows": [1, 1],
    "columns": {
        "pile_id": {"header": "Pfahl"},
        "run_no": {"text": "1"},
        "depth_mm": {"header": "wie tief", "unit": "m"},
        "torque_read_nm": {"header": "wie stark", "unit": "kN·m"},
    },
}
BY = "Bo Invented"


@pytest.fixture
def project(tmp_path):
    return small_project(tmp_path, log("102"))


def take(project, name, text, **choice):
    made = services.ImportChoice(**choice)
    return services.import_contents(project, [(name, text.encode())], by=BY, choice=made)


def test_a_layout_is_remembered_with_its_sender_and_the_person(project):
    entry = services.store_layout(project, "Crew North", "hand log", LAYOUT, BY)
    (row,) = services.stored_layouts(project).to_dict("records")
    assert (row["sender"], row["mapping_name"]) == ("Crew North", "hand log")
    assert (row["entry_no"], row["person"]) == (entry, BY)
    assert json.loads(row["reading"])["columns"]["depth_mm"]["unit"] == "m"
    history = services.history(project).iloc[-1]
    assert (history["act"], history["note"]) == ("layout", "Crew North: hand log")
    assert services.verify(project)[0] == []


def test_a_strange_file_goes_in_once_its_layout_is_known(project):
    assert take(project, "hand.csv", STRANGE).refused
    services.store_layout(project, "Crew North", "hand log", LAYOUT, BY)
    report = take(project, "hand.csv", STRANGE)
    assert not report.refused, report.problems["problem"].tolist()
    assert report.files.to_dict("records")[0]["layout"] == "hand log"
    assert report.rows["added"] == 2
    mapping = json.loads(services.history(project)["mapping"].iloc[-1])
    assert mapping["sheets"][""]["sender"] == "Crew North"


def test_the_same_layout_again_writes_nothing_and_a_change_supersedes_it(project):
    first = services.store_layout(project, "Crew North", "hand log", LAYOUT, BY)
    assert services.store_layout(project, "Crew North", " hand log ", LAYOUT, BY) == first
    assert int(services.history(project)["entry_no"].iloc[-1]) == first
    changed = LAYOUT | {"decimal": "comma"}
    second = services.store_layout(project, "Crew North", "hand log", changed, "Ada Invented")
    (row,) = services.stored_layouts(project).to_dict("records")
    assert (row["entry_no"], row["person"]) == (second, "Ada Invented")
    assert json.loads(row["reading"])["decimal"] == "comma"
    found = services.entry_changes(project, second)
    assert found[["key", "change", "column"]].to_numpy().tolist() == [
        ["Crew North / hand log", "changed", "reading"]
    ]
    services.withdraw(project, second, "Ada Invented", "it was right before")
    (row,) = services.stored_layouts(project).to_dict("records")
    assert row["entry_no"] == first


def test_an_unknown_sender_is_wrong_use_that_names_the_known_ones(project):
    with pytest.raises(WrongUse, match="none; define a layout"):
        take(project, "hand.csv", STRANGE, sender="Crew South")
    services.store_layout(project, "Crew North", "hand log", LAYOUT, BY)
    with pytest.raises(WrongUse, match="Known senders: Crew North"):
        take(project, "hand.csv", STRANGE, sender="Crew South")


def test_a_sender_of_whom_no_layout_fits_is_a_problem(project):
    services.store_layout(project, "Crew North", "hand log", LAYOUT, BY)
    report = take(project, "hand.csv", STRANGE.replace("wie tief", "Tiefe"), sender="Crew North")
    assert report.refused
    assert len(report.problems)


@pytest.mark.parametrize(
    ("layout", "said"),
    [
        ({"kinds": []}, "cannot be used"),
        (LAYOUT | {"kinds": ["weather"]}, "weather"),
        (LAYOUT | {"decimal": "dot"}, "decimal"),
        (LAYOUT | {"columns": {"pile_id": {"header": "Pfahl"}}}, "needs also"),
    ],
)
def test_a_layout_with_faults_is_wrong_use_and_writes_nothing(project, layout, said):
    before = len(services.history(project))
    with pytest.raises(WrongUse, match=said):
        services.store_layout(project, "Crew North", "hand log", layout, BY)
    assert len(services.history(project)) == before


def test_a_layout_needs_a_registered_person_a_sender_and_a_name(project):
    with pytest.raises(WrongUse, match="not among the people"):
        services.store_layout(project, "Crew North", "hand log", LAYOUT, "Somebody Else")
    for sender, name in ((" ", "hand log"), ("Crew North", "")):
        with pytest.raises(WrongUse, match="a sender and a name"):
            services.store_layout(project, sender, name, LAYOUT, BY)


def test_a_draft_is_tried_before_it_is_remembered(project):
    draft = {"sender": "Crew North", "name": "hand log", "layout": LAYOUT}
    plain = services.preview_of(project, "hand.csv", STRANGE.encode())
    (sheet,) = services.preview_of(project, "hand.csv", STRANGE.encode(), drafts=[draft]).sheets
    assert not plain.sheets[0].ready
    assert (sheet.ready, sheet.layout) == (True, "hand log")
    assert services.stored_layouts(project).empty


@pytest.mark.parametrize(("name", "value"), [("date_order", "dmy"), ("decimal", "dot")])
def test_an_unknown_convention_is_wrong_use(project, name, value):
    with pytest.raises(WrongUse, match=f"'{value}' is none of"):
        take(project, "log.csv", log(), **{name: value})
