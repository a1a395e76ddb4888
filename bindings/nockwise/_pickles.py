"""Pickles of older versions: their fields as they are meant today."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

Fields = dict[str, Any]


def as_meant_today(kind: str, fields: Fields) -> Fields:
    """The fields of a result that format 1 wrote, in which numbers stood for "none"; some were added later."""
    change = _CHANGES.get(kind)
    return change(dict(fields)) if change else fields


def _tear_observation(fields: Fields) -> Fields:
    if fields.get("distance", 0.0) < 0.0:  # the setup's
        fields["distance"] = None
    return fields


def _draw_cycle(fields: Fields) -> Fields:
    points = np.array(fields["points"])
    points["stop_gap"][points["stop_gap"] >= 1.0] = np.nan  # 1 m: no stop
    if points.size and np.isnan(points["stop_gap"][0]).any():
        fields["late_stop_gap"] = None
    fields["points"] = points
    return fields


def _draw_point(fields: Fields) -> Fields:
    pair = fields["stop_gap"]
    fields["stop_gap"] = type(pair)(*(None if gap >= 1.0 else gap for gap in pair))
    return fields


def _trace(fields: Fields) -> Fields:
    pair = fields["stop_gap"]
    fields["stop_gap"] = type(pair)(*(gap[:0] if gap.size and (gap >= 1.0).all() else gap for gap in pair))
    return fields


def _launch(fields: Fields) -> Fields:
    fields["full_draw_force"] = fields.pop("holding_force")
    if fields.get("cable_clearance", 0.0) > 0.5:  # about 1 m: no cable passes
        fields["cable_clearance"] = None
    return fields


def _rest_report(fields: Fields) -> Fields:
    for name in ("drop_start", "drop_end"):
        if fields.get(name) == 0.0:
            fields[name] = None
    if fields.get("largest_force") == 0.0:
        fields["last_contact"] = None
    return fields


def _adjustment(fields: Fields) -> Fields:
    fields["caution"] = fields.get("caution") or None
    return fields


_CHANGES: dict[str, Callable[[Fields], Fields]] = {
    "Adjustment": _adjustment,
    "DrawCycle": _draw_cycle,
    "DrawPoint": _draw_point,
    "Launch": _launch,
    "RestReport": _rest_report,
    "TearObservation": _tear_observation,
    "Trace": _trace,
}
