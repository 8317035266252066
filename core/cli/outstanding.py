"""The command that lists what somebody must still do, whole or in part, also as a file."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Annotated

import typer

from core import services
from core.cli.shared import AsJson, AsOf, Folder, answer, moment, nothing, table
from core.criteria.kinds import BLOCKS, OWNERS
from core.errors import WrongUse
from core.subjects.registry import FINDING_KIND

Area = Annotated[list[str] | None, typer.Option("--area", help="Only this area; may be repeated.")]
Owner = Annotated[
    list[str] | None,
    typer.Option("--owner", help=f"Only what this owner clears: {', '.join(OWNERS)}."),
]
Blocks = Annotated[
    str, typer.Option("--blocks", help="Only what blocks any of these letters, such as AC.")
]
Kind = Annotated[list[str] | None, typer.Option("--kind", help="Only this kind of finding.")]
Overdue = Annotated[
    bool,
    typer.Option("--overdue", help="Only records and results that were due before the day."),
]
Out = Annotated[
    Path | None, typer.Option("--out", metavar="FILE", help="Write a .csv or .xlsx file.")
]


def add_commands(app: typer.Typer) -> None:
    """Add the command to ``app``."""
    app.command()(outstanding)


def outstanding(
    folder: Folder,
    as_json: AsJson = False,
    as_of: AsOf = None,
    area: Area = None,
    owner: Owner = None,
    blocks: Blocks = "",
    kind: Kind = None,
    overdue: Overdue = False,
    out: Out = None,
) -> None:
    """List what somebody must still do, worst first: what it blocks and who clears it."""
    assessment = services.assess(folder, moment(as_of))
    areas = assessment.project.tables.areas
    wanted = services.Wanted(
        area=_among("area", area or (), areas),
        owner=_among("owner", [code.upper() for code in owner or ()], OWNERS),
        blocks=_among("blocks", blocks.upper(), BLOCKS),
        kind=_among("kind", kind or (), FINDING_KIND),
        overdue=overdue,
    )
    items = services.wanted_of(assessment, wanted)
    system = assessment.project.tables.project.system
    if out is not None:
        services.write_new(out, services.items_file(assessment, items, out.suffix.lower(), system))
    if as_json:
        answer(services.items_object(items))
        return
    shown = items.assign(measured=services.against(items, system))
    columns = ["kind", "subject", "area", "result", "measured", "blocks", "owner", "age_days"]
    table(shown[[*columns, "clears"]], nothing(assessment, "Nothing is outstanding."))
    letters = ", ".join(f"{letter} {meaning}" for letter, meaning in BLOCKS.items())
    print(f"\nblocks: {letters}")
    if out is not None:
        print(f"Written to {out}")


def _among(option: str, given: Iterable[str], known: Iterable[str]) -> tuple[str, ...]:
    """The values of an option. Raises WrongUse for one that is not known."""
    values, allowed = tuple(given), list(known)
    unknown = [value for value in values if value not in allowed]
    if unknown:
        raise WrongUse(f"--{option} takes {_listed(allowed)}, not {', '.join(unknown)}.")
    return values


def _listed(allowed: Sequence[str]) -> str:
    return ", ".join(allowed) if allowed else "none defined in project.toml"
