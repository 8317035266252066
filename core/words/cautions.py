"""What the program cannot know, shown beside the numbers that it could be forgotten with."""

from __future__ import annotations

CAUTIONS: tuple[str, ...] = (  # Basis of each: DEVELOPERS.md, "Cautions".
    "The state shown is a screening result. The engineer of record, the specification and the "
    "local code govern; nothing here is an approval.",
    "Torque correlation is empirical: an index of resistance, not a measurement of it. Its "
    "scatter is large, and load tests outrank it.",
    "Do not rely on it in a thin hard layer over soft ground, cobbles, weathered rock or refusal, "
    "sensitive or very soft clay, peat, loose or collapsible soil, frozen ground or "
    "uncontrolled fill.",
    "It is invalid after spin-out, pre-drilling, over-crowding or reverse turning, and with a "
    "calibration that is out of force or out of range.",
    "Discs and a grout column add torque: a factor from bare shafts does not transfer to "
    "grouted ones.",
    "A factor for tension does not serve compression, or the reverse, without the engineer.",
    "Group action, settlement, lateral load, buckling, downdrag and corrosion are not covered "
    "by torque.",
)

STEEL_CAUTIONS: tuple[str, ...] = (
    "A chain on paper does not prove the steel: stamps are misread, plates are exchanged, and a "
    "certificate speaks for its heat, not for the piece in the ground. The engineer of record and "
    "the contract decide.",
    CAUTIONS[0],
)
