"""The frozen ledger and what was said of it: unpacked, compared, and recorded again by hand.

``frozen.zip`` is the sample ledger as the program of 30 November 2026 built it (schema 6);
``expected.json.xz`` is what that program said of it. ``python -m tests.comparator.frozen FOLDER``
writes both anew from a ledger, which is done only when a later version becomes the one to compare
with.
"""

from __future__ import annotations

import json
import lzma
import sys
import zipfile
from collections.abc import Iterator
from functools import cache
from math import isclose
from pathlib import Path
from typing import Any

from core import records, services
from tests.comparator import answers, renamed
from tests.comparator.differences import DIFFERENCES, Difference

HERE = Path(__file__).parent
LEDGER, EXPECTED = HERE / "frozen.zip", HERE / "expected.json.xz"
MOST = 20  # differences that a failed test prints
SAME = 1e-12  # relative; sums in another order differ in the last bit
ABSENT = "(absent)"
UNMET = "no difference any more"
Change = tuple[str, Any, Any]  # path, before, after


def unpacked(folder: Path) -> Path:
    """The frozen project in ``folder``, ready to be opened."""
    with zipfile.ZipFile(LEDGER) as archive:
        archive.extractall(folder)
    return folder / "project"


@cache
def expected() -> dict[str, Any]:
    """What was said, by section, in the present words."""
    text = lzma.decompress(EXPECTED.read_bytes()).decode()
    answers: dict[str, Any] = json.loads(text, object_pairs_hook=renamed.object_of)
    return answers


def changes(path: str, before: Any, after: Any) -> Iterator[Change]:
    """Every value that is not the same, with its path; lists are compared place by place."""
    if isinstance(before, dict) and isinstance(after, dict):
        for name in [*before, *(name for name in after if name not in before)]:
            values = before.get(name, ABSENT), after.get(name, ABSENT)
            yield from changes(f"{path}/{name}", *values)
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        for place, pair in enumerate(zip(before, after, strict=True)):
            yield from changes(f"{path}/{place}", *pair)
    elif not _same(before, after):
        yield path, before, after


def _same(before: Any, after: Any) -> bool:
    if type(before) is bool or type(after) is bool:
        return before is after
    if all(isinstance(one, (int, float)) for one in (before, after)):
        return isclose(before, after, rel_tol=SAME, abs_tol=SAME)
    return bool(before == after)


def faults(section: str, after: Any, table: tuple[Difference, ...] = DIFFERENCES) -> list[str]:
    """Changes of a section that ``table`` does not explain, and its differences that none meets."""
    return faults_of(section, expected()[section], after, table)


def faults_as_of(after: dict[str, Any]) -> list[str]:
    """The same of some entries, by number; a difference may be met at another entry alone."""
    before = {entry: expected()["as_of"][entry] for entry in after}
    found = faults_of("as_of", before, after)
    return [fault for fault in found if not fault.endswith(UNMET)]


def faults_of(
    section: str,
    expected: Any,
    after: Any,
    table: tuple[Difference, ...] = DIFFERENCES,
    may_have_more: bool = False,
) -> list[str]:
    """Faults of what is compared with ``expected``; with ``may_have_more`` names may be added."""
    own = {one: False for one in table if one.where.startswith(f"{section}/")}
    left = []
    for path, before, now in changes(section, expected, _plain(after)):
        if before == ABSENT and (may_have_more or path.rsplit("/", 1)[-1] in newer_measures()):
            continue
        explained = [one for one in own if one.explains(path, before, now)]
        own.update(dict.fromkeys(explained, True))
        if not explained:
            left.append(f"{path}: {before!r} -> {now!r}")
    left += [f"{one.where}: {UNMET}" for one, met in own.items() if not met]
    return left[:MOST]


def newer_measures() -> set[str]:
    """Names of measures that the frozen version did not have; what is said of them is new."""
    (told, *_) = expected()["assess"]["piles"].values()
    return set(records.MEASURE) - set(told)


def _plain(told: Any) -> Any:
    """``told`` as JSON gives it back."""
    return json.loads(json.dumps(told))


def everything(folder: Path) -> dict[str, Any]:
    """All sections for the project in ``folder``."""
    now = services.assess(folder)
    piles = sorted(now.piles["pile_id"].dropna())
    as_of = {str(entry): answers.at_entry(services.assess(folder, entry))
             for entry in range(1, now.entry + 1)}  # fmt: skip
    return {
        "assess": answers.assessed(now),
        "explain": {pile: answers.explained(now, pile) for pile in piles},
        "trace": answers.traced(now),
        "outstanding": answers.outstanding(now),
        "seen": answers.seen(now),
        "history": answers.history(folder),
        "as_of": as_of,
    }


def record(folder: Path) -> None:
    """Freeze the ledger in ``folder`` with what the present program says of it."""
    text = json.dumps(everything(folder), ensure_ascii=False, sort_keys=False)
    EXPECTED.write_bytes(lzma.compress(text.encode(), preset=9))
    parts = [folder / "project.toml", folder / "project.duckdb"]
    parts += sorted(path for path in (folder / "attachments").rglob("*") if path.is_file())
    with zipfile.ZipFile(LEDGER, "w", zipfile.ZIP_LZMA) as archive:
        for path in parts:
            archive.write(path, f"project/{path.relative_to(folder)}")


if __name__ == "__main__":
    record(Path(sys.argv[1]))
