"""Write the string grooves of the invented cams in `examples/cams`, as a scanner would give them.

usage: cams.py [FOLDER]     (default: the folder `cams` beside this file)

All of them are invented, for the Alder Lane Archery Club's Larkspur: what its members might draw. A groove is given by
its support function p(φ) [mm], the distance of its tangents from the axle; its points are p n + p′ n′ (lib/README.md,
"Tracks"), scattered by 0.02 mm as a scanner's are, from a seed.
"""

from __future__ import annotations

import math
import pathlib
import random
import sys
from collections.abc import Callable

Support = Callable[[float], tuple[float, float]]  # φ [rad] to p and p′ [mm]


def eccentric_circle(radius: float, eccentricity: float, degrees: float = 0.0) -> Support:
    """A circle whose centre stands off the axle; without eccentricity, about the axle."""

    def support(normal: float) -> tuple[float, float]:
        at = normal - math.radians(degrees)
        return radius + eccentricity * math.cos(at), -eccentricity * math.sin(at)

    return support


def egg(radius: float, eccentricity: float, length: float, degrees: float = 0.0) -> Support:
    """An eccentric circle drawn out along a direction; convex while three times `length` is less than the radius."""

    def support(normal: float) -> tuple[float, float]:
        at = normal - math.radians(degrees)
        round_part, round_slope = eccentric_circle(radius, eccentricity)(normal)
        return round_part + length * math.cos(2.0 * at), round_slope - 2.0 * length * math.sin(2.0 * at)

    return support


CAMS: dict[str, tuple[Support, str]] = {
    "ash": (
        eccentric_circle(51.0, 16.0),
        "rounder than the Larkspur's own: 51 mm, 16 mm off the axle",
    ),
    "elm": (eccentric_circle(53.0, 19.0), "more eccentric: 53 mm, 19 mm off the axle"),
    "rowan": (
        egg(52.0, 18.0, 1.5, 40.0),
        "an egg: 52 mm, 18 mm off the axle, drawn out by 1.5 mm at 40°",
    ),
}
POINTS = 180
SCATTER = 0.02  # [mm]


def groove_csv(support: Support, title: str, seed: int) -> str:
    """Points of a groove, headed by what it is."""
    scatter = random.Random(seed)
    lines = [f"# String groove of an invented cam: {title}", "x [mm], y [mm]"]
    for i in range(POINTS):
        normal = 2.0 * math.pi * i / POINTS
        distance, slope = support(normal)
        x = distance * math.cos(normal) - slope * math.sin(normal) + scatter.gauss(0.0, SCATTER)
        y = distance * math.sin(normal) + slope * math.cos(normal) + scatter.gauss(0.0, SCATTER)
        lines.append(f"{x:.3f}, {y:.3f}")
    return "\n".join([*lines, ""])


def main(folder: pathlib.Path) -> None:
    """Write one file for each cam."""
    for seed, (name, (support, title)) in enumerate(CAMS.items()):
        (folder / f"{name}.csv").write_text(groove_csv(support, title, seed), encoding="utf-8")


if __name__ == "__main__":
    main(pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else pathlib.Path(__file__).resolve().parent / "cams")
