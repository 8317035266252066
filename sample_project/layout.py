"""The invented design: where the positions are, what they carry, and three schedule revisions."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import cos, radians, sin

SAND, GRAVEL, MADE = "sand under silt", "gravel under silt", "made ground"
# Torque factors [1/m] and safety factors as project.toml states them, for the designer's torques.
TORQUE_FACTOR = {
    ("B1", SAND): 23.0, ("B1", GRAVEL): 24.0, ("P1", SAND): 33.0, ("P1", MADE): 33.0,
    ("W1", SAND): 30.0, ("F1", SAND): 9.0 / 0.3048,
}  # fmt: skip
SAFETY_FACTOR = {"compression": 2.0, "tension": 3.0}
RATED_KNM = {"B1": 15.0, "P1": 14.0, "W1": 14.0, "F1": 9.5}
PRINTED_FACTOR = {"B02-2": 1.05, "P-104": 0.96, "B11-2": 1 / 0.3048}  # slips of the designer


@dataclass(frozen=True)
class Position:
    """One row of the schedule."""

    name: str
    structure: str
    area: str
    cap: str
    pile_type: str
    east_m: float
    north_m: float
    load_kn: float
    min_embedment_mm: int
    ground: str = SAND
    direction: str = "compression"
    batter_deg: float = 0.0
    azimuth_deg: float = 0.0
    scour_m: float = 0.0
    estimated_m: float = 7.5

    @property
    def required_knm(self) -> float:
        """Required torque as printed."""
        factor = TORQUE_FACTOR[self.pile_type, self.ground]
        right = SAFETY_FACTOR[self.direction] * self.load_kn / factor
        return round(right * PRINTED_FACTOR.get(self.name, 1.0), 2)

    @property
    def rated_knm(self) -> float:
        """Rated torque of the string as printed."""
        return RATED_KNM[self.pile_type]

    def embedment_mm(self, toe_mm: float) -> float:
        """Embedment by the measure of the type: vertical cover for anchors, else along the axis."""
        if self.pile_type == "W1":
            return (toe_mm - TOP_HELIX_MM) * cos(radians(self.batter_deg))
        return toe_mm - 1000 * self.scour_m


TOP_HELIX_MM = 1000
RADIUS_M, BENT_M, HALF_WIDTH_M = 620.0, 4.5, 1.5


def boardwalk() -> list[Position]:
    """55 bents of two piles along an arc."""
    return [_boardwalk_pile(bent, pile) for bent in range(1, 56) for pile in (1, 2)]


def _boardwalk_pile(bent: int, pile: int) -> Position:
    turn = (bent - 1) * BENT_M / RADIUS_M
    radius = RADIUS_M + (HALF_WIDTH_M if pile == 1 else -HALF_WIDTH_M)
    load = 115.0 if bent % 5 == 0 else 85.0 if bent == 1 else 100.0
    light = {"B06-1": 30.0, "B06-2": 30.0, "B11-2": 35.0}  # stair landing and a lamp bracket
    name = f"B{bent:02d}-{pile}"
    return Position(
        name, "Boardwalk", "BW" if bent <= 30 else "BE", f"Bent {bent:02d}", "B1",
        round(1000 + radius * sin(turn), 3), round(500 + RADIUS_M - radius * cos(turn), 3),
        light.get(name, load), 5000, GRAVEL if bent >= 40 else SAND,
        scour_m=0.6 if 16 <= bent <= 25 else 0.0,
    )  # fmt: skip


def pump_house() -> list[Position]:
    """A grid of eight by six."""
    return [
        Position(
            f"P-{101 + row * 8 + column}", "Pump house", "PH", f"{'ABCDEF'[row]}{column + 1}", "P1",
            round(1120 + 2.4 * column, 3), round(640 + 2.4 * row, 3),
            120.0 if row in (0, 5) else 130.0, 5500,
            MADE if (row, column) == (4, 5) else SAND,
        )
        for row in range(6) for column in range(8)
    ]  # fmt: skip


def tied_wall() -> list[Position]:
    """A row of battered anchors behind the wall."""
    return [_anchor(number) for number in range(1, 33)]


def _anchor(number: int) -> Position:
    return Position(
        f"W-{number:02d}", "Tied wall", "TW", f"Panel {(number + 3) // 4}", "W1",
        round(1160 + 2.5 * number, 3), 600.0, 80.0 if number % 4 else 85.0, 4000,
        direction="tension", batter_deg=45.0, azimuth_deg=10.0, estimated_m=10.5,
    )  # fmt: skip


def outfall() -> list[Position]:
    """Three piles under the outfall headwall."""
    return [
        Position(f"F-{n}", "Outfall", "OF", "Headwall", "F1",
                 1150.0 + 2 * n, 662.0, 70.0, 4500)
        for n in (1, 2, 3)
    ]  # fmt: skip


def revision_b() -> list[Position]:
    """Every position of the revision that the work begins with."""
    return [*boardwalk(), *pump_house(), *tied_wall(), *outfall()]


HEAVIER_IN_C = {"B14-1": 130.0, "B47-1": 115.0, "B28-1": 115.0, "B28-2": 115.0}
DELETED_IN_C, FORGOTTEN_IN_C = "W-32", "B40-2"


def revision_c() -> list[tuple[Position, str]]:
    """Every position of the late revision with what it says of the row; one is forgotten."""
    rows = []
    for position in revision_b():
        if position.name != FORGOTTEN_IN_C:
            load = HEAVIER_IN_C.get(position.name, position.load_kn)
            change = "deleted" if position.name == DELETED_IN_C else ""
            rows.append((replace(position, load_kn=load), change))
    return rows + [(_anchor(number), "added") for number in (33, 34)]


def schedule_row(position: Position, surface: Callable[[float, float], float]) -> dict[str, str]:
    """A row of revision B or C in the designer's words, without revision and date."""
    ground = surface(position.east_m, position.north_m)
    compression = position.direction == "compression"
    load = f"{position.load_kn:.0f}"
    return {
        "Structure": position.structure,
        "Area": position.area,
        "Bent": position.cap,
        "Type": position.pile_type,
        "Easting (m)": f"{position.east_m:.3f}",
        "Northing (m)": f"{position.north_m:.3f}",
        "Cut-off level (m)": f"{ground + (1.2 if position.pile_type == 'B1' else 0.3):.2f}",
        "Ground level (m)": f"{ground:.2f}",
        "Scour level (m)": f"{ground - position.scour_m:.2f}" if position.scour_m else "",
        "Batter from vertical (deg)": f"{position.batter_deg:.0f}",
        "Azimuth (deg)": f"{position.azimuth_deg:.0f}" if position.batter_deg else "",
        "Compression (kN)": load if compression else "",
        "Tension (kN)": "" if compression else load,
        "Load basis": "service",
        "Load nature": "sustained",
        "Governing direction": position.direction,
        "Required torque (kN·m)": f"{position.required_knm:.2f}",
        "Torque rating (kN·m)": f"{position.rated_knm:.1f}",
        "Minimum embedment (m)": f"{position.min_embedment_mm / 1000:.2f}",
        "Maximum length (m)": "15.00",
        "Estimated length (m)": f"{position.estimated_m:.2f}",
        "Ground class": position.ground,
    }


@dataclass(frozen=True)
class Instructed:
    """A pile that stands elsewhere than its position says, or has another number."""

    position: str
    east_by_m: float
    north_by_m: float
    replaces: str
    instruction: str


INSTRUCTED = {
    "B15-1R": Instructed("B15-1", 1.10, 0.40, "B15-1", "SI-07"),
    "B22-1": Instructed("B22-1", 0.40, -0.10, "", "SI-05"),
    "P-112A": Instructed("P-112", 1.20, 0.00, "", "SI-09"),
}


def instructed_place(pile: str, position: Position) -> Position:
    """The position moved to where the instruction wants the pile."""
    order = INSTRUCTED.get(pile)
    if order is None:
        return position
    return replace(
        position,
        east_m=round(position.east_m + order.east_by_m, 3),
        north_m=round(position.north_m + order.north_by_m, 3),
    )
