"""The invented instruments, their certificates, and how an instrument shows a torque."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

NM_PER_FT_LB = 1.3558179483  # exact foot and pound-force, rounded


@dataclass(frozen=True)
class Instrument:
    """Gauges and drive head as one set, or an indicator in the string."""

    name: str
    kind: str
    rig: str
    maker: str
    serial: str
    unit: str
    step: float


INSTRUMENTS = {
    i.name: i
    for i in (
        Instrument("GS-11", "pressure gauge set", "Rig 1", "Invented maker A", "A0417", "bar", 1),
        Instrument("GS-12", "pressure gauge set", "Rig 1", "Invented maker A", "A0512", "bar", 1),
        Instrument("GS-21", "pressure gauge set", "Rig 2", "Invented maker B", "00731", "psi", 10),
        Instrument("TI-31", "torque indicator", "Rig 2", "Invented maker C", "31-08", "ft-lb", 25),
        Instrument("TI-32", "torque indicator", "Rig 2", "Invented maker C", "31-02", "ft-lb", 25),
    )
}


@dataclass(frozen=True)
class Certificate:
    """One certificate: days in force and, per gear, shown values against torque."""

    instrument: str
    number: str
    issued: date
    valid_from: date
    valid_to: date
    curves: dict[str, tuple[tuple[float, float], ...]]

    def shown(self, torque_nm: float, gear: str) -> float:
        """What the instrument shows at ``torque_nm``, in its own unit and step."""
        values, torques = np.array(self.curves[gear]).T
        to_nm = 1000.0 if INSTRUMENTS[self.instrument].unit == "bar" else NM_PER_FT_LB
        value = _straight(torque_nm / to_nm, torques, values)
        step = INSTRUMENTS[self.instrument].step
        return max(step, round(value / step) * step)

    def torque_nm(self, value: float, gear: str) -> float:
        """Torque by the curve, carried on in a straight line beyond its ends."""
        values, torques = np.array(self.curves[gear]).T
        to_nm = 1000.0 if INSTRUMENTS[self.instrument].unit == "bar" else NM_PER_FT_LB
        return _straight(value, values, torques) * to_nm


def _straight(at: float, x: np.ndarray, y: np.ndarray) -> float:
    piece = int(np.clip(np.searchsorted(x, at) - 1, 0, len(x) - 2))
    slope = (y[piece + 1] - y[piece]) / (x[piece + 1] - x[piece])
    return float(y[piece] + slope * (at - x[piece]))


def _curve(values: list[int], slope: float, bend: float, decimals: int) -> tuple:
    top = max(values)
    return tuple((v, round(slope * v * (1 + bend * v / top), decimals)) for v in values)


_BAR = [15, 30, 45, 60, 75, 90, 105, 120, 135, 150]
_PSI = [200, 500, 800, 1100, 1400, 1700, 2000, 2300, 2600]
_FT_LB = [500, 1500, 3000, 4500, 6000, 7500, 9000, 10500, 12000]
CERTIFICATES = (
    Certificate("GS-11", "FH-25-311", date(2025, 9, 25), date(2025, 9, 25), date(2026, 9, 24),
                {"": _curve(_BAR, 0.1020, 0.03, 2)}),
    Certificate("GS-11", "FH-26-287", date(2026, 9, 23), date(2026, 9, 25), date(2027, 9, 24),
                {"": _curve(_BAR, 0.1012, 0.03, 2)}),
    Certificate("GS-12", "FH-26-112", date(2026, 4, 14), date(2026, 4, 14), date(2027, 4, 13),
                {"": _curve(_BAR[1:7], 0.0990, 0.02, 2)}),
    Certificate("GS-21", "FH-26-140", date(2026, 5, 6), date(2026, 5, 6), date(2027, 5, 5),
                {"low": _curve(_PSI, 4.30, 0.02, 0), "high": _curve(_PSI, 2.15, 0.02, 0)}),
    Certificate("TI-31", "FH-26-155", date(2026, 5, 20), date(2026, 5, 20), date(2027, 5, 19),
                {"": _curve(_FT_LB, 1.0, 0.0, 0)}),
    Certificate("TI-32", "FH-25-298", date(2025, 9, 22), date(2025, 9, 22), date(2026, 9, 21),
                {"": _curve(_FT_LB, 1.0, 0.0, 0)}),
)  # fmt: skip


def certificate_for(instrument: str, day: date) -> Certificate:
    """The certificate in force on ``day``, else the last one issued before it."""
    known = [c for c in CERTIFICATES if c.instrument == instrument and c.issued <= day]
    in_force = [c for c in known if c.valid_from <= day <= c.valid_to]
    return (in_force or known)[-1]


def certificate_rows(certificate: Certificate) -> list[dict[str, str]]:
    """The certificate as its laboratory would tabulate it, one row a point."""
    unit = INSTRUMENTS[certificate.instrument].unit
    rows = []
    for gear, points in certificate.curves.items():
        for number, (value, torque) in enumerate(points, start=1):
            torque_name = "Torque (kN·m)" if unit == "bar" else "Torque (ft-lb)"
            pressure = {} if unit == "ft-lb" else {f"Differential pressure ({unit})": f"{value}"}
            rows.append({
                "Instrument": certificate.instrument,
                "Certificate no": certificate.number,
                "Calibrated on": certificate.issued.isoformat(),
                "Valid from": certificate.valid_from.isoformat(),
                "Valid to": certificate.valid_to.isoformat(),
                "Laboratory": "Invented calibration laboratory",
                **({"Gear": gear} if len(certificate.curves) > 1 else {}),
                "Point": str(number),
                **pressure,
                torque_name: f"{torque:.2f}" if unit == "bar" else f"{torque:.0f}",
            })  # fmt: skip
    return rows


def instrument_rows() -> list[dict[str, str]]:
    """The register of instruments."""
    return [
        {"Instrument": i.name, "Kind": i.kind, "Make": i.maker, "Serial number": i.serial,
         "Rig": i.rig}
        for i in INSTRUMENTS.values()
    ]  # fmt: skip
