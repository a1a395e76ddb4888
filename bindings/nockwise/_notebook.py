"""What notebooks show: small HTML tables, and drawings as SVG that need no plotting library."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Any

import numpy as np
import numpy.typing as npt

from nockwise import _core, _describe

FloatArray = npt.NDArray[np.float64]
INK = "#1b3a57"
ACCENT = "#b3541e"
# What a setup shows before it is unfolded.
GLANCE = ("cables.upper.end", "rest.kind", "string.nocking_point", "arrow.length", "arrow.spine", "arrow.point_mass")
SHOWN = {
    "DrawCycle": "peak_force holding_force let_off draw_length brace_height stored_energy late_stop_gap",
    "Launch": "exit_speed efficiency exit_time full_draw_force nock_travel_y nock_travel_z peak_acceleration",
    "PaperTear": "up right speed",
}


def html(value: Any) -> str:
    """HTML of a setup, a model or a result."""
    match value:
        case _core.Setup():
            return _setup(value)
        case _core.Model():
            return _titled(f"Model: {value.setup['name']}", _numbers(value.brace) + _numbers(value.arrow))
        case _core.DrawCycle():
            return _titled("Draw cycle", _curve(value) + _numbers(value) + _cautions(value.cautions))
        case _core.Launch():
            title = f"Launch: {str(value.ended_by).replace('_', ' ')}"
            return _titled(title, _nock(value) + _numbers(value) + _events(value) + _cautions(value.cautions))
        case _core.Explanation():
            return _explanation(value)
        case _core.PaperTear():
            return _titled(f"Paper tear: {_core.describe_tear(value)}", _hole(value) + _numbers(value))
        case _:
            return _titled(type(value).__name__, _numbers(value))


def _titled(title: str, body: str) -> str:
    return f'<div class="nockwise"><strong>{escape(title)}</strong>{body}</div>'


def _table(rows: Sequence[tuple[str, ...]]) -> str:
    cells = ("".join(f'<td style="text-align:left">{escape(cell)}</td>' for cell in row) for row in rows)
    return "<table>" + "".join(f"<tr>{row}</tr>" for row in cells) + "</table>"


def _numbers(value: Any) -> str:
    wanted = SHOWN.get(type(value).__name__, "").split()
    rows = [
        (name.replace("_", " "), _describe.in_words(number, unit), text)
        for name, number, unit, text in _describe.scalars(value)
        if not wanted or name in wanted
    ]
    return _table(rows)


def _setup(setup: _core.Setup) -> str:
    """The parameters that differ from the defaults, in the units of the workshop."""
    rows: list[tuple[str, ...]] = []
    default = _core.Setup()
    for p in _core.parameters():
        value = setup.get(p.path)
        if not p.alias_of and value != p.default_value:
            rows.append((p.path, _value(setup, p.path), p.doc))
    for c in _core.choice_parameters():
        if setup.get(c.path) != default.get(c.path):
            rows.append((c.path, setup.get(c.path), c.doc))
    for t in _core.track_parameters():
        if setup.get(t.path) != default.get(t.path):
            rows.append((t.path, repr(setup.get(t.path)), t.doc))
    head = f"<p>{escape(setup['provenance'])}</p>" if setup["provenance"] else ""
    head += _table([(path, _value(setup, path)) for path in GLANCE])
    count = f"{len(rows)} parameters differ from the defaults"
    return _titled(f"Setup: {setup['name']}", f"{head}<details><summary>{count}</summary>{_table(rows)}</details>")


def _value(setup: _core.Setup, path: str) -> str:
    """A number in the unit that the workshop gives this parameter in, or a word."""
    value = setup.get(path)
    if isinstance(value, str):
        return value.replace("_", " ")
    p = _core.parameter(path)
    text = _core.format_quantity(value, p.quantity, p.unit)
    return text if len(text) < 16 else _core.display(value, p.quantity, p.unit, 4)


def _explanation(explanation: _core.Explanation) -> str:
    """Summary, likeliest causes, and the plan."""
    causes = [(f"{100 * cause.probability:.0f} %", cause.words) for cause in explanation.causes[:6]]
    steps = [(str(i), step.instruction, step.reason) for i, step in enumerate(explanation.plan.steps, 1)]
    first = [(text,) for text in explanation.plan.first]
    checks = [(check.instruction, f"{check.effort:.0f} min") for check in explanation.next_checks[:3]]
    parts = [f"<p>{escape(explanation.summary)}</p>"]
    for title, rows in (("First", first), ("Plan", steps), ("Causes", causes), ("Next checks", checks)):
        if rows:
            parts.append(f"<details open><summary>{title}</summary>{_table(rows)}</details>")
    parts += [f"<p>{escape(text)}</p>" for text in (explanation.plan.sight, explanation.plan.refusal) if text]
    return _titled(f"Explanation: {explanation.verdict}", "".join(parts) + _cautions(explanation.cautions))


def _events(launch: _core.Launch) -> str:
    rows = [(_describe.in_words(event.time, "s"), event.kind.replace("_", " ")) for event in launch.events]
    return f"<details><summary>{len(rows)} events</summary>{_table(rows)}</details>"


def _cautions(cautions: tuple[_core.Caution, ...]) -> str:
    return "".join(f'<p style="color:{ACCENT}">Caution: {escape(str(caution))}</p>' for caution in cautions)


def _curve(cycle: _core.DrawCycle) -> str:
    """Draw force over nock position."""
    return _sketch(-cycle.points["nock_x"], cycle.points["draw_force"], "draw force over draw", floor=0.0)


def _nock(launch: _core.Launch) -> str:
    """Height of the nock over its way while it is on the string, if the trace was kept."""
    on = launch.trace.time <= launch.exit_time
    if np.count_nonzero(on) < 2:
        return ""
    return _sketch(launch.trace.nock_x[on], launch.trace.nock_y[on], "height of the nock over its way, target at right")


def _sketch(x: FloatArray, y: FloatArray, label: str, *, floor: float | None = None) -> str:
    low, width = float(x.min()), float(np.ptp(x)) or 1.0
    bottom = float(y.min()) if floor is None else floor
    height = float(y.max()) - bottom or 1.0
    line = " ".join(
        f"{8 + 224 * (a - low) / width:.1f},{92 - 80 * (b - bottom) / height:.1f}" for a, b in zip(x, y, strict=True)
    )
    return (
        '<svg viewBox="0 0 240 100" width="240" height="100" style="display:block" role="img" '
        f'aria-label="{escape(label)}"><title>{escape(label)}</title>'
        f'<path d="M8 92H232" stroke="{INK}" stroke-width="0.7"/>'
        f'<polyline points="{line}" fill="none" stroke="{INK}" stroke-width="1.8"/></svg>'
    )


def _hole(tear: _core.PaperTear) -> str:
    """The hole as the archer sees it: point hole, and the way of the shaft to the tail."""
    up, right = tear.section_up, tear.section_right
    size = max(0.02, 1.3 * float(np.abs(up).max(initial=0.0)), 1.3 * float(np.abs(right).max(initial=0.0)))
    points = " ".join(f"{60 + 55 * r / size:.1f},{60 - 55 * u / size:.1f}" for r, u in zip(right, up, strict=True))
    return (
        '<svg viewBox="0 0 120 120" width="120" height="120" style="display:block" role="img" '
        'aria-label="hole in the paper">'
        '<rect x="1" y="1" width="118" height="118" fill="#fbfaf6" stroke="#8a8578"/>'
        f'<polyline points="{points}" fill="none" stroke="{INK}" stroke-width="5" stroke-linecap="round"/>'
        f'<circle cx="60" cy="60" r="3.4" fill="{ACCENT}"/></svg>'
    )
