"""What `repr` says: one line per object, with units."""

from __future__ import annotations

from typing import Any

from nockwise import _core, _describe


def describe(value: Any) -> str:
    """One line about a setup, a model or a result."""
    parts: tuple[str, ...]
    match value:
        case _core.Setup():
            changed = sum(a != b for a, b in zip(value.values().values(), _core.Setup().values().values(), strict=True))
            return f"<Setup {value['name']!r}: {changed} parameters differ from the defaults>"
        case _core.Model():
            return f"<Model of {value.setup['name']!r}>"
        case _core.DrawCycle():
            parts = ("peak_force", "let_off", "draw_length", "stored_energy")
        case _core.Launch():
            words = _numbers(value, ("exit_speed", "efficiency", "exit_time"))
            return f"<Launch: {value.ended_by}, {words}>"
        case _core.Group():
            parts = ("width_of_six_up", "width_of_six_right", "mean_radius")
            return f"<Group of {value.shots} shots: {value.pattern}; {_numbers(value, parts)}>"
        case _core.PaperTear():
            return f"<PaperTear: {_core.describe_tear(value)}>"
        case _core.Caution():
            return f"<Caution {value.kind}: {value.words}>"
        case _core.Event():
            return f"<Event {value.kind} at {_describe.in_words(value.time, 's')}>"
        case _core.Trace():
            return f"<Trace of {value.time.size} samples>"
        case _core.CircleTrack() | _core.LimbGuess() | _core.CamGuess() | _core.BowMeasurements():
            kind = type(value).__name__
            given = ", ".join(f"{name}={getattr(value, name)!r}" for name in _describe.fields_of(kind))
            return f"{kind}({given})"
        case _core.Explanation():
            return f"<Explanation: {value.verdict}, {value.summary}>"
        case _core.Case():
            return f"<Case of {value.setup['name']!r}: {len(value.tears)} tears, {len(value.checks)} checks>"
        case _core.BuiltBow():
            return f"<BuiltBow {value.setup['name']!r}>"
        case _core.CamFit():
            return f"<CamFit of {value.setup['name']!r}: {_numbers(value, ('peak_force', 'let_off', 'stored_energy'))}>"
        case _core.CamTable():
            return f"<CamTable of {len(value.rows)} bows>"
        case _core.SplineTrack():
            return f"<SplineTrack of {value.distance.size} knots>"
        case _core.GrooveTrack():
            return f"<GrooveTrack of {len(value.points)} points>"
        case _:
            parts = tuple(name for name, *_ in _describe.scalars(value))[:6]
    return f"<{type(value).__name__}: {_numbers(value, parts)}>"


def _numbers(value: Any, names: tuple[str, ...]) -> str:
    rows = {name: (number, unit) for name, number, unit, _ in _describe.scalars(value)}
    return ", ".join(f"{name} {_describe.in_words(*rows[name])}" for name in names if name in rows)
