"""Read a setup file into plain numbers in SI, from the documentation of its parameters alone."""

from __future__ import annotations

import copy
import math
import re
import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

HERE = Path(__file__).resolve().parent
SETUPS = HERE  # the demo bows with lengths of cables that know no way aside

INCH, POUND_FORCE, GRAIN = 0.0254, 4.4482216152605, 6.479891e-5
STANDARD_PULL = 100 * POUND_FORCE  # N; lengths of lines are stated under this tension
SPINE_LOAD, SPINE_SPAN = 1.94 * POUND_FORCE, 28 * INCH  # ASTM F2031

UNITS = {
    "": 1.0,
    "m": 1.0, "mm": 1e-3, "cm": 1e-2, "in": INCH, "ft": 12 * INCH, "yd": 36 * INCH,
    "kg": 1.0, "g": 1e-3, "gr": GRAIN, "gr/in": GRAIN / INCH, "kg/m": 1.0, "g/m": 1e-3,
    "N": 1.0, "kN": 1e3, "lbf": POUND_FORCE,
    "rad": 1.0, "deg": math.pi / 180.0,
    "N/m": 1.0, "N/mm": 1e3, "kN/m": 1e3,
    "N·m/rad": 1.0, "mrad/(N·m)": 1e-3, "rad/(N·m)": 1.0, "N·m": 1.0, "N·mm": 1e-3,
    "N·s/m": 1.0, "N·m·s/rad": 1.0,
    "kg·m²": 1.0, "kg·cm²": 1e-4,
    "m/s²": 1.0, "kg/m³": 1.0,
    "%": 1e-2, "turn": 1.0, "twist": 1.0, "N·m²": 1.0, "mN·m·s/rad": 1e-3,
}  # fmt: skip


def number(text: Any) -> Any:
    """One quantity in SI; text that is not a number with a known unit (a kind, a name) comes back as it is."""
    if not isinstance(text, str):
        return text
    match = re.fullmatch(r"([-+]?[0-9.]+(?:e[-+]?[0-9]+)?)\s*(.*)", text)
    if match is None:
        return text
    value, unit = float(match[1]), match[2]
    if unit == "spine":  # thousandths of an inch of sag: as a bending stiffness [N m^2]
        return SPINE_LOAD * SPINE_SPAN**3 / (48 * value * 1e-3 * INCH)
    if unit not in UNITS:
        raise ValueError(f"unknown unit {unit!r}")
    return value * UNITS[unit]


def numbers(tree: Any) -> Any:
    """A whole table in SI."""
    if isinstance(tree, dict):
        unit = UNITS[tree["unit"]] if "unit" in tree else None
        out = {key: numbers(value) for key, value in tree.items()}
        if unit is not None and "distance" in tree:
            out["distance"] = [unit * float(v) for v in tree["distance"]]
        return out
    if isinstance(tree, list):
        return [numbers(v) for v in tree]
    return number(tree)


def merged(base: dict[str, Any], over: dict[str, Any]) -> dict[str, Any]:
    """`over` laid upon `base`, table by table."""
    out = dict(base)
    for key, value in over.items():
        out[key] = merged(out[key], value) if isinstance(value, dict) and isinstance(out.get(key), dict) else value
    return out


def read_setup(name: str, changes: dict[str, float] | None = None) -> dict[str, Any]:
    """A setup of examples/setups in SI, `changes` (path -> value in SI) applied; "both" is spread over the halves.

    A path with "both" sets both halves; "+" at the end of a path adds to the value instead of setting it.
    """
    setup: dict[str, Any] = numbers(tomllib.loads((SETUPS / f"{name}.toml").read_text()))
    for part in ("limbs", "cams", "cables"):
        table = setup[part]
        both = table.get("both", {})
        setup[part] = {half: copy.deepcopy(merged(both, table.get(half, {}))) for half in ("upper", "lower")}
    for path, value in (changes or {}).items():
        for half in ("upper", "lower") if ".both." in path else ("",):
            keys = path.replace("both", half).split(".") if half else path.split(".")
            table = setup
            for key in keys[:-1]:
                table = table[key]
            last = keys[-1].rstrip("+")
            if last not in table:
                raise KeyError(path)
            table[last] = table[last] + value if keys[-1].endswith("+") else value
    return setup


def twisted(length: float, diameter: float, lay: float, added: float) -> float:
    """Length [m] of a laid line of `lay` twists after `added` more: the strands keep their length."""
    around = math.pi * diameter
    return math.sqrt(length**2 + (around * lay) ** 2 - (around * (lay + added)) ** 2)


@dataclass(frozen=True)
class Line:
    """A string half or a cable: unstretched length, stiffness and damping."""

    length: float
    axial_rigidity: float
    damping: float

    @property
    def stiffness(self) -> float:
        """Tension per stretch [N/m]."""
        return self.axial_rigidity / self.length


@dataclass(frozen=True)
class YokeTriangle:
    """Two taut legs and the axle: the junction stands `height` from the axle and `aside` of its middle [m]."""

    height: float
    aside: float
    longer: float  # what the cable gains in length over a yoke as made [m]
    half_width: float


def string_half(setup: dict[str, Any], sign: int) -> Line:
    """The half of the string of the upper (+1) or lower (-1) cam."""
    s = setup["string"]
    whole = twisted(s["length"], s["diameter"], s["lay_twists"], s["twists"]) / (1 + STANDARD_PULL / s["axial_rigidity"])
    return Line(0.5 * whole - sign * s["nocking_point"], s["axial_rigidity"], s["damping"])


def yoke_triangle(cable: dict[str, Any]) -> YokeTriangle | None:
    """The yoke of a cable, or nothing."""
    if cable["end"] != "yoke":
        return None
    y, b = cable["yoke"], cable["yoke"]["half_width"]
    left, right = (twisted(y["leg_length"], y["diameter"], y["lay_twists"], y[f"{side}_twists"]) for side in ("left", "right"))
    aside = (left**2 - right**2) / (4 * b)
    height = math.sqrt(0.5 * (left**2 + right**2) - b**2 - aside**2)
    return YokeTriangle(height, aside, height - math.sqrt(y["leg_length"] ** 2 - b**2), b)


def cable_line(cable: dict[str, Any]) -> Line:
    """A cable, its yoke included."""
    loaded = twisted(cable["length"], cable["diameter"], cable["lay_twists"], cable["twists"])
    triangle = yoke_triangle(cable)
    unloaded = loaded / (1 + STANDARD_PULL / cable["axial_rigidity"])
    return Line(unloaded + (triangle.longer if triangle else 0.0), cable["axial_rigidity"], cable["damping"])


@dataclass
class Shaft:
    """The arrow: free-free beam on equally spaced nodes, and its lowest modes (rigid ones first)."""

    setup: dict[str, Any]
    nodes: np.ndarray = field(init=False)  # distance from the groove of the nock [m]
    masses: np.ndarray = field(init=False)
    mass: float = field(init=False)
    balance: float = field(init=False)  # of the mass centre from the nock [m]
    inertia: float = field(init=False)  # transverse, about the mass centre [kg m^2]
    modes: np.ndarray = field(init=False)  # nodes x modes, mass-normalised
    omega: np.ndarray = field(init=False)
    tau: float = field(init=False)  # Kelvin-Voigt time [s]
    shortening: np.ndarray = field(init=False)  # H: the nock advances by c H c / (2 M)

    def __post_init__(self) -> None:
        a = self.setup["arrow"]
        n = int(a["nodes"])
        self.nodes = np.linspace(0.0, a["length"], n)
        h = self.nodes[1]
        weights = np.ones(n)
        weights[[0, -1]], weights[[1, -2]], weights[[2, -3]] = 3 / 8, 7 / 6, 23 / 24
        m = a["linear_density"] * h * weights
        m[0] += a["nock_mass"]
        m[-1] += a["point_mass"] + a["insert_mass"]
        f = a["fletching"]
        if f["count"]:
            i = int(f["distance"] / h)
            share = f["distance"] / h - i
            m[i] += f["count"] * f["mass_each"] * (1 - share)
            m[i + 1] += f["count"] * f["mass_each"] * share
        self.masses, self.mass = m, float(m.sum())
        self.balance = float(m @ self.nodes) / self.mass
        self.inertia = float(m @ (self.nodes - self.balance) ** 2)
        self.modes, self.omega = self._free_modes(spline_stiffness(n, h, a["spine"]), int(a["modes"]))
        self.tau = 2 * a["damping_ratio"] / self.omega[2] if len(self.omega) > 2 else 0.0
        ahead = np.cumsum(m[::-1])[::-1][1:]  # mass ahead of each segment
        slope = np.diff(self.modes, axis=0)
        self.shortening = (slope.T * ahead) @ slope / h

    def _free_modes(self, stiffness: np.ndarray, elastic: int) -> tuple[np.ndarray, np.ndarray]:
        root = np.sqrt(self.masses)
        values, vectors = np.linalg.eigh(stiffness / np.outer(root, root))
        rigid = np.column_stack(
            [np.full_like(root, 1 / math.sqrt(self.mass)), (self.nodes - self.balance) / math.sqrt(self.inertia)]
        )
        bending = vectors[:, 2 : 2 + elastic] / root[:, None]
        omega = np.concatenate([[0.0, 0.0], np.sqrt(values[2 : 2 + elastic])])
        return np.hstack([rigid, bending]), omega


def spline_stiffness(n: int, h: float, bending_stiffness: float) -> np.ndarray:
    """Stiffness of a beam loaded at its nodes only: the natural cubic spline through them, energy y K y / 2."""
    second = np.zeros((n - 2, n))
    for i in range(n - 2):
        second[i, i : i + 3] = 1.0, -2.0, 1.0
    tri = 4 * np.eye(n - 2) + np.eye(n - 2, k=1) + np.eye(n - 2, k=-1)
    # moments M = 6 EI / h^2 tri^-1 second y; the energy is the integral of M^2 / (2 EI), M piecewise linear
    return second.T @ np.linalg.solve(tri, second) * 6 * bending_stiffness / h**3
