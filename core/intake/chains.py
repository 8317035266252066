"""Record kinds as sheets carry them: which stand in one sheet together, and what each must have."""

from __future__ import annotations

from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass

from core.intake.headers import Heading
from core.records import KIND, KINDS, Kind

# Kinds that one sheet may carry together, the finest last: its rows are the sheet's rows.
CHAINS: tuple[tuple[str, ...], ...] = (
    ("schedule",),
    ("pile",),
    ("instrument", "calibration", "calibration_point"),
    ("run", "torque_reading"),
    ("grout_batch", "grout_placement"),
    ("grout_specimen",),
    ("sample_group_member",),
    ("component", "piece"),
    ("component_placed",),
    ("certificate", "heat_on_certificate"),
    ("delivery",),
    ("lot",),
    ("survey",),
    ("borehole", "borehole_layer"),
    ("stage_record",),
)
# Beside its required columns a kind needs one of these.
NEEDS: dict[str, tuple[str, ...]] = {
    "torque_reading": ("pressure_kpa", "torque_read_nm"),
    "lot": ("used_from_on", "used_to_on"),
    "piece": ("heat", "certificate"),
    "grout_batch": (
        "mixed_at",
        "mix",
        "plant",
        "cement_lot",
        "water_cement_ratio",
        "volume_l",
        "density_kg_m3",
        "flow_s",
    ),
}
# Columns that the coarser kind shares with the finer one beside its key.
SHARED: dict[str, tuple[str, ...]] = {"run": ("instrument_id", "gear")}
# A sheet with one of these columns means to bring the kind; if it cannot, that is a problem.
TELLING: dict[str, tuple[str, ...]] = {
    "run": ("toe_mm", "stop_reason", "started_at", "ended_at"),
    "calibration": ("issued_on", "valid_from_on", "valid_to_on"),
}


@dataclass(frozen=True)
class Found:
    """A kind that the sheet holds; ``grouped`` when several of its rows make one record."""

    kind: Kind
    headings: dict[str, Heading]
    grouped: bool = False


@dataclass(frozen=True)
class Readings:
    """The headers of a sheet, read in the words of every kind that files may hold."""

    headers: tuple[str, ...]
    by_kind: dict[str, dict[str, Heading]]

    @property
    def complete(self) -> list[str]:
        """Kinds whose needed columns are all here."""
        return [kind for kind in self.by_kind if not self.missing(kind)]

    def missing(self, kind: str) -> list[str]:
        """Words of the columns that ``kind`` needs and the headers lack."""
        return missing_columns(kind, self.by_kind[kind])

    def places(self, kinds: Iterable[str]) -> set[int]:
        """Places of the headers that ``kinds`` know."""
        return {heading.at for kind in kinds for heading in self.by_kind[kind].values()}

    def needed(self, kinds: Iterable[str]) -> set[str]:
        """Columns that make ``kinds`` what they are, as far as the headers have them."""
        return {
            column.name
            for kind in kinds
            for column in KIND[kind].columns
            if (column.required or column.name in NEEDS.get(kind, ()))
            and column.name in self.by_kind[kind]
        }

    @property
    def nearest(self) -> str:
        """The incomplete kind that knows most of the headers; of several the one lacking least."""
        lacking = {kind: len(self.missing(kind)) for kind in self.by_kind}
        incomplete = [kind for kind in self.by_kind if lacking[kind]]
        return max(incomplete, key=lambda kind: (len(self.by_kind[kind]), -lacking[kind]))


def missing_columns(kind: str, given: Container[str]) -> list[str]:
    """Words of the columns that ``kind`` needs and that are not among those ``given``."""
    lacking = [
        word(kind, column.name)
        for column in KIND[kind].columns
        if column.required and column.absent is None and column.name not in given
    ]
    needs = NEEDS.get(kind, ())
    if needs and not any(name in given for name in needs):
        lacking.append(" or ".join(word(kind, name) for name in needs))
    return lacking


def file_kinds() -> list[str]:
    """Names of the kinds that files may hold."""
    return [kind.name for kind in KINDS if kind.from_files]


def word(kind: str, column: str) -> str:
    """What a person calls ``column``: its first alias, else its name in words."""
    aliases = KIND[kind].column(column).aliases
    return aliases[0] if aliases else column.replace("_", " ")


def unread(headers: Sequence[str], members: Sequence[Found]) -> list[str]:
    """Headers that no kind of the sheet uses."""
    used = {heading.at for member in members for heading in member.headings.values()}
    return [text for at, text in enumerate(headers) if at not in used and text]
