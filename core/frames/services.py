"""Frames that services make of an assessment for screens, files and commands.

A name is the service and its frame: ``grouting.days``, ``steel.stock``.
"""

from __future__ import annotations

from dataclasses import replace

from core.criteria.kinds import BLOCKS
from core.frames.assessment import OF_ASSESSMENT
from core.frames.declaring import PLACE, Column, Columns, Form, Frames, of_kind, own
from core.reports.steel import CHAIN
from core.subjects.grout.frames import THINNEST

_PILES, _PROFILE, _LIFTS, _CHAIN, _REGISTER, _FINDINGS, _ATTENTION = (
    OF_ASSESSMENT[name][1]
    for name in ("piles", "profile", "lifts", "trace", "register", "findings", "attention")
)


def _some(columns: Columns, *names: str) -> Columns:
    """The columns of another frame that are in ``names``."""
    return {name: columns[name] for name in names}


def _renamed(columns: Columns, names: dict[str, str], before: str = "") -> Columns:
    """Columns of another frame under other names; ``names``: theirs by ours."""
    return {
        name: replace(columns[old], name=name, meaning=f"{before}{columns[old].meaning}")
        for name, old in names.items()
    }


_GROUP = own("text", group="area and type of the pile")
_COUNTED = own("integer", piles="how many piles there are")
_TAKES = _some(
    _PILES, "net_grout_l", "void_l", "take_ratio", "min_cumulative_ratio", "min_lift_ratio"
)
_THIN = {name: old for name, old in THINNEST.items() if old != "step_ratio"}

_GROUTING: Frames = {
    "grouting.piles": (
        "one pile of a grouted type, or with a lift",
        {
            **_PILES,
            **_GROUP,
            **_renamed(_LIFTS, _THIN, "of the lift with the minimum ratio: "),
            **own("number", thin_step_ratio="ratio that one step of its measurement is worth"),
            **own("date", placed_on="last day of its lifts"),
            **own("flag", unlike="whether its minimum ratio is far from those of its group"),
        },
    ),
    "grouting.groups": (
        "one area and type",
        {
            **_GROUP,
            **_COUNTED,
            **own("integer", piles_placed="piles with a lift",
                  piles_unknown="those without a ratio"),
            **_TAKES,
        },
    ),
    "grouting.lifts": (
        "one lift, gap between lifts, or void below the last lift",
        {
            **_LIFTS,
            **_GROUP,
            **own("number", reach_mm="deepest toe so far"),
            **own("text", where="the lift in words, or what is there in its place"),
        },
    ),
    "grouting.gaps": (
        "one gap between lifts that is wider than allowed",
        {
            **_some(_LIFTS, "pile_id"),
            **own("number", gap_from_mm="toe depth at which the gap begins",
                  gap_to_mm="toe depth at which it ends"),
            **own("text", lift_above="lift above the gap", lift_below="lift below the gap"),
        },
    ),
    "grouting.batches": (
        "one batch mixed or placed",
        {
            **of_kind("grout_batch", "batch_id", "mixed_on", "mixed_at", "mix", "density_kg_m3",
                      "flow_s", "volume_l"),
            **_COUNTED,
            **own("text", pile_ids="piles that it went into"),
            **own("number", batched_l="volume of it that placements record",
                  batch_age_h="maximum age when a placement of it ended"),
        },
    ),
    "grouting.days": (
        "one day on which grout was placed or sampled",
        {
            **own("date", day="day of the work"),
            **_COUNTED,
            **own("integer", batches="batches placed", groups="sample groups taken",
                  specimens="specimens taken",
                  without_group="piles placed that no sample group stands for"),
            **own("number", batched_l="volume batched for the placements"),
            **own("text", group_ids="sample groups of the day", pile_ids="piles of the day"),
        },
    ),
    "grouting.samples": (
        "one sample group",
        {
            **of_kind("grout_specimen", "sample_group_id", "taken_on"),
            **_COUNTED,
            **own("text", batches="batches that it was taken from", pile_ids="piles of the group"),
            **own("integer", specimens="specimens of the group", waiting="those without a result"),
            **own("date", due_on="day of the first result that is not in"),
            **own("number", overdue_days="days since that day"),
        },
    ),
    "grouting.strengths": (
        "one age of one sample group",
        {
            **of_kind("grout_specimen", "sample_group_id", "age_days"),
            **own("integer", specimens="specimens of that age", tested="those with a result"),
            **own("number", min_strength_mpa="minimum of their strengths"),
            **own("date", due_on="day on which the last of them has its age"),
        },
    ),
}  # fmt: skip


def _band(along: str, meaning: str) -> Columns:
    return {
        **_GROUP,
        **_COUNTED,
        **own("integer", stretch="number of the stretch"),
        **own("number", **{along: meaning}),
        **own(
            "number",
            low_torque_nm="torque that a tenth of the piles does not reach",
            median_torque_nm="torque that half of the piles do not reach",
            high_torque_nm="torque that a tenth of the piles exceeds",
        ),
    }


_COMPARED: Frames = {
    "compared.piles": (
        "one pile, or one live position that no pile serves",
        {
            **_PILES,
            **_GROUP,
            **own(
                "number",
                torque_ratio="final torque over required torque",
                torque_margin_nm="final torque less required torque",
                rated_share="maximum torque over rated torque",
                max_depth_mm="depth of the maximum torque",
                from_median_nm="final torque less the median of the group",
                outside_share="share of its stretches outside the band of its group",
                first_disc_level_m="level at which the first disc entered",
            ),
            **own("text", rated_by="part with the minimum rating"),
        },
    ),
    "compared.readings": (
        "one reading that stands",
        {
            **_PROFILE,
            **_GROUP,
            **own("number", level_m="level of the reading",
                  bound_torque_nm="torque above or below which a reading outside its curve lies"),
        },
    ),
    "compared.bands.depth_mm": (
        "one stretch of depth of one group",
        _band("depth_mm", "mean depth of the readings in the stretch"),
    ),
    "compared.bands.level_m": (
        "one stretch of level of one group",
        _band("level_m", "mean level of the readings in the stretch"),
    ),
}  # fmt: skip

_OF_PILE = _some(_PILES, "pile_id", "area", "state", "stage")
_TRACED: Columns = {
    **_CHAIN,
    **_OF_PILE,
    **own("text", gap="first thing that the piece lacks of what its kind asks"),
}
_STOCK: Columns = {
    **of_kind("component"),
    **PLACE,
    **_some(_REGISTER, "component"),
    **own(
        "integer",
        placed="components in the last string of each pile",
        not_placed="components in no pile and not scrapped; below 0 those that are too many",
    ),
}
_CERTIFICATES: Columns = {
    **of_kind("certificate"),
    **PLACE,
    **own("text", sha256="digest of the file that shows it, where one is kept"),
}
_HEAT = of_kind("heat_on_certificate", "mill", "heat")
_PIECES = own("integer", pieces="pieces of it that are recorded")
_LISTED = own("flag", listed="whether a certificate lists it")


def _covered(by: str, meaning: str) -> Columns:
    return {
        **own("text", **{by: meaning}),
        **_COUNTED,
        **own(
            "integer",
            components="components in the ground",
            pieces="pieces of steel in the ground",
            pieces_traced="pieces that lack nothing of what their kinds ask",
        ),
        **own(
            "number",
            pieces_share="share of these pieces",
            length_mm="length of the components",
            traced_mm="length of those of which every piece is traced",
            length_share="share of that length",
        ),
    }


_STEEL: Frames = {
    "steel.trace": ("one piece of steel placed", _TRACED),
    "steel.stock": ("one component delivered", _STOCK),
    "steel.certificates": ("one mill certificate", _CERTIFICATES),
    "steel.files": ("one file of a certificate", {**of_kind("certificate_file"), **PLACE}),
    "steel.story": (
        "one word on the quarantine of a heat",
        {**of_kind("quarantine"), **_some(PLACE, "entry_no")},
    ),
    "steel.lots": (
        "one lot used beyond what was delivered",
        {
            **of_kind("component", "stamp", "quantity", "left_over", "scrapped"),
            **_some(_STOCK, "placed"),
            **own("integer", too_many="components beyond what was delivered"),
        },
    ),
    "steel.uncertified": ("one heat that no certificate lists", {**_HEAT, **_PIECES}),
    "steel.doubtful": (
        "two heats that look alike",
        {
            **_HEAT,
            **_PIECES,
            **_LISTED,
            **own("text", looks_like="heat that it looks like"),
            **own("integer", other_pieces="pieces of that heat that are recorded"),
            **own("flag", other_listed="whether a certificate lists that heat"),
        },
    ),
    "steel.remnants": (
        "one component cut from another",
        {
            **_STOCK,
            **_some(_CHAIN, "pile_id"),
            **own("flag", parent_known="whether what it was cut from is on the register"),
        },
    ),
    "steel.coverage.area": ("one area, and all", _covered("area", "area; empty for all")),
    "steel.coverage.supplier": (
        "one supplier, and all",
        _covered("supplier", "supplier; empty for all"),
    ),
    "steel.trace_boxes": (
        "one box of the drawn trace",
        {
            **own("text", level="pile, component, heat or certificate", box="what is in the box"),
            **own("integer", count="how many the box stands for"),
            **own("flag", broken="whether a trace stops here"),
        },
    ),
    "steel.lines": (
        "one line between two boxes",
        {
            **own("text", level="level at which it begins", box="box at which it begins",
                  next_box="box at which it ends"),
            **own("flag", broken="whether every trace along it stops"),
        },
    ),
    "steel.stamps": (
        "one stamp of one delivery",
        {
            **_some(_REGISTER, "stamp", "delivery_id", "component_kind", "supplier"),
            **own("text", heats="heats that are recorded of it"),
        },
    ),
    "search.piles": (
        "one pile that holds what is sought",
        {
            **_OF_PILE,
            **own("integer", pieces="pieces of it in the last string",
                  length_mm="length of its components", gaps="pieces whose trace stops"),
        },
    ),
    "search.heats": (
        "one heat that hangs on what is sought, and certificate that lists it",
        {
            **_some(_CHAIN, "mill", "heat", "certificate", "page", "yield_mpa", "tensile_mpa",
                    "elongation_percent", "carbon_percent", "carbon_equivalent_percent",
                    "melted_in", "certificate_type"),
            **own("integer", placed="pieces of it in the last string of a pile"),
        },
    ),
    "search.gaps": (
        "one place where traces stop",
        {**_some(_CHAIN, "gap_text"), **own("integer", pieces="pieces whose trace stops there")},
    ),
    "search.concerns": (
        "one open finding of steel about what is sought",
        {
            **_some(_FINDINGS, "kind", "result", "measured", "limit_value", "unit_column", "note"),
            **own("text", piles="piles that it concerns"),
        },
    ),
    "search.similar_heats": ("one heat that looks like the one sought",
                          {**_HEAT, **_PIECES, **_LISTED}),
    "recall.piles": (
        "one pile that holds the heat",
        {**_OF_PILE, **own("flag", affected="whether it is accepted, or meets its criteria")},
    ),
    "trace.placed": (
        "one piece of steel placed",
        _renamed(_CHAIN, {ours: name for name, ours in CHAIN.items()}),
    ),
    "trace.store": (
        "one component of which some are in no pile",
        _some(_REGISTER, "stamp", "delivery_id", "component", "in_store", "left_over",
              "scrapped"),
    ),
    "string.parts": (
        "one component of the last string, from the toe up",
        {
            **_CHAIN,
            **own("number", bottom_mm="depth of its lower end along the axis",
                  top_mm="depth of its upper end along the axis"),
        },
    ),
    "string.helices": (
        "one helix, the top one first",
        own("number", helix_mm="diameter of the helix", depth_mm="its depth along the axis"),
    ),
    "string.column": (
        "one stretch of the hole that grout fills",
        own("number", from_mm="depth at which it begins", to_mm="depth at which it ends",
            bore_mm="diameter of the hole"),
    ),
}  # fmt: skip

_AGE = _some(_ATTENTION, "age_days")
_OLDEST = own("integer", oldest_days="days since the oldest of them is outstanding")
_OUTSTANDING: Frames = {
    "outstanding.responsible": (
        "one person in charge",
        {
            **_some(_ATTENTION, "responsible"),
            **own(
                "integer", **{letter: f"items that block {word}" for letter, word in BLOCKS.items()}
            ),
            **own("integer", all="all items"),
            **_OLDEST,
        },
    ),
    "outstanding.subjects": (
        "one subject with outstanding items",
        {
            **_some(_ATTENTION, "subject_kind", "subject", "area"),
            **own("text", kinds="kinds of its items", owners="who is responsible for them"),
            **_OLDEST,
        },
    ),
    "outstanding.waiting": (
        "one pile that waits for the engineer",
        {**_some(_PILES, "pile_id"), **_AGE},
    ),
}

_FACTOR: tuple[tuple[str, str, Form, str], ...] = (
    ("id", "id", "text", "name of the torque factor"),
    ("section", "section", "text", "shaft section that it is for"),
    ("direction", "direction", "text", "direction of the load that it is for"),
    ("grouted", "grouted", "flag", "whether it is for grouted piles"),
    ("helix_set", "helix_set", "text", "helices that it is for; any for all"),
    ("ground", "ground", "text", "class of ground that it is for; any for all"),
    ("source", "source", "text", "document that gives it"),
    ("torque_factor_per_m", "value", "number", "torque factor Kt"),
    ("key", "id", "text", "where project.toml has it, with its value in another unit"),
)
_ENTRY: Columns = {
    **own("integer", entry_no="number of the entry"),
    **own("timestamp", entered_at="when it was entered, in UTC"),
    **own(
        "text",
        person="who entered it",
        act="what was done",
        source="file that it came from",
    ),
    **own("flag", active="whether it is active: not withdrawn"),
}
_NOTED: Columns = {
    **_ENTRY,
    **own("text", note="why, in the person's words"),
    **own("integer", withdraws="entry that it takes back"),
}
_HISTORY: Frames = {
    "history": (
        "one entry of the ledger",
        {
            **_NOTED,
            **own(
                "text",
                sha256="digest of the file",
                hash="hash of the entry, which chains it to the one before",
                contents="record kinds that it holds, with their numbers of rows",
                mapping="how the file was read",
                program_version="version of the program that wrote it",
            ),
            **own("integer", rows="rows that it holds"),
        },
    ),
    "pile_history.works": (
        "one thing done to the pile",
        {
            **_ENTRY,
            **own("text", happening="what was done", name="its number or name",
                  detail="more about it in words"),
            **own("date", happened_on="day of the work"),
            **own("number", amount="toe depth [mm], number or strength [MPa], by what was done"),
        },
    ),
    "pile_history.entries": ("one entry about the pile", _NOTED),
    "pile_history.about": (
        "one record kind of one entry about the pile",
        {
            **own("integer", entry_no="number of the entry", rows="rows about the pile",
                  removed="those that take a record away"),
            **own("text", kind="record kind"),
        },
    ),
    "what_if.moved": (
        "one pile whose state would change",
        {
            **_some(_PILES, "pile_id", "area", "state"),
            **own("text", state_then="state that it would have", why="findings that change"),
        },
    ),
    "scenario_options.gauges": (
        "one instrument that readings name",
        {
            **of_kind("instrument", "instrument_id"),
            **own("date", first="day of its first reading", last="day of its last reading"),
        },
    ),
    "scenario_options.factors": (
        "one torque factor",
        {
            name: Column(name, form, meaning, origin=f"torque_factors.{field}")
            for name, field, form, meaning in _FACTOR
        },
    ),
    "changes": (
        "one value of one record that an entry changed",
        {
            **own(
                "text",
                kind="record kind",
                key="key of the record",
                change="new, changed, confirmed by a second source, removed, or stands again",
                column="column that changed; empty for a whole record",
                before="value before the entry",
                after="value after the entry",
            ),
            **own("integer", row="row of the sheet, or line of the file"),
            **_some(PLACE, "sheet"),
        },
    ),
    "layouts": (
        "one remembered layout",
        {
            **of_kind("mapping"),
            **_some(_ENTRY, "entry_no", "person"),
        },
    ),
}  # fmt: skip

_READ: Columns = {
    **own("text", file="name of the file"),
    **_some(PLACE, "sheet"),
    **own("integer", row="row of the sheet, or line of the file; none for the whole file"),
}
_IMPORT: Frames = {
    "import.problems": (
        "one thing wrong with data that came in",
        {
            **_READ,
            **own(
                "text",
                kind="kind of problem",
                column="heading of the column",
                value="what was read",
                problem="what is wrong and what was expected",
                remedy="what to do",
            ),
        },
    ),
    "import.conflicts": (
        "one value of a file that differs from the current value",
        {
            **_READ,
            **own(
                "text",
                kind="record kind",
                key="key of the record",
                column="column that differs",
                value="value in the file",
                current_value="current value",
                current_file="file that gives the current value",
                person="who entered the current value",
            ),
            **own(
                "integer",
                current_row="row that gives the current value",
                current_entry_no="entry that gives the current value",
            ),
            **own("timestamp", entered_at="when that was entered, in UTC"),
        },
    ),
    "import.missing_keys": (
        "one current record that a corrected file no longer has",
        {
            **_some(_READ, "file", "sheet"),
            **own("text", kind="record kind", key="key of the record"),
        },
    ),
    "import.questions": (
        "one pile number that may be a slip",
        {
            **_READ,
            **own(
                "text", written="number as it is written", candidate="scheduled pile that it may be"
            ),
            **own("integer", rows="rows with that number"),
        },
    ),
    "import.notices": (
        "one notice about data that came in",
        {**_READ, **own("text", notice="what was done or noticed")},
    ),
    "import.not_read": (
        "one column of a file that is not read",
        {
            **_some(_READ, "file", "sheet"),
            **own(
                "text",
                column="letter of the column",
                heading="its heading",
                values="up to three of its values",
            ),
        },
    ),
    "import.files": (
        "one file of the import",
        {
            **_some(_READ, "file"),
            **own("text", kinds="record kinds that it gives", layout="layout that it is read by"),
            **own("integer", rows_read="rows that are read", rows_skipped="rows with a problem"),
        },
    ),
}

OF_SERVICES: Frames = {
    **_GROUTING,
    **_COMPARED,
    **_STEEL,
    **_OUTSTANDING,
    **_HISTORY,
    **_IMPORT,
}
