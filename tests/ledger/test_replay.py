"""Random histories: at every entry the ledger's answer equals that of a plain-Python model."""

from __future__ import annotations

import tempfile
from contextlib import contextmanager
from pathlib import Path

import duckdb
import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings

from core.errors import Refused, WrongUse
from core.ledger import Ledger, NewEntry, verify
from core.ledger.database import Macros, migrate
from core.ledger.reader import Reader
from core.ledger.writer import transaction
from tests.ledger.histories import KINDS, histories
from tests.ledger.model import Model, Word

MEMORY = Path("/dev/shm") if Path("/dev/shm").is_dir() else None


class InMemory:
    """A ledger without a file, emptied between histories."""

    def __init__(self) -> None:
        self.con = duckdb.connect(":memory:")
        self.con.execute("set threads = 1")
        self.con.execute("pragma disable_optimizer")  # planning costs more than a few rows do
        migrate(self.con, 0, None)
        self.macros = Macros(self.con)

    def emptied(self) -> InMemory:
        for table in ("entry", "entry_content", "source", "settings", *KINDS):
            self.con.execute(f"truncate {table}")
        return self

    def write(self):
        return transaction(self.con, Path())

    @contextmanager
    def read(self):
        yield Reader(self.con, self.macros)


class Player:
    """Plays one history on a ledger and on the model, comparing as it goes."""

    def __init__(self, ledger) -> None:
        self.ledger, self.model = ledger, Model()
        self.played: list = []

    def play(self, history) -> None:
        for step in history:
            {
                "files": self.files,
                "form": self.form,
                "withdraw": self.withdraw,
                "again": self.again,
                "settings": self.settings,
            }[step[0]](*step[1:])

    def again(self, number: int) -> None:
        if number < len(self.played):
            self.files(*self.played[number])

    def files(self, command, replace: bool, take_good: bool) -> None:
        self.played.append((command, replace, take_good))
        waiting: list[Word] = []
        stopped = False
        written: list[dict[str, pd.DataFrame]] = [{} for _ in command]
        with self.ledger.write() as writer:
            for kind in KINDS:
                for number, (name, content) in enumerate(command):
                    if kind not in content or not content[kind]:
                        continue
                    staged, faults = self.stage(
                        writer, kind, (number, name), content[kind], replace, waiting
                    )
                    stopped = stopped or (faults and not take_good)
                    written[number][kind] = staged.writes
            if stopped:
                writer.discard()
                return
            for number, (name, _) in enumerate(command):
                entry_no = writer.append(NewEntry("Ann", "file", name), written[number])
                mine = [word for word in waiting if word.entry_no == -1 - number]
                assert (entry_no is None) == (not mine)
                self.record(entry_no, "file", mine)

    def stage(self, writer, kind, file, content, replace, waiting):
        """Compares every status and missing key; waiting words are added to."""
        number, name = file
        staged = writer.stage(kind, frame(kind, content), name, replace)
        rows = [
            Word(-1 - number, kind, key, source(name, sheet), value)
            for key, (sheet, value) in content.items()
        ]
        expected = [self.model.status(row, waiting, replace, None) for row in rows]
        if kind == "calibration":
            known = self.model.last_words("instrument", self.model.last, waiting)
            known = {key for key, word in known.items() if word.value is not None}
            for place, row in enumerate(rows):
                if row.key[:1] not in known and expected[place] != "unchanged":
                    expected[place] = "missing reference"
        assert list(staged.frame["staged_as"]) == expected
        missing = self.model.missing(kind, rows, waiting)
        keys = [*KINDS[kind][0], "sheet"]
        told = {tuple(row) for row in staged.missing_keys[keys].itertuples(index=False)}
        assert told == {(*key, heard[1]) for key, heard in missing}
        if replace:
            waiting += [Word(-1 - number, kind, key, heard, None) for key, heard in sorted(missing)]
        taken = ("added", "superseded", "corroborated")
        waiting += [row for row, said in zip(rows, expected, strict=True) if said in taken]
        faults = "conflict" in expected or "missing reference" in expected
        assert staged.conflicts.empty == ("conflict" not in expected)
        return staged, faults

    def form(self, rows, sees: bool) -> None:
        with self.ledger.write() as writer:
            asked = frame("instrument", {key: ("", value) for key, (_, value) in rows.items()})
            before = self.model.last_words("instrument", self.model.last, [])
            saw = [before[key].entry_no if sees and key in before else None for key in rows]
            asked["saw_entry_no"] = pd.array(saw, dtype="Int64")
            staged = writer.stage("instrument", asked, None)
            words = [
                Word(0, "instrument", key, ("", ""), value) for key, (_, value) in rows.items()
            ]
            expected = [
                self.model.status(word, [], False, seen)
                for word, seen in zip(words, saw, strict=True)
            ]
            assert list(staged.frame["staged_as"]) == expected
            assert staged.missing_keys.empty
            entry_no = writer.append(NewEntry("Ann", "form"), {"instrument": staged.writes})
        taken = ("added", "superseded", "corroborated")
        kept = [word for word, said in zip(words, expected, strict=True) if said in taken]
        assert (entry_no is None) == (not kept)
        self.record(entry_no, "form", kept)

    def withdraw(self, entry_no: int) -> None:
        act = self.model.acts.get(entry_no)
        allowed = act in ("file", "form") and entry_no not in self.model.withdrawn_by
        if allowed:
            with self.ledger.write() as writer:
                own = writer.withdraw(entry_no, "Ann", "wrong file")
            self.record(own, "withdrawal", [])
            self.model.withdrawn_by[entry_no] = own
        else:
            with (
                pytest.raises(WrongUse if act is None else Refused),
                self.ledger.write() as writer,
            ):
                writer.withdraw(entry_no, "Ann", "wrong file")

    def settings(self, text: str) -> None:
        with self.ledger.write() as writer:
            entry_no = writer.record_settings(text, "Ann")
        known = list(self.model.settings.values())
        assert (entry_no is None) == (bool(known) and known[-1] == text)
        self.record(entry_no, "settings", [])
        if entry_no is not None:
            self.model.settings[entry_no] = text

    def record(self, entry_no: int | None, act: str, words: list[Word]) -> None:
        if entry_no is None:
            return
        assert entry_no == self.model.last + 1
        self.model.acts[entry_no] = act
        for word in words:
            word.entry_no = entry_no
        self.model.words += words

    def compare(self) -> None:
        """The ledger's answers as of every entry against the model's."""
        with self.ledger.read() as reader:
            assert reader.last_entry() == self.model.last
            for as_of in range(self.model.last + 1):
                for kind in KINDS:
                    assert told(reader, kind, as_of) == self.model.standing(kind, as_of)
                texts = [text for no, text in self.model.settings.items() if no <= as_of]
                assert reader.settings_text(as_of) == (texts[-1] if texts else None)
            live = reader.entries().set_index("entry_no")["active"]
            for entry_no in self.model.acts:
                assert live[entry_no] == self.model.counts(entry_no, self.model.last)


def source(name: str, sheet: str) -> tuple[str, str]:
    return name.rpartition("/")[2].lower(), sheet


def frame(kind: str, rows) -> pd.DataFrame:
    keys, values = KINDS[kind]
    table = [(*key, *value, sheet) for key, (sheet, value) in rows.items()]
    found = pd.DataFrame(table, columns=[*keys, *values, "sheet"])
    return found.assign(row_no=range(2, len(found) + 2))


def told(reader: Reader, kind: str, as_of: int) -> dict[tuple, tuple]:
    keys, values = KINDS[kind]
    rows = reader.current_frame(kind, as_of)
    current = reader.current(kind, as_of)
    places = zip(current.values("entry_no"), current.values("row_no"), strict=True)
    assert sorted(places) == sorted(zip(rows["entry_no"], rows["row_no"], strict=True))
    found = {}
    for row in rows.to_dict("records"):
        value = [None if pd.isna(row[name]) else row[name] for name in values]
        value = [v.date() if isinstance(v, pd.Timestamp) else v for v in value]
        found[tuple(row[name] for name in keys)] = tuple(value)
    assert len(found) == len(rows)
    return found


@pytest.fixture(scope="module")
def in_memory():
    ledger = InMemory()
    yield ledger
    ledger.con.close()


QUICK = {
    "deadline": None,
    "database": None,
    "suppress_health_check": [HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
}


@settings(max_examples=100, **QUICK)
@given(histories)
def test_standing_rows_equal_the_model_as_of_every_entry_of_random_histories(in_memory, history):
    player = Player(in_memory.emptied())
    player.play(history)
    player.compare()


@settings(max_examples=12, **QUICK)
@given(histories)
def test_random_histories_on_a_file_equal_the_model_and_verify(history):
    with tempfile.TemporaryDirectory(dir=MEMORY) as folder:
        player = Player(Ledger.create(Path(folder)))
        player.play(history)
        player.compare()
        assert verify(Path(folder)) == []
