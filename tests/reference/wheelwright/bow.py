"""Read `wheelwright.json`: plain numbers in SI, shared by the two oracles (which share nothing else)."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
PARAMETER_FILE = HERE / "wheelwright.json"


@dataclass(frozen=True)
class Half:
    """One half of the bow in its own side frame (x to the target, y away from the archer's line). SI, rad."""

    pivot_x: float
    pivot_y: float
    limb_length: float
    limb_stiffness: float
    limb_free_angle: float
    limb_mass: float
    cam_mass: float
    cam_inertia: float
    cam_cm_x: float
    cam_cm_y: float
    string_radius: float
    string_offset: float
    string_offset_angle: float
    string_anchor_angle: float
    string_ea: float
    string_length: float
    cable_radius: float
    cable_offset: float
    cable_offset_angle: float
    cable_anchor_angle: float
    cable_ea: float
    cable_length: float
    stop_radius: float
    stop_angle: float
    stop_stiffness: float


@dataclass(frozen=True)
class Bow:
    """Both halves and what they share."""

    upper: Half
    lower: Half
    riser_mass: float
    riser_cm_x: float
    riser_cm_y: float
    riser_inertia: float
    hand_stiffness_x: float
    hand_stiffness_y: float
    hand_stiffness_pitch: float
    string_mass: float
    arrow_mass: float
    nock_hold: float
    wall_pull: float


def read_document(path: Path = PARAMETER_FILE) -> dict[str, Any]:
    """The whole parameter document, with units and explanations."""
    document: dict[str, Any] = json.loads(path.read_text())
    return document


def read_bow(variant: str, document: dict[str, Any] | None = None) -> Bow:
    """The bow of one variant: the common values, then the variant's changes."""
    document = read_document() if document is None else document
    half = Half(**{f.name: float(document["half"][f.name]["value"]) for f in fields(Half)})
    shared = {f.name: float(document["shared"][f.name]["value"]) for f in fields(Bow) if f.name not in ("upper", "lower")}
    bow = Bow(upper=half, lower=half, **shared)
    change = document["variants"][variant]
    upper = replace(half, **change.get("upper", {}))
    lower = replace(half, **change.get("lower", {}))
    return replace(bow, upper=upper, lower=lower, **change.get("shared", {}))


def parameters_hash(document: dict[str, Any] | None = None) -> str:
    """SHA-256 of the numbers (names, values, variants), not of the explanations."""
    document = read_document() if document is None else document
    numbers = {section: {name: entry["value"] for name, entry in document[section].items()} for section in ("half", "shared")}
    changes = {
        name: {part: change[part] for part in ("upper", "lower", "shared") if part in change}
        for name, change in document["variants"].items()
    }
    text = json.dumps({**numbers, "variants": changes}, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()
