"""JSON Schemas of the files that nockwise reads, made of the library's own descriptions of what they hold."""

from __future__ import annotations

import json
import pathlib
import re
from enum import StrEnum
from functools import cache
from typing import Any, Literal, get_args

from nockwise import _core, _describe
from nockwise._demo import demo, demo_names
from nockwise._enumerations import Quantity
from nockwise._errors import InputError, input_error
from nockwise._sweep_file import OPTIONS, PLAN
from nockwise._sweep_plan import sweep_outputs

FileKind = Literal["setup", "case", "calibration", "measurements", "sweep"]
Schema = dict[str, Any]

FRACTIONS = "½¼¾⅛⅜⅝⅞⅓⅔"
TEXT: Schema = {"type": "string"}
YES: Schema = {"type": "boolean"}
NUMBER: Schema = {"type": "number"}
PARTS = {"limb": "LimbGuess", "cam": "CamGuess", "chronograph": "ChronographReading"}
OF_EVERY_BOW = ["draw_length", "axle_to_axle", "brace_height"]


def file_schema(kind: FileKind) -> str:
    """JSON Schema of one kind of file, for editors.

    Put `#:schema FILE` into the first line of a TOML file: an editor that knows such lines completes names, shows units
    and ranges, and marks what the reader would refuse. Names of adjustments differ from bow to bow, so a schema offers
    those of the demonstration's bows and takes others; ranges are in the descriptions.

    Parameters
    ----------
    kind
        "setup", "case", "calibration", "measurements" or "sweep".

    Returns
    -------
    str
        Draft 2020-12.

    Raises
    ------
    InputError
        Another kind.

    """
    if kind not in get_args(FileKind):
        raise input_error("kind", kind, f"must be one of {', '.join(get_args(FileKind))}")
    if kind == "setup":
        return _core.json_schema()
    made = {"case": _case, "calibration": _calibration, "measurements": _measurements, "sweep": _sweep}[kind]()
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": f"{kind.capitalize()} file of nockwise"}
    quantities = {f"{each}": _quantity(each) for each in Quantity if each != "dimensionless"}
    return json.dumps({**head, **made, "$defs": quantities}, ensure_ascii=False, indent=1) + "\n"


def write_schemas(folder: pathlib.Path) -> None:
    """Write all of them into a folder, which is made, as `case.json` and so on."""
    folder.mkdir(parents=True, exist_ok=True)
    for kind in get_args(FileKind):
        (folder / f"{kind}.json").write_text(file_schema(kind), encoding="utf-8")


def _quantity(quantity: Quantity) -> Schema:
    """A number with its unit: none without, no comma, and no unit that measures something else."""
    symbols = {symbol for each in Quantity for symbol in _core.units_of(each) if symbol}
    foreign = sorted((re.escape(symbol) for symbol in symbols if not _is_unit(symbol, quantity)), key=len)
    wrong = rf"(?!.*[0-9.\s{FRACTIONS}](?:{'|'.join(foreign)})\s*$)(?!.*,)"
    number = rf"\s*(?:[-+−]\s*)?[0-9.{FRACTIONS}]"
    unit = rf"(?:[^0-9.\s{FRACTIONS}]|\^[23])\s*$"
    units = ", ".join(_core.units_of(quantity))
    return {"type": "string", "pattern": f"^{wrong}{number}.*{unit}", "description": f"Units: {units}."}


@cache
def _is_unit(symbol: str, quantity: Quantity) -> bool:
    try:
        _core.parse_quantity(f"1 {symbol}", quantity)
    except InputError:
        return False
    return True


def _of(quantity: str, doc: str) -> Schema:
    return {"description": doc} | (NUMBER if quantity == "dimensionless" else {"$ref": f"#/$defs/{quantity}"})


def _table(properties: Schema, *required: str, others: bool | Schema = False) -> Schema:
    made = {"type": "object", "properties": properties, "additionalProperties": others}
    return made | ({"required": list(required)} if required else {})


def _list(items: Schema, most: float | None = None) -> Schema:
    return {"type": "array", "items": items} | ({} if most is None else {"maxItems": int(most)})


@cache
def _ranges() -> dict[str, _core.CaseRange]:
    return {each.path: each for each in _core.case_ranges()}


def _ranged(path: str) -> Schema:
    """A number of a case, with its range in words."""
    limit = _ranges()[path]
    ends = [_core.format_quantity(end, limit.quantity, limit.unit) for end in (limit.minimum, limit.maximum)]
    made = _of(limit.quantity, f"{limit.doc} From {ends[0]} to {ends[1]}.")
    within = {"minimum": limit.minimum, "maximum": limit.maximum}
    return made | (within if limit.quantity == "dimensionless" else {})


def _parameters() -> Schema:
    return {p.path: _of(p.quantity, f"{p.doc} It {p.allowed}.") for p in _core.parameters()}


def _choices() -> Schema:
    return {p.path: {"description": p.doc, "enum": list(p.choices)} for p in _core.choice_parameters()}


def _steps() -> Schema:
    """Trade steps by the name of an adjustment."""
    named = {each.name: each for bow in demo_names() for each in _core.adjustments(demo(bow))}
    shown = {name: {"description": f"{each.title}, in trade steps."} | NUMBER for name, each in named.items()}
    return _table(shown, others=NUMBER)


def _tear() -> Schema:
    part = {name: _ranged("tears.high") for name in ("high", "low", "right", "left")}
    changes = _table(_parameters())
    tear = {
        **part,
        "distance": _ranged("tears.distance"),
        "reading_error": _ranged("tears.reading_error"),
        "label": TEXT,
        "bare_shaft": YES,
        "archer": TEXT,
        "changes": changes,
        "changes_by": changes,
        "trial": _steps(),
        "after": {"type": "integer", "minimum": 0},
    }
    return _table(tear) | {"anyOf": [{"required": [name]} for name in part]}


def _checks() -> Schema:
    shown: Schema = dict.fromkeys(("stops_touch_together", "arrow_square_at_brace", "rest_as_in_setup"), YES)

    def reading(one: Schema) -> Schema:
        after = {"type": "integer", "minimum": 0}
        return _table({"value": one, "error": {**one, "description": "How far off it may be."}, "after": after},
                      "value", "error")  # fmt: skip

    own = {path.removeprefix("checks."): _ranged(path) for path in _ranges() if path.startswith("checks.")}
    return _table(shown | {name: reading(one) for name, one in (own | _parameters()).items()})


def _bow() -> Schema:
    told = {**_sheet(), **_parameters(), **_choices(), "arrow_mass": _of("mass", "The whole arrow's mass.")}
    return _table(told, *OF_EVERY_BOW)


def _seen() -> Schema:
    """What cases and calibrations share."""
    return {
        "format": {"const": 1},
        "setup": {"type": "string", "description": "The bow's setup file, beside this one."},
        "bow": _bow(),
        "tears": _list(_tear(), _ranges()["tears"].maximum),
        "work": _list(_steps() | {"minProperties": 1, "maxProperties": 1}, _ranges()["work"].maximum),
        "checks": _checks(),
    }


def _either(one: str, other: str) -> Schema:
    return {"oneOf": [{"required": [one]}, {"required": [other]}]}


def _case() -> Schema:
    tools: Schema = dict.fromkeys(("bow_press", "draw_board", "second_arrow", "spare_spine"), YES)
    workshop = _table(tools | {"distances": _list(_ranged("tears.distance"), _ranges()["workshop.distances"].maximum)})
    rest = {"priors": _steps(), "workshop": workshop, "shelf_clearance": _ranged("shelf_clearance")}
    return _table(_seen() | rest, "format") | _either("setup", "bow")


def _calibration() -> Schema:
    pair = {"type": "array", "prefixItems": [_ranged("draw_board.draw_length"), _ranged("draw_board.force")]}
    readings = _list(pair | {"minItems": 2, "maxItems": 2}, _ranges()["draw_board.readings"].maximum)
    board = _table({"error": _ranged("draw_board.error"), "readings": readings}, "error", "readings")
    changes = _table(_parameters())
    speed = {"speed": _ranged("speeds.speed"), "error": _ranged("speeds.error")}
    speeds = _list(_table({**speed, "changes": changes, "changes_by": changes}, "speed"), _ranges()["speeds"].maximum)
    return _table(_seen() | {"draw_board": board, "speeds": speeds}, "format") | _either("setup", "bow")


def _sheet() -> Schema:
    """Lines of a sheet: the fields of BowMeasurements and its parts, by the headers."""
    usual = _core.BowMeasurements()
    shown: Schema = {}
    for name in _describe.fields_of("BowMeasurements"):
        if name in PARTS:
            fields = _describe.fields_of(PARTS[name])
            needed = fields if name == "chronograph" else []
            shown[name] = _table({each: _measured(PARTS[name], each) for each in fields}, *needed)
        elif name == "draw_curve":
            pair = {"type": "array", "prefixItems": [_of("length", "Draw length."), _of("force", "Draw force.")]}
            shown[name] = _list(pair | {"minItems": 2, "maxItems": 2})
        elif isinstance(word := getattr(usual, name), StrEnum):
            shown[name] = {"enum": [str(each) for each in type(word)]}
        else:
            shown[name] = TEXT if isinstance(word, str) else _measured("BowMeasurements", name)
    return shown


def _measured(owner: str, field: str) -> Schema:
    unit, doc = _describe.comment(f"{owner}.{field}")
    return _of(next(each for each in Quantity if _core.si_unit(each) == unit), doc)


def _measurements() -> Schema:
    sheet = _table(_sheet(), *OF_EVERY_BOW, "cabling", "stop")
    return _table({"format": {"const": 1}, "measurements": sheet}, "format", "measurements")


def _sweep() -> Schema:
    numbers = {path: {"description": one["description"], "anyOf": [NUMBER, one]} for path, one in _parameters().items()}
    tracks = {p.path: {"description": p.doc, "type": "object"} for p in _core.track_parameters()}
    texts = {p.path: {"description": p.doc} | TEXT for p in _core.text_parameters()}
    changed = {**numbers, **_choices(), **tracks, **texts}
    kinds = {str: TEXT, list: _list({}), dict: {"type": "object"}}
    shown: Schema = {name: kinds[kind] for name, kind in PLAN.items()}
    shown["outputs"] = _list({"enum": sorted(sweep_outputs())})
    shown["changes"] = _table(changed)
    shown["grid"] = _table({path: _axis(one) for path, one in changed.items()})
    shown["samples"] = _list(_table(changed))
    shown["options"] = _table({name: {} for name in sorted(OPTIONS)})
    return _table(shown, "setup", "outputs") | _either("grid", "samples")


def _axis(one: Schema) -> Schema:
    ends = {"from": one, "to": one, "count": {"type": "integer", "minimum": 1}}
    return {"description": one["description"], "anyOf": [_list(one), _table(ends, *ends)]}
