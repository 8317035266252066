"""Steps of the grout column: the void of every lift, and how what stayed in it fills it."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite, isnan
from typing import NamedTuple

import pandas as pd

from core import units
from core.compute import grout as formulas
from core.compute import steel
from core.flow.worksheet import grout_age, lift_gap
from core.flow.worksheet.known import Known
from core.flow.worksheet.steps import (
    Input,
    InputValue,
    Step,
    assumed,
    least_step,
    of_row,
    result_of,
    without_value,
    word_of,
    worked,
)

SUBJECT = "grout"
ENDS = "Cumulative take ratio at "
WIDER = "a wider hole was pre-drilled: the void is that of each part, not shown step by step"
LITRES = units.factor("mm**3", "L")
VOLUMES = ("batched_l", "left_l", "spilled_l", "returned_l")


class Column(NamedTuple):
    """What the void of a grout column is worked out from: its shaft, and where it begins."""

    shaft: Step
    begins: InputValue


def steps(known: Known) -> list[Step]:
    """Every step of the pile's lifts whose numbers are recorded, of batches and of specimens."""
    made, begins = lift_gap.column_begins(known)
    of_gap = lift_gap.steps(known, begins)
    return [*made, *_of_lifts(known, begins), *of_gap, *grout_age.steps(known)]


def _of_lifts(known: Known, begins: InputValue) -> list[Step]:
    lifts = known.assessment.measured.lifts
    own = lifts[lifts["pile_id"].eq(known.row["pile_id"])]
    if own.empty:
        return []
    if own["cumulative_void_l"].isna().any():
        why = own.loc[own["missing"].ne(""), "missing"].iloc[0]
        return _without_void(known, own, why)
    if _drilled_wider(known):
        return _without_void(known, own, WIDER)
    column = Column(shaft_step(known), begins)
    made, nets, reach = [column.shaft], [], 0.0
    for _, lift in own.iterrows():
        begun = min(max(float(lift["from_mm"]), reach), max(float(lift["to_mm"]), reach))
        reach = max(reach, float(lift["to_mm"]))
        depths, (above, depth) = _depths(lift, begins, begun, reach)
        part = _lift(known, lift, column, above, depth)
        made += [*depths, *part]
        nets += [step for step in part if step.title.startswith("Net grout")]
        made += _cumulative(known, lift, column, nets, depth, len(own))
    made += _whole(known, column, nets, made, reach)
    return [*made, *_least(made)]


def _depths(
    lift: pd.Series, begins: InputValue, begun: float, reach: float
) -> tuple[list[Step], tuple[InputValue, InputValue]]:
    """Where the toe was as a lift began to open its void and as it ended; steps to get there."""
    made, found = [], []
    for name, value, word in (("from_mm", begun, "beginning"), ("to_mm", reach, "end")):
        title = f"Toe at the {word} of lift {lift['lift_no']} of run {lift['run_no']}"
        steps, given = lift_gap.toe_depth(lift, name, begins, title)
        made += steps
        found.append(replace(given, value=value))
    return made, (found[0], found[1])


def _without_void(known: Known, lifts: pd.DataFrame, why: str) -> list[Step]:
    """The net grout of every lift and of the pile, and why no void stands beside it."""
    made: list[Step] = []
    for _, lift in lifts.iterrows():
        made += _net(known, lift, f"lift {lift['lift_no']} of run {lift['run_no']}")
    if pd.notna(known.row["net_grout_l"]):
        nets = [result_of(step) for step in made if step.title.startswith("Net grout")]
        whole = _added(word_of("net_grout_l"), "net grout", nets)
        made.append(replace(whole, measure="net_grout_l"))
    return [*made, without_value(SUBJECT, "void_l", formulas.void_volume, why)]


def _least(made: list[Step]) -> list[Step]:
    """The least take ratio of a lift, and the least cumulative one at a lift's end."""
    found = []
    for measure, begins in (
        ("least_lift_ratio", "Take ratio of "),
        ("least_cumulative_ratio", ENDS),
    ):
        ratios = [step for step in made if step.title.startswith(begins)]
        if ratios:
            source = "the least of the lifts whose grout and void are known"
            found.append(least_step(SUBJECT, measure, ratios, source))
    return found


def _whole(
    known: Known, column: Column, nets: list[Step], made: list[Step], reach: float
) -> list[Step]:
    """The whole pile where no lift reaches its toe, or the void alone where grout is unknown."""
    if any(step.measure == "void_l" for step in made) or pd.isna(known.row["void_l"]):
        return []
    to = max(reach, float(known.row["toe_mm"]))
    depth = known.of_runs("toe_mm", "last") if to > reach else assumed(to, "end of the last lift")
    void = _opened(known, "Void of the whole pile", column, depth, None)[-1]
    whole = replace(void, measure="void_l", title=word_of("void_l"))
    if pd.isna(known.row["take_ratio"]):
        return [whole]
    net = _added(word_of("net_grout_l"), "net grout", [result_of(one) for one in nets])
    ratio = worked(
        SUBJECT,
        f"{ENDS}the toe",
        formulas.take_ratio,
        net_l=result_of(net),
        void_l=result_of(whole),
    )
    ratio = replace(ratio, measure="take_ratio", note=word_of("take_ratio"))
    return [whole, replace(net, measure="net_grout_l"), ratio]


def _drilled_wider(known: Known) -> bool:
    """Whether a wider pre-drilled hole opened a part of the column."""
    drilled = known.pile_type.predrilled_mm or 0.0
    return drilled > (known.pile_type.disc_mm or 0.0)


def shaft_step(known: Known) -> Step:
    """The outside cross-section of the shaft."""
    outside = known.of_type("outside_mm")
    title = "Outside cross-section of the shaft"
    if known.row["shape"] == "square":
        return worked(SUBJECT, title, steel.square_area, side_mm=outside)
    return worked(SUBJECT, title, steel.tube_area, outside_mm=outside)


def _opened(
    known: Known, title: str, column: Column, depth: InputValue, above: InputValue | None
) -> list[Step]:
    """Length of the column and the void that opened, to ``depth`` from ``above`` if given."""
    first = column.begins
    length = worked(
        SUBJECT, f"Column to {_metres(depth.value)}", formulas.column_length,
        depth_mm=depth, first_disc_depth_mm=first,
    )  # fmt: skip
    made, given = [length], result_of(length)
    if above is not None and above.value > first.value:
        upper = worked(
            SUBJECT, f"Column to {_metres(above.value)}", formulas.column_length,
            depth_mm=above, first_disc_depth_mm=first,
        )  # fmt: skip
        made.append(upper)
        less = f"column to {_metres(depth.value)} less column to {_metres(above.value)}, above"
        given = InputValue(length.value - upper.value, source=less)
    void = worked(
        SUBJECT, title, formulas.void_volume,
        disc_mm=known.of_type("disc_mm"), shaft_area_mm2=result_of(column.shaft), length_mm=given,
    )  # fmt: skip
    if not known.pile_type.grouted_bore:
        return [*made, _in_litres(void)]
    bore = worked(
        SUBJECT, f"{title}: bore of the shaft", formulas.bore_volume,
        bore_mm=_bore(known), length_mm=given,
    )  # fmt: skip
    both = _in_litres(replace(void, value=void.value + bore.value))
    return [*made, bore, replace(both, note="with the bore of the shaft, above")]


def _bore(known: Known) -> InputValue:
    outside, wall = known.of_type("outside_mm"), known.of_type("wall_mm")
    return InputValue(
        outside.value - 2 * wall.value, source="outside diameter less two walls, settings"
    )


def _in_litres(step: Step) -> Step:
    return replace(step, value=step.value * LITRES, unit="L", note="1 L = 1,000,000 mm³")


def _lift(
    known: Known, lift: pd.Series, column: Column, above: InputValue, depth: InputValue
) -> list[Step]:
    """Void, net and take of one lift."""
    name = f"lift {lift['lift_no']} of run {lift['run_no']}"
    made = _opened(known, f"Void of {name}", column, depth, above)
    batches = _net(known, lift, name)
    made += batches
    if isfinite(batches[-1].value) and made and lift["void_l"] > 0:
        void = next(step for step in made if step.title == f"Void of {name}")
        made.append(
            worked(
                SUBJECT,
                f"Take ratio of {name}",
                formulas.take_ratio,
                net_l=result_of(batches[-1]),
                void_l=result_of(void),
            )
        )
    return made


def _net(known: Known, lift: pd.Series, name: str) -> list[Step]:
    """Net grout of a lift: its one placement, or several added up first."""
    placed = known.assessment.measured.placed
    own = placed[
        placed["pile_id"].eq(lift["pile_id"])
        & placed["run_no"].eq(lift["run_no"])
        & placed["lift_no"].eq(lift["lift_no"])
    ]
    made, given = [], {}
    for volume in VOLUMES:
        parts = [of_row(row, volume, "grout_placement") for _, row in own.iterrows()]
        if len(parts) == 1:
            given[volume] = parts[0]
            continue
        step = _added(f"{volume.removesuffix('_l').capitalize()} of {name}", volume, parts)
        made.append(step)
        given[volume] = result_of(step)
    net = worked(SUBJECT, f"Net grout of {name}", formulas.net_volume, **given)
    unknown = [volume.removesuffix("_l") for volume in VOLUMES if isnan(given[volume].value)]
    why = f"not recorded: {', '.join(unknown)}" if unknown else ""
    return [*made, replace(net, note=why)]


def _added(title: str, says: str, parts: list[InputValue]) -> Step:
    word = says.removesuffix("_l").replace("_", " ")
    puts = tuple(Input("V", word, one.value, "L", one.origin, one.source) for one in parts)
    total = sum(one.value for one in parts)
    return Step(SUBJECT, title, "sum of V", puts, total, "L", "balance of volumes.")


def _cumulative(
    known: Known, lift: pd.Series, column: Column, nets: list[Step], depth: InputValue, number: int
) -> list[Step]:
    """Cumulative void, net and take at a lift's end; at the last, those of the whole pile."""
    name = f"the end of lift {lift['lift_no']} of run {lift['run_no']}"
    void = _opened(known, f"Cumulative void at {name}", column, depth, None)[-1]
    net = _added(f"Cumulative net grout at {name}", "net grout", [result_of(one) for one in nets])
    if not isfinite(net.value) or void.value <= 0:
        return []
    ratio = worked(
        SUBJECT, f"Cumulative take ratio at {name}", formulas.take_ratio,
        net_l=result_of(net), void_l=result_of(void),
    )  # fmt: skip
    found = [void, net, ratio]
    if len(nets) == number and depth.value >= float(known.row["toe_mm"]):
        found = [
            replace(void, measure="void_l"),
            replace(net, measure="net_grout_l"),
            replace(ratio, measure="take_ratio", note=f"{word_of('take_ratio')}"),
        ]
    return found


def _metres(depth_mm: float) -> str:
    return units.text(depth_mm, "depth_mm", "SI")
