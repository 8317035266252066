"""An invented flood plain: smooth layers and the torque that a helix set finds in them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

Field = Callable[[np.ndarray], np.ndarray]
WAVES = 300
CRUST_M = 1.3


def smooth_field(rng: np.random.Generator, lengths_m: tuple[float, ...]) -> Field:
    """A random field of mean 0 and variance 1 that fades over ``lengths_m`` in each direction.

    A sum of cosines with normally distributed wave numbers has, in the mean, the covariance
    exp(-d²/2) for a distance of d lengths.
    """
    waves = rng.normal(size=(WAVES, len(lengths_m))) / np.array(lengths_m)
    phases = rng.uniform(0, 2 * np.pi, WAVES)

    def at(points: np.ndarray) -> np.ndarray:
        return np.sqrt(2 / WAVES) * np.cos(points @ waves.T + phases).sum(axis=1)

    return at


@dataclass(frozen=True)
class Ground:
    """Surface, thickness of the soft silt, and how loose or dense each spot is."""

    rise: Field
    thickness: Field
    crust: Field
    texture: Field

    def surface_m(self, east_m: float, north_m: float) -> float:
        """Level of the ground: a plain that falls gently eastward."""
        plan = np.array([[east_m, north_m]])
        return float(4.6 - 0.002 * (east_m - 1000) + 0.15 * self.rise(plan)[0])

    def silt_m(self, plan: np.ndarray) -> np.ndarray:
        """Thickness of the soft silt under the crust."""
        return np.clip(4.5 + 1.1 * self.thickness(plan), 2.0, 7.0)

    def strength(self, points: np.ndarray, surface_m: float) -> np.ndarray:
        """Torque [kN·m] that a reference helix set finds at ``points`` (east, north, level)."""
        plan, below = points[:, :2], surface_m - points[:, 2]
        into_sand = below - CRUST_M - self.silt_m(plan)
        crust = (2.0 + 0.4 * self.crust(plan)) * np.exp(-(((below - 0.7) / 0.6) ** 2))
        silt = 1.3 + 0.14 * below
        share_of_sand = 1 / (1 + np.exp(-into_sand / 0.30))
        sand = share_of_sand * (6.9 + 1.0 * np.maximum(into_sand, 0))
        return (crust + silt + sand) * np.exp(0.13 * self.texture(points))


def flood_plain(rng: np.random.Generator) -> Ground:
    """The ground of the sample project."""
    return Ground(
        rise=smooth_field(rng, (60, 60)),
        thickness=smooth_field(rng, (28, 28)),
        crust=smooth_field(rng, (20, 20)),
        texture=smooth_field(rng, (14, 14, 0.9)),
    )


def along_axis(
    head: tuple[float, float, float], batter_deg: float, azimuth_deg: float, depth_m: np.ndarray
) -> np.ndarray:
    """Points (east, north, level) at depths along a battered axis from its point on the ground."""
    lean, bearing = np.radians(batter_deg), np.radians(azimuth_deg)
    step = [np.sin(lean) * np.sin(bearing), np.sin(lean) * np.cos(bearing), -np.cos(lean)]
    return np.array(head) + depth_m[:, None] * np.array(step)
