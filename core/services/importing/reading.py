"""Contents read by intake: what tables hold, which are papers to keep, and how each was read."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

import pandas as pd

from core import records
from core.readers import Taken
from core.readers.documents import named_as_table, paper
from core.services.importing.choice import ImportReport, Progress, joined
from core.services.importing.contents import Content

Read = Callable[[str, bytes], Taken]
KEPT = "kept as attachment; type its values into a template (pilewright templates FOLDER)"


@dataclass(frozen=True)
class Paper:
    """A file that is kept and not read."""

    file: str
    content: bytes

    @property
    def sha256(self) -> str:
        """Digest of its bytes."""
        return hashlib.sha256(self.content).hexdigest()


@dataclass
class Handed:
    """Everything that one command hands in: tables as taken, with their bytes, and papers."""

    tables: list[tuple[Taken, bytes]] = field(default_factory=list)
    papers: list[Paper] = field(default_factory=list)

    def __iter__(self) -> Iterator[tuple[Taken, bytes]]:
        """Tables in dependency order: what others refer to comes first."""
        return iter(sorted(self.tables, key=lambda pair: _dependency(pair[0])))


def read(
    contents: Sequence[Content], taken: Read, report: ImportReport, progress: Progress
) -> Handed:
    """Every content read or laid aside; what intake says of each goes into ``report``."""
    handed = Handed()
    for number, (name, content) in enumerate(contents, start=1):
        progress(f"reading {name} ({number} of {len(contents)})")
        what = paper(content)
        if not what:
            handed.tables.append((taken(name, content), content))
        elif named_as_table(name):
            report.problem(
                "not a table",
                name,
                f"Its name says table, but it is a {what}.",
                f"Ask for the table itself, or rename it when the {what} is to be kept.",
            )
        else:
            handed.papers.append(Paper(name, content))
    _tell(handed, report)
    return handed


def _tell(handed: Handed, report: ImportReport) -> None:
    taken = [one for one, _ in handed.tables]
    report.problems = joined([report.problems, *(one.problems for one in taken)])
    report.not_read = joined([report.not_read, *(one.not_read for one in taken)])
    report.remarks = joined([report.remarks, *(one.remarks for one in taken)])
    report.rows["left_out"] = sum(one.rows_left_out for one in taken)
    rows = [
        (one.file, ", ".join(one.frames), ", ".join(one.layouts), one.rows_read, one.rows_left_out)
        for one in taken
    ]
    rows += [(one.file, "", "", 0, 0) for one in handed.papers]
    report.files = pd.DataFrame(rows, columns=report.files.columns)


def _dependency(one: Taken) -> int:
    return max((list(records.KIND).index(kind) for kind in one.frames), default=0)
