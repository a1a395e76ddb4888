"""Write what the bindings need from the public C++ headers: field lists and documentation for C++, types for Python.

usage: describe.py --headers ../include/nockwise (--cpp OUTPUT | --stub OUTPUT | --check-stub FILE)

`--cpp` is run by the build. `--stub` writes `nockwise/_core.pyi` from `_core.pyi.in`; it is committed, because type
checkers and editors read it from the source tree too, and `--check-stub` fails when it is out of date.
"""

from __future__ import annotations

import argparse
import json
import pathlib
import re
import sys

from read_headers import Field, Headers, Struct, read_headers

# Structs whose fields Python sees; one that holds another stands after it.
BOUND = [
    "Caution",
    "Width",
    "KnownValue",
    "Knowledge",
    "BowMeasure",
    "CircleTrack",
    "SplineTrack",
    "GrooveTrack",
    "TrackPoint",
    "GrooveFit",
    "DrawPoint",
    "DrawCycle",
    "ArrowProperties",
    "BraceState",
    "Event",
    "Energy",
    "ArrowState",
    "VaneStrike",
    "RestReport",
    "Trace",
    "Launch",
    "FlightPoint",
    "Crossing",
    "Impact",
    "PaperTear",
    "DrawForceReading",
    "LimbGuess",
    "CamGuess",
    "ChronographReading",
    "BowMeasurements",
    "MeasurementCheck",
    "BuildReport",
    "BuiltBow",
    "MovedParameter",
    "CamFit",
    "SyncChain",
    "CamRow",
    "CamTable",
    "ParameterStep",
    "Adjustment",
    "OutputDescription",
    "Shot",
    "TearMatrixRow",
    "TearMatrix",
    "AssumedValue",
    "SetupFile",
    "EnsembleMember",
    "BowEnsemble",
    "EnsembleRange",
    "EnsembleRow",
    "EnsembleTears",
    "EnsembleReading",
    "SettlingTest",
    "EnsembleMove",
    "EnsemblePlan",
    "ParameterChange",
    "TearObservation",
    "CheckObservation",
    "WorkStep",
    "PriorWidth",
    "Workshop",
    "Case",
    "CaseRange",
    "Deviation",
    "Cause",
    "CausePair",
    "NextCheck",
    "ForetoldHole",
    "NextOutcome",
    "NextStep",
    "PlanStep",
    "PlannedHole",
    "Plan",
    "Explanation",
    "CalibrationParameter",
    "DrawForceMeasurement",
    "SpeedMeasurement",
    "Measurements",
    "CalibratedParameter",
    "CalibrationResidual",
    "Calibration",
    "CalibrationCase",
    "IgnoranceStep",
    "HeldStep",
    "IgnoranceDirection",
    "Ignorance",
    "ShotReading",
    "WatchedShot",
    "Sensitivity",
    "DrawnReadings",
    "MeasuredReading",
    "PredictionShare",
    "NarrowingMeasurement",
    "PredictedOutput",
    "Prediction",
    "FlightConditions",
    "Air",
    "Sight",
    "Aim",
    "ArrowFault",
    "TargetPoint",
    "Arrival",
    "SightMark",
    "ScatterSource",
    "ScatterWidth",
    "Scatter",
    "SourceEffect",
    "Forgiveness",
    "Group",
    "TriedTune",
    "ForgivingTune",
    "SourceShare",
    "PairShare",
    "VarianceShares",
    "LineAnswer",
    "TriedSetting",
    "LeastSensitive",
    "ArrowChoice",
    "ArrowRow",
    "ArrowTable",
]
# Of these, the ones that a person makes: they have a constructor with keyword arguments.
MADE = {
    "Width",
    "KnownValue",
    "ShotReading",
    "WatchedShot",
    "MeasuredReading",
    "AssumedValue",
    "CircleTrack",
    "SplineTrack",
    "GrooveTrack",
    "DrawForceReading",
    "LimbGuess",
    "CamGuess",
    "ChronographReading",
    "BowMeasurements",
    "EnsembleReading",
    "ParameterChange",
    "TearObservation",
    "CheckObservation",
    "WorkStep",
    "PriorWidth",
    "Workshop",
    "Case",
    "CalibrationParameter",
    "DrawForceMeasurement",
    "SpeedMeasurement",
    "Measurements",
    "CalibrationCase",
    "FlightConditions",
    "Sight",
    "Aim",
    "ArrowFault",
    "ScatterWidth",
    "Scatter",
    "ArrowChoice",
}
ENUMERATIONS = [
    "CautionKind",
    "Verdict",
    "NextKind",
    "AdjustmentGroup",
    "TradeUnit",
    "Output",
    "Quantity",
    "DrawHold",
    "Integrator",
    "LaunchEnd",
    "EventKind",
    "Handedness",
    "StopKind",
    "CableEnd",
    "Cabling",
    "BraceRule",
    "StopPegs",
    "ReadingKind",
    "Agreement",
    "RestKind",
    "Side",
    "KnownBy",
    "Archer",
]
# Vectors of these are structured arrays.
ROWS = {"DrawPoint", "FlightPoint", "DrawForceReading", "TargetPoint"}

PYTHON_TYPES = {
    "double": "float",
    "int": "int",
    "bool": "bool",
    "std::size_t": "int",
    "std::uint64_t": "int",
    "std::string": "str",
    "std::vector<double>": "FloatArray",
    "std::vector<std::string>": "tuple[str, ...]",
    "std::vector<std::array<double, 2>>": "FloatArray",
    "std::optional<double>": "float | None",
    "Setup": "Setup",
    "OutputValues": "dict[str, float]",
}
# What `str` gives is not `repr`.
TEXTS = {"Caution"}


def plain(doc: str) -> str:
    """A C++ comment as a Python docstring: commands of the documentation tool become words."""
    words = {"throws": "Raises", "returns": "Returns:", "param": "Argument"}
    doc = re.sub(r"[@\\](throws|returns|param)\b", lambda match: "\n" + words[match[1]], doc)
    doc = doc.replace("\\'", "'").replace("\\", "")
    doc = re.sub(r"\n{3,}", "\n\n", doc).strip()
    return doc + " " if doc.endswith('"') else doc


def field_doc(field: Field, owner: Struct) -> str:
    """One sentence for a field: its comment, or its name in words, with the unit."""
    doc = " ".join(field.doc.split())
    if field.unit:  # "[m, N, rad]" on three fields: each keeps its own
        doc = re.sub(r"\[([^\[\]\d]+,[^\[\]\d]+)\]", f"[{field.unit}]", doc, count=1)
    bare = re.sub(r"^\[[^\]]*\]\s*,?\s*", "", doc)
    if not bare or len(bare.split()) < 2 or doc.startswith("["):
        doc = f"{field.name.replace('_', ' ')} {doc}".strip()
    if unit_of(field, owner) and "[" not in doc:
        doc = f"{doc} [{unit_of(field, owner)}]"
    doc = doc.replace("\\", "")
    if field.type == "std::vector<double>":
        length = "samples" if owner.name == "Trace" else "n"
        doc += "; shape (samples, nodes)" if field.name.startswith("arrow_") else f"; shape ({length},)"
    return doc + " " if doc.endswith('"') else doc


def unit_of(field: Field, owner: Struct) -> str:
    """The field's unit, or the one that the struct's comment gives for all its numbers."""
    if field.unit or "double" not in field.type:
        return field.unit
    shared = re.search(r"\[(\w+)\]", owner.doc)
    return shared[1] if shared else ""


def words(name: str) -> str:
    """A class name as a sentence, for the few that have no comment: "One event"."""
    return "One " + re.sub(r"(?<!^)(?=[A-Z])", " ", name).lower() + "."


def c_string(text: str) -> str:
    """A C++ string literal."""
    return json.dumps(text, ensure_ascii=False)


def write_cpp(headers: Headers) -> str:
    """Fields of the bound structs, enumerators, and every comment by name, as C++ tables."""
    used = [*(headers.structs[name] for name in BOUND), *(headers.enumerations[name] for name in ENUMERATIONS)]
    lines = ["// Written by tools/describe.py from the public headers.", "#pragma once", ""]
    lines += [f'#include "nockwise/{name}"' for name in sorted({s.header for s in used})]
    lines += ["", '#include "fields.hpp"', "", "namespace nockwise::python {", ""]
    for entry in (headers.enumerations[name] for name in ENUMERATIONS):
        pairs = ", ".join(f'Named<{entry.name}>{{"{name}", {entry.name}::{name}}}' for name in entry.enumerators)
        lines += [
            f"template <> struct Names<{entry.name}> {{",
            f'  static constexpr const char* type = "{entry.name}";',
        ]
        lines += [f"  static constexpr std::array list{{{pairs}}};", "};"]
    for name in BOUND:
        struct = headers.structs[name]
        parts = ", ".join(f'Field{{"{f.name}", &{name}::{f.name}}}' for f in struct.fields)
        lines += [f"template <> struct Fields<{name}> {{", f'  static constexpr const char* type = "{name}";']
        lines += [f"  static constexpr auto list = std::make_tuple({parts});", "};"]
    lines += ["", "inline constexpr Documented header_docs[] = {"]
    for struct in headers.structs.values():
        lines.append(f'    {{"{struct.name}", "", {c_string(plain(struct.doc) or words(struct.name))}}},')
        for f in struct.fields:
            unit = unit_of(f, struct)
            lines.append(f'    {{"{struct.name}.{f.name}", {c_string(unit)}, {c_string(field_doc(f, struct))}}},')
        lines += [f'    {{"{struct.name}.{n}", "", {c_string(plain(d))}}},' for n, d in struct.functions.items()]
    lines += [f'    {{"{name}", "", {c_string(plain(doc))}}},' for name, doc in headers.functions.items()]
    return "\n".join([*lines, "};", "", "}  // namespace nockwise::python", ""])


def python_type(field: Field, headers: Headers, *, given: bool) -> str:
    """Type of a field as Python sees it; `given` means as an argument."""
    name = field.type
    if inner := re.fullmatch(r"std::vector<(\w+)>", name):
        known = (
            f"npt.ArrayLike | Sequence[{inner[1]}]"
            if given
            else ("RowArray" if inner[1] in ROWS else f"tuple[{inner[1]}, ...]")
        )
    elif inner := re.fullmatch(r"std::array<(\w+), 2>", name):
        one = PYTHON_TYPES.get(inner[1], inner[1])
        known = f"tuple[{one}, {one}]"
    elif inner := re.fullmatch(r"std::optional<(\w+)>", name):
        known = f"{PYTHON_TYPES.get(inner[1], inner[1])} | None"
    else:
        known = name
    known = PYTHON_TYPES.get(name, known)
    if given:
        known = {"FloatArray": "npt.ArrayLike", "tuple[str, ...]": "Sequence[str]"}.get(known, known)
    if given and name in headers.enumerations:
        known = f"Any{name}"
    return f"UpperLower[{known}]" if field.pair else known


def default_text(field: Field, headers: Headers) -> str:
    """Default of an argument, as a stub shows it."""
    value = field.default.strip()
    if not value and field.type.startswith("std::optional<"):
        return "None"
    if re.fullmatch(r"-?[\d.e+-]+|\"[^\"]*\"", value):
        return str(float(value)) if field.type == "double" else value
    if field.type in headers.enumerations and "::" in value:
        return f'"{value.split("::")[-1]}"'
    return "..."


def write_class(struct: Struct, headers: Headers) -> list[str]:
    """One bound struct as a class of the stub."""
    lines = ["", "@final", f"class {struct.name}:"]
    doc = plain(struct.doc) or words(struct.name)
    lines += [f'    """{doc}"""' if "\n" not in doc else f'    """{doc}\n    """', ""]
    if struct.name in MADE:
        lines += ["    def __init__(", "        self,", "        *,"]
        for f in struct.fields:
            lines.append(f"        {f.name}: {python_type(f, headers, given=True)} = {default_text(f, headers)},")
        lines += ["    ) -> None: ...", f"    def replace(self, **changes: object) -> {struct.name}: ..."]
    for f in struct.fields:
        lines += ["    @property", f"    def {f.name}(self) -> {python_type(f, headers, given=False)}:"]
        lines.append(f'        """{field_doc(f, struct)}"""')
    for extra in sorted(set(struct.functions) & {"total", "met"}):
        lines += ["    @property", f"    def {extra}(self) -> {'float' if extra == 'total' else 'bool'}: ..."]
    if struct.name in TEXTS:
        lines.append("    def __str__(self) -> str: ...")
    lines += [
        "    def __eq__(self, other: object, /) -> bool: ...",
        "    __hash__: ClassVar[None]  # type: ignore[assignment]",
    ]
    lines += [
        f"    def __copy__(self) -> {struct.name}: ...",
        f"    def __deepcopy__(self, memo: object) -> {struct.name}: ...",
    ]
    lines += [
        "    def __getstate__(self) -> dict[str, Any]: ...",
        "    def __setstate__(self, state: dict[str, Any]) -> None: ...",
    ]
    return [*lines, "    def _repr_html_(self) -> str: ...", ""]


def write_stub(headers: Headers, template: str) -> str:
    """Types of the extension module: the hand-written part with comments filled in, then the bound structs."""

    def comment(match: re.Match[str]) -> str:
        owner, _, name = match[2].rpartition(".")
        if owner:
            doc = headers.structs[owner].functions[name]
        elif match[2] in headers.structs:
            doc = headers.structs[match[2]].doc
        else:
            doc = headers.functions[match[2]]
        return match[1] + f'"""{plain(doc)}"""'.replace("\n", "\n" + match[1])

    text = re.sub(r'( *)"""\{([\w.]+)\}"""', comment, template)
    classes = [line for name in BOUND for line in write_class(headers.structs[name], headers)]
    text = re.sub(r"[ \t]+$", "", "\n".join([text.rstrip(), *classes]), flags=re.MULTILINE).rstrip() + "\n"
    text = text.replace("{words}", words_as_types(text, headers))
    return text.replace("{public names}", json.dumps(public_names(text), indent=4))


def words_as_types(stub: str, headers: Headers) -> str:
    """What may be given for an enumeration: its members, or their names; one alias for each that the stub uses."""
    lines = []
    for name in ENUMERATIONS:
        if re.search(rf"\bAny{name}\b", stub):
            names = ", ".join(f'"{each}"' for each in headers.enumerations[name].enumerators)
            lines.append(f"Any{name}: TypeAlias = {name} | Literal[{names}]")
    return "\n".join(lines)


def public_names(stub: str) -> list[str]:
    """Names that the module shows: what stands at the margin of the stub, but for private names and types' aliases."""
    defined = re.findall(r"^(?:def |class )?([A-Za-z]\w*)(?:[(:])", stub, re.MULTILINE)
    aliases = re.findall(r"^(\w+): TypeAlias\b", stub, re.MULTILINE)
    return sorted({*defined} - {*aliases})


def main() -> int:
    """Command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--headers", type=pathlib.Path, required=True)
    parser.add_argument("--cpp", type=pathlib.Path)
    parser.add_argument("--stub", type=pathlib.Path)
    parser.add_argument("--check-stub", type=pathlib.Path)
    options = parser.parse_args()
    headers = read_headers(options.headers)
    template = (pathlib.Path(__file__).parent / "_core.pyi.in").read_text(encoding="utf-8") if not options.cpp else ""
    if options.cpp:
        options.cpp.write_text(write_cpp(headers), encoding="utf-8")
    if options.stub:
        options.stub.write_text(write_stub(headers, template), encoding="utf-8")
    if options.check_stub and options.check_stub.read_text(encoding="utf-8") != write_stub(headers, template):
        print(f"{options.check_stub} is out of date; run this with --stub", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
