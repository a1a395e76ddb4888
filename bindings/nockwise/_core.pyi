# Types of the extension module. Written by tools/describe.py from tools/_core.pyi.in and the public headers: edit those.
from collections.abc import Callable, Mapping, Sequence
from os import PathLike
from typing import Any, ClassVar, Literal, TypeAlias, final, overload

import numpy as np
import numpy.typing as npt

from nockwise._enumerations import (
    AdjustmentGroup,
    Agreement,
    Archer,
    BraceRule,
    Cabling,
    CautionKind,
    DrawHold,
    EventKind,
    Integrator,
    KnownBy,
    LaunchEnd,
    NextKind,
    Output,
    Quantity,
    ReadingKind,
    Side,
    StopPegs,
    TradeUnit,
    Verdict,
)
from nockwise._pairs import UpperLower

# Names that begin like private ones are the package's own; `__all__` is written by tools/describe.py from the others.
__all__ = [
    "Adjustment",
    "Aim",
    "Air",
    "Arrival",
    "ArrowChoice",
    "ArrowFault",
    "ArrowProperties",
    "ArrowRow",
    "ArrowState",
    "ArrowTable",
    "AssumedValue",
    "BowEnsemble",
    "BowMeasure",
    "BowMeasurements",
    "BraceState",
    "BuildReport",
    "BuiltBow",
    "CalibratedParameter",
    "Calibration",
    "CalibrationCase",
    "CalibrationParameter",
    "CalibrationResidual",
    "CamFit",
    "CamGuess",
    "CamRow",
    "CamTable",
    "Case",
    "CaseRange",
    "Cause",
    "CausePair",
    "Caution",
    "CheckObservation",
    "ChoiceParameter",
    "ChronographReading",
    "CircleTrack",
    "CompiledTrack",
    "Crossing",
    "Deviation",
    "DrawCycle",
    "DrawForceMeasurement",
    "DrawForceReading",
    "DrawPoint",
    "DrawnReadings",
    "Energy",
    "EnsembleMember",
    "EnsembleMove",
    "EnsemblePlan",
    "EnsembleRange",
    "EnsembleReading",
    "EnsembleRow",
    "EnsembleTears",
    "EquationsOfMotion",
    "Event",
    "Explanation",
    "FlightConditions",
    "FlightNumber",
    "FlightPoint",
    "ForetoldHole",
    "Forgiveness",
    "ForgivingTune",
    "FreeFlight",
    "GrooveFit",
    "GrooveTrack",
    "Group",
    "HeldStep",
    "Ignorance",
    "IgnoranceDirection",
    "IgnoranceStep",
    "Impact",
    "Knowledge",
    "KnownValue",
    "Launch",
    "LeastSensitive",
    "LimbGuess",
    "LineAnswer",
    "MeasuredReading",
    "MeasurementCheck",
    "Measurements",
    "Model",
    "MovedParameter",
    "NarrowingMeasurement",
    "NextCheck",
    "NextOutcome",
    "NextStep",
    "OutputDescription",
    "PairShare",
    "PaperTear",
    "Parameter",
    "ParameterChange",
    "ParameterStep",
    "Plan",
    "PlanStep",
    "PlannedHole",
    "PredictedOutput",
    "Prediction",
    "PredictionShare",
    "PriorWidth",
    "RestReport",
    "Scatter",
    "ScatterSource",
    "ScatterWidth",
    "Sensitivity",
    "SettlingTest",
    "Setup",
    "SetupFile",
    "Shot",
    "ShotReading",
    "Sight",
    "SightMark",
    "SourceEffect",
    "SourceShare",
    "SpeedMeasurement",
    "SplineTrack",
    "SyncChain",
    "TargetPoint",
    "TearMatrix",
    "TearMatrixRow",
    "TearObservation",
    "TextParameter",
    "Trace",
    "TrackParameter",
    "TrackPoint",
    "TriedSetting",
    "TriedTune",
    "VaneStrike",
    "VarianceShares",
    "WatchedShot",
    "Width",
    "WorkStep",
    "Workshop",
    "adjusted",
    "adjustments",
    "air_at",
    "answers_of_lines",
    "arrow_choices",
    "bare_shaft",
    "bending_stiffness_from_spine",
    "bow_measures",
    "build_bow",
    "build_ensemble",
    "calibrate",
    "calibrate_within",
    "calibration_markdown",
    "calibration_parameters",
    "case_ranges",
    "check_file_kind",
    "check_quantity",
    "check_report_file",
    "check_writable",
    "choice_parameters",
    "chronograph_speed",
    "compare_arrows",
    "compare_bows",
    "compare_cams",
    "compare_layouts",
    "describe_amount",
    "describe_cause",
    "describe_steps",
    "describe_tear",
    "display",
    "draw_cycle",
    "draw_length_allowance",
    "drawn_places",
    "ensemble_plan",
    "ensemble_tears",
    "expected_launches",
    "explain",
    "explanation_html",
    "explanation_json",
    "explanation_markdown",
    "farthest_groove_point",
    "fit_groove",
    "fit_to_cam",
    "flight_numbers",
    "flight_to",
    "fly_to",
    "forgiveness",
    "forgiving",
    "format_measurements",
    "format_quantity",
    "format_setup",
    "from_si",
    "general_cautions",
    "group",
    "handedness_doubts",
    "html_text",
    "ignorance_after",
    "ignorance_of",
    "json_schema",
    "launch",
    "least_sensitive",
    "markdown_text",
    "mirrored",
    "moved",
    "name_of",
    "narrowed",
    "next_step",
    "next_step_markdown",
    "ordinary_setup",
    "output_descriptions",
    "paper_tear",
    "parameter",
    "parameters",
    "parse_calibration_case",
    "parse_case",
    "parse_groove",
    "parse_measurements",
    "parse_quantity",
    "parse_readings",
    "parse_setup",
    "parse_setup_file",
    "predict",
    "prediction_markdown",
    "read_calibration_case",
    "read_case",
    "read_groove",
    "read_measurements",
    "read_readings",
    "read_setup",
    "read_setup_file",
    "read_text_file",
    "reading_covariance",
    "reduced",
    "refined",
    "ring_score",
    "scatter_of",
    "scatter_sources",
    "sensitivity_of",
    "settling_tests",
    "setup_file_format",
    "shoot",
    "shoot_drawn",
    "si_unit",
    "sight_in",
    "sight_marks",
    "signed_nock_travel",
    "spine_from_bending_stiffness",
    "spline_from_groove",
    "standard_deviation",
    "swapped",
    "target_impact",
    "tear_matrix",
    "terminal_text",
    "text_parameters",
    "to_si",
    "track_parameters",
    "units_of",
    "usual_reading_error",
    "validate",
    "variance_shares",
    "widest_groove_gap",
    "width_of",
    "workshop_unit",
    "write_report",
    "write_setup"
]

FloatArray: TypeAlias = npt.NDArray[np.float64]
RowArray: TypeAlias = npt.NDArray[np.void]
Track: TypeAlias = CircleTrack | SplineTrack | GrooveTrack
Value: TypeAlias = float | str | Track | None
AnyOutput: TypeAlias = Output | Literal["tear_up", "tear_right", "stop_gap", "draw_length", "peak_force", "let_off", "exit_speed", "shaft_clearance", "fletching_clearance", "lean_upper", "lean_lower", "cable_clearance", "impact_up", "impact_right", "arrow_square", "chronograph_speed", "axle_to_axle", "brace_height", "rest_up_before_wall", "vane_marks", "nock_travel"]
AnyQuantity: TypeAlias = Quantity | Literal["dimensionless", "percent", "length", "mass", "force", "angle", "time", "frequency", "speed", "angular_speed", "acceleration", "stiffness", "torsion_stiffness", "compliance", "damping", "torsion_damping", "inertia", "density", "linear_density", "bending_stiffness", "torque", "energy", "spine", "turns", "twists"]
AnyDrawHold: TypeAlias = DrawHold | Literal["archer", "draw_board"]
AnyIntegrator: TypeAlias = Integrator | Literal["nystrom", "runge_kutta_4", "dormand_prince"]
AnyCabling: TypeAlias = Cabling | Literal["yoke", "hybrid", "crossed"]
AnyBraceRule: TypeAlias = BraceRule | Literal["turn_cams", "move_pockets"]
AnyStopPegs: TypeAlias = StopPegs | Literal["limb", "cable", "both"]
AnyReadingKind: TypeAlias = ReadingKind | Literal["draw_force", "speed", "tear_up", "tear_right", "tear_up_change", "tear_right_change", "brace_height_change", "limb_travel", "cam_turn", "full_axle_to_axle"]
AnyKnownBy: TypeAlias = KnownBy | Literal["exact", "measured", "specified", "typical", "guessed"]
AnyArcher: TypeAlias = Archer | Literal["beginner", "club", "expert", "machine"]

__version__: str
setup_file_format: int
draw_length_allowance: float
widest_groove_gap: float
farthest_groove_point: float

def units_of(quantity: AnyQuantity) -> tuple[str, ...]:
    """Every unit in which the quantity may be written; the first is the SI unit. A dimensionless number has one unit with
    an empty symbol."""

def name_of(quantity: AnyQuantity) -> str: ...
def si_unit(quantity: AnyQuantity) -> str:
    """The unit in which nockwise keeps the quantity; "fraction" for a percentage, "turn" and "twist" for those two."""

def workshop_unit(quantity: AnyQuantity) -> str:
    """The unit that a bow workshop would use, and the default of format_quantity."""

def to_si(number: npt.ArrayLike, quantity: AnyQuantity, unit: str) -> FloatArray:
    """Converts a number in `unit` to SI.

    Raises InputError if the quantity is not measured in `unit`"""

def from_si(si: npt.ArrayLike, quantity: AnyQuantity, unit: str) -> FloatArray:
    """Converts an SI value to a number in `unit`.

    Raises InputError if the quantity is not measured in `unit`"""

def parse_quantity(text: str, quantity: AnyQuantity) -> float:
    """Reads a number with its unit, whatever the locale.

    Units are case-sensitive. `*`, `.` and `⋅` are taken for `·`, `^2` for `²`, `^3` for `³`, `u` for `µ`. Inches, turns
    and twists may be fractions: "13/16 in", "6 3/4 in", "-1/2 twist". The blank before the unit may be left out.

    Returns: the value in SI; finite

    Raises InputError, without a path, if the text is not a finite number followed by a unit of the quantity; its
    `allowed()` names
            the units. A bare number is refused unless the quantity is dimensionless."""

def format_quantity(si: float, quantity: AnyQuantity, unit: str | None = None) -> str:
    """Writes a value so that parse_quantity gives the same bits back: the shortest such text in `unit`, or, for the few
    values that no number in `unit` converts to, in the SI unit.

    A value that is not finite is written as "nan", "inf" or "-inf", for logs; parse_quantity refuses these.

    Raises InputError if the quantity is not measured in `unit`"""

def display(si: float, quantity: AnyQuantity, unit: str, decimals: int) -> str:
    """Writes a value for a person to read, rounded to `decimals` places (0 to 17) in `unit`, and never as "-0.00".

    Raises InputError if the quantity is not measured in `unit`"""

def spine_from_bending_stiffness(bending_stiffness: float) -> float:
    """Static spine [m] of a shaft of this bending stiffness [N·m²]: the sag under 1.94 lb in the middle of a span of 28
    in. The conversion is its own inverse, EI · δ = F L³ / 48."""

def bending_stiffness_from_spine(spine: float) -> float:
    """Bending stiffness [N·m²] of a shaft of this static spine [m]."""

@final
class Parameter:
    """A field of Setup that is a number."""

    @property
    def path(self) -> str: ...
    @property
    def doc(self) -> str: ...
    @property
    def quantity(self) -> Quantity: ...
    @property
    def unit(self) -> str: ...
    @property
    def minimum(self) -> float: ...
    @property
    def maximum(self) -> float: ...
    @property
    def whole(self) -> bool: ...
    @property
    def lateral(self) -> bool: ...
    @property
    def vertical(self) -> bool: ...
    @property
    def alias_of(self) -> str: ...
    @property
    def required(self) -> bool: ...
    @property
    def known(self) -> Knowledge:
        """How well it is known, as a rule."""
    @property
    def default_value(self) -> float: ...
    @property
    def allowed(self) -> str: ...
    def check(self, value: float) -> None:
        """Raises InputError, with this path, if the value is not finite, out of range, or not whole where it must be"""

@final
class ChoiceParameter:
    """A field that takes one of a few words."""

    @property
    def path(self) -> str: ...
    @property
    def doc(self) -> str: ...
    @property
    def choices(self) -> tuple[str, ...]: ...
    @property
    def lateral(self) -> bool: ...
    @property
    def vertical(self) -> bool: ...
    @property
    def required(self) -> bool: ...
    @property
    def default_value(self) -> str: ...
    @property
    def allowed(self) -> str: ...

@final
class TextParameter:
    """A field of free text."""

    @property
    def path(self) -> str: ...
    @property
    def doc(self) -> str: ...

@final
class TrackParameter:
    """A track of a cam."""

    @property
    def path(self) -> str: ...
    @property
    def doc(self) -> str: ...
    @property
    def optional(self) -> bool: ...
    @property
    def required(self) -> bool: ...

def parameters() -> tuple[Parameter, ...]:
    """Every number, parts in the order of Setup; aliases stand behind the field that they set."""

def choice_parameters() -> tuple[ChoiceParameter, ...]: ...
def text_parameters() -> tuple[TextParameter, ...]: ...
def track_parameters() -> tuple[TrackParameter, ...]: ...
def parameter(path: str) -> Parameter:
    """The number at `path`.

    Raises InputError for any other path, naming the nearest one"""

def bow_measures() -> tuple[BowMeasure, ...]:
    """What is measured on every bow: brace height, axle-to-axle length, angle of the cams at brace, draw length, peak
    weight, stop gap. Whatever else
    is not known, the bow is taken to have these as they are measured."""

def width_of(setup: Setup, path: str) -> Width:
    """The width of a number of this setup: what `setup.known` says, or the usual one."""

def standard_deviation(setup: Setup, path: str) -> float:
    """The same as a standard deviation of the number itself [SI]; 0 for a relative width of nothing."""

@final
class Setup:
    """Everything about one bow, arrow, rest and hold."""

    def __init__(self, changes: Mapping[str, Value] | None = None) -> None: ...
    def set(self, path: str, value: Value) -> None:
        """Set one parameter by its path, with a value in SI ("cables.upper.twists", 0.5). Ranges are checked here, what must
        hold between parameters in validate().

        Raises InputError for an unknown path (naming the nearest valid one) or a value out of range; the setup is then
        unchanged."""

    def get(self, path: str) -> Any:
        """Value of one numeric parameter [SI].

        Raises InputError for an unknown path, or one that is not a number."""

    def __setitem__(self, path: str, value: Value) -> None: ...
    def __getitem__(self, path: str) -> Any: ...
    def values(self) -> dict[str, Any]:
        """Every parameter by its path: numbers in SI, choices and text as str, tracks as objects."""

    def replace(self, changes: Mapping[str, Value]) -> Setup:
        """A copy with some parameters changed: `setup.replace({"cables.upper.twists": 0.5})`."""

    @property
    def known(self) -> tuple[KnownValue, ...]:
        """How well single numbers are known; no launch depends on it. Assign a sequence to change it."""
    @known.setter
    def known(self, known: Sequence[KnownValue]) -> None: ...
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Setup: ...
    def __deepcopy__(self, memo: object) -> Setup: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...
    def _ipython_key_completions_(self) -> list[str]: ...

def mirrored(setup: Setup) -> Setup:
    """The same bow for the other hand: every lateral value changes sign, left and right yoke legs change places."""

def handedness_doubts(setup: Setup) -> list[str]:
    """What in this setup speaks for the other hand than `handedness`: the sight window, the cable guard. The cables run
    and the window stands on the side of the hand that draws the string. Empty where all agree. A setup whose
    `handedness` alone was changed is a bow for the other hand still: mirrored() makes it one."""

def swapped(setup: Setup) -> Setup:
    """Upper and lower halves exchanged, heights negated: the bow upside down. Gravity keeps its direction, and a rest,
    which can only support from below, is not turned into one that holds from above; nor is the nock turned."""

@overload
def validate(setup: Setup) -> None:
    """Checks every range, and what must hold between parameters; raises InputError with the path that is wrong."""

@overload
def validate(conditions: FlightConditions) -> None: ...
@overload
def validate(scatter: Scatter) -> None: ...

def read_setup(file: str | PathLike[str]) -> Setup:
    """Reads and validates a setup file.

    Raises InputError with file, line and column, the value, and what is allowed: for anything that is not TOML, an
    unknown name
            (with the nearest valid one), a number without its unit, a value out of range, a required parameter
            that is missing, or whatever validate() refuses"""

def parse_setup(toml: str, source_name: str = "setup") -> Setup:
    """The same for the text of a file; `source_name` stands for the file in messages.

    Raises InputError as read_setup"""

def read_setup_file(file: str | PathLike[str]) -> SetupFile:
    """The same, with a list of what was assumed.

    Raises InputError as read_setup"""

def parse_setup_file(toml: str, source_name: str = "setup") -> SetupFile:
    """Raises InputError as read_setup"""

def check_file_kind(toml: str | bytes, expected: str, source_name: str) -> None:
    """Refuses a file of another kind, and says which reads it. Kinds are "setup", "case", "calibration", "measurements"
    and "sweep".

    Raises InputError if the names at the top of the file are clearly those of another kind"""

def read_text_file(file: str | PathLike[str]) -> bytes:
    """The text of a regular file of at most `largest_file` bytes.

    Raises InputError for anything else (a folder, a pipe, a device), at once and without opening it"""

def check_writable(file: str | PathLike[str]) -> None:
    """Finds out before a long computation whether its result can be written. An existing file keeps its content, and none
    is left behind.

    Raises Error with the file and the reason"""

def terminal_text(text: str | bytes) -> str:
    """The text on one line of a terminal."""

def markdown_text(text: str | bytes) -> str:
    """The text within a paragraph, a heading, a list or a table's cell of Markdown (CommonMark, GFM)."""

def html_text(text: str | bytes) -> str:
    """The text within an element or a quoted attribute of HTML."""

def format_setup(setup: Setup) -> str:
    """Writes every parameter, explained by a comment, so that parse_setup gives an equal setup, to the bit. What is the
    same in both halves is written once, under `both`. Each quantity is in the unit that bow workshops use for it, or
    another in which it has clearly fewer digits.

    Raises InputError if validate() refuses the setup, because such a file could not be read again"""

def write_setup(setup: Setup, file: str | PathLike[str]) -> None:
    """Writes format_setup() to a file, replacing it.

    Raises InputError as format_setup; Error if the file cannot be written"""

def json_schema() -> str:
    """JSON Schema (draft 2020-12) of a setup file, for editors: names, types, choices, documentation and ranges in words."""

@final
class CompiledTrack:
    """A track ready to be evaluated: the exact circle, or spline coefficients on a uniform grid. Immutable."""

    def __init__(self, track: Track, *, path: str = "track") -> None: ...
    @overload
    def evaluate(self, angle: float) -> TrackPoint:
        """Value at the normal angle `angle` [rad].

        Raises SolverError outside a spline's range (see `check_range`)."""

    @overload
    def evaluate(self, angle: npt.ArrayLike) -> RowArray: ...
    def check_range(self, angle: float) -> None:
        """Raises SolverError naming the track, the angle and the range in degrees when `angle` [rad] is outside the range."""

    @property
    def first_angle(self) -> float: ...
    @property
    def last_angle(self) -> float: ...
    @property
    def smallest_radius(self) -> float: ...
    @property
    def is_circle(self) -> bool: ...

def spline_from_groove(
    groove: GrooveTrack, *, knots: int = 256, first_angle: float = ..., last_angle: float = ...
) -> SplineTrack:
    """Smooth periodic support function of measured groove points, sampled on equally spaced normal angles, `knots` to a
    full turn, one of them at 0.

    Points more than 0.3 mm inside the convex hull are moved out to the line that spans their hollow. The tangent
    envelope is then fitted through the points, a Fourier series smoothed as much as their own scatter asks for
    (generalised cross-validation), with the radius of curvature kept above 0.5 % of the mean radius: scatter does not
    destroy convexity, and a sharp corner becomes a small round. Meant for a scatter up to about 0.05 mm. Exact points
    of an ellipse of 50 mm × 30 mm come back within 0.05 mm from 24 of them, within 1 µm from 48; scattered by 0.05 mm
    in x and y, within 0.03 mm (root mean square) from 120.

    The spline covers `first_angle` to `last_angle` [rad], to the next knots outside. As called by default it covers all
    that a setup can ask for, two turns either side of zero, and gives the launches of the GrooveTrack itself, to the
    bit.

    Argument knots at least 16, to a full turn

    Raises InputError with fewer than eight points, more than 20,000, fewer than 16 knots, an axle outside the hull,
            angles that are not finite, in the wrong order, nearer than three knots or beyond eight turns; its path is
            relative to the track ("points", "knots", "last_angle")."""

def fit_groove(groove: GrooveTrack) -> GrooveFit:
    """Fit a groove and measure the fit.

    Raises InputError as spline_from_groove()"""

def parse_groove(csv: str, source_name: str = "groove", *, unit: str = "") -> GrooveTrack:
    """Points from CSV, in the cam's frame with the axle at (0, 0).

        # string groove, upper cam
        x [mm], y [mm]
        31.20, 0.15
        30.98, 2.11

    Cells are separated by commas, semicolons or tabs, by the same in the whole file; lines that are empty or begin with
    # are passed over. Columns are found by their headings x and y, others are passed over; the units of x and y stand
    in brackets. Without headings there are two columns, x and y, in the unit `unit`; headings without a unit have that
    too.

    Argument unit of lengths without one, "mm"; may be empty where the headings have units

    Raises InputError with line and column for a cell that is no number, a missing cell or one too many, an unknown
    unit or none"""

def read_groove(file: str | PathLike[str], *, unit: str = "") -> GrooveTrack:
    """The points of a CSV file, of which a groove can be told.

    Raises InputError as parse_groove() and fit_groove(); with the line, for a point that stands more than
    `farthest_groove_point` out from the groove through all others, and for a gap of more than `widest_groove_gap`"""

@final
class Model:
    """An immutable compiled bow, arrow and rest. Copies share the data; safe to use from many threads."""

    def __init__(self, setup: Setup) -> None:
        """Check, compile and brace a setup.

        Raises InputError for a value or a combination that cannot be used

        Raises SolverError when the bow has no brace, or a line is slack in it"""

    @property
    def setup(self) -> Setup:
        """A copy of the setup."""
    @property
    def arrow(self) -> ArrowProperties:
        """Mass, balance and stiffness of the whole arrow."""
    @property
    def brace(self) -> BraceState:
        """Brace: nobody holds the string."""
    def __copy__(self) -> Model: ...
    def __deepcopy__(self, memo: object) -> Model: ...
    def __reduce__(self) -> tuple[Any, ...]: ...
    def _repr_html_(self) -> str: ...

def draw_cycle(model: Model, *, positions: int = 120, hold: AnyDrawHold = "archer") -> DrawCycle:
    """Draw the bow with the riser clamped.

    Raises InputError when `positions` is below 8

    Raises SolverError when the draw cannot be continued (where and why), or no stop touches"""

def launch(
    model: Model,
    *,
    integrator: AnyIntegrator = "nystrom",
    step: float = 2.25e-4,
    tolerance: float = 1e-7,
    time_limit: float = 0.15,
    trace: bool = False,
    trace_interval: float = 1e-4,
) -> Launch:
    """Shoot the arrow.

    Raises InputError for an option out of range, or an arrow that does not reach the rest at full draw

    Raises SolverError when full draw cannot be reached or the integration fails (where and why)"""

def _seconds_per_launch(model: Model, count: int) -> float:
    """Median time of a launch inside C++ [s], for benchmarks."""

@final
class FreeFlight:
    """Flight of an arrow from the moment its tail has passed the rest.

    Drag C_D on the shaft's cross-section; normal forces linear in the local incidence, of the body at the point and of
    the vanes at their middle (the effective area of n vanes is n/2 of their planform), which also damp; bending modes
    ring on as damped oscillators, without aerodynamic forces. Spin is left out."""

    def __init__(self, model: Model, launch: Launch, farthest_x: float) -> None:
        """Argument farthest_x the flight is computed until the tail has passed this plane [m]

        Raises InputError when the launch did not end with arrow_clear, or the plane lies behind the arrow's point"""

    @overload
    def at(self, time: float) -> FlightPoint:
        """State at a time of the flight [s, since release].

        Raises InputError outside the computed flight"""

    @overload
    def at(self, time: npt.ArrayLike) -> RowArray: ...
    def crossing(self, from_nock: float, plane_x: float) -> Crossing:
        """Where the section `from_nock` [m] ahead of the nock groove passes the plane at `plane_x` [m].

        Raises InputError outside the computed flight"""

    @property
    def points(self) -> RowArray:
        """Samples of the computed flight, first to last."""
    def __reduce__(self) -> tuple[Any, ...]: ...

def target_impact(model: Model, launch: Launch, *, distance: float | None = None) -> Impact:
    """Where the point strikes a target at `distance` [m] from the grip pivot (default: the setup's).

    Raises InputError as FreeFlight"""

def chronograph_speed(model: Model, launch: Launch, *, x: float = 0.9144) -> float:
    """Speed of the mass centre as its point passes x [m], as a chronograph sees it (the trade: 36 in ahead of the grip)
    [m/s]."""

def paper_tear(model: Model, launch: Launch, *, distance: float | None = None, sections: int = 41) -> PaperTear:
    """Shoot through paper at `distance` [m] ahead of the grip pivot (default: the setup's).
    `sections` of the shaft are followed, two at least: the point and the tail, which alone make `up` and `right`.

    Raises InputError when the launch did not end with arrow_clear, the paper is nearer than the arrow's point, or
    there are fewer than two sections

    Raises SolverError when the tear is longer than 0.3 m, which no bow tears"""

def describe_tear(tear: PaperTear, *, reading_error: float = 0.003175) -> str:
    """"clean", "tail-high 0.50 in", "tail-low 0.25 in, tail-left 0.13 in": a tear in words. Parts below `reading_error`
    [m] are left out."""

@final
class FlightNumber:
    """A number of FlightConditions."""

    @property
    def name(self) -> str: ...
    @property
    def unit(self) -> str: ...
    @property
    def minimum(self) -> float: ...
    @property
    def maximum(self) -> float: ...
    @property
    def doc(self) -> str: ...
    @property
    def source(self) -> str: ...

def flight_numbers() -> tuple[FlightNumber, ...]:
    """Every number, in the order of FlightConditions; what is unset reads as what stands for it."""

def air_at(temperature: float, altitude: float) -> Air:
    """Dry air by the ideal gas law, pressure of the standard atmosphere at that altitude, viscosity by Sutherland's
    formula (ISO 2533:1975).
    Argument temperature [K]
    Argument altitude [m]

    Raises InputError outside 200 to 340 K or −1,000 to 11,000 m"""

def fly_to(
    model: Model,
    launch: Launch,
    distance: float,
    *,
    sight: Sight | None = None,
    conditions: FlightConditions | None = None,
    aim: Aim | None = None,
    fault: ArrowFault | None = None,
    step: float = 0.012,
) -> Arrival:
    """Where the arrow arrives.

    Argument distance  of the face from the origin, along the line of sight [m], up to 200

    Raises InputError for a number out of range, a launch that did not end with arrow_clear, or a target that the point
    has passed as the arrow leaves the bow

    Raises SolverError when the arrow does not get there, or the wind turns it further than the forces hold"""

def flight_to(
    model: Model,
    launch: Launch,
    distance: float,
    *,
    sight: Sight | None = None,
    conditions: FlightConditions | None = None,
    aim: Aim | None = None,
    fault: ArrowFault | None = None,
    step: float = 0.012,
) -> RowArray:
    """The way there, one row per step; the last one is at the face.

    Raises as fly_to()"""

def sight_in(
    model: Model,
    launch: Launch,
    distance: float,
    *,
    conditions: FlightConditions | None = None,
    aim: Aim | None = None,
    fault: ArrowFault | None = None,
) -> Sight:
    """The setting that puts this launch in the middle at `distance` [m].

    Raises SolverError when no setting up to 0.6 rad does; otherwise as fly_to()"""

def sight_marks(
    model: Model, launch: Launch, distances: npt.ArrayLike, *, conditions: FlightConditions | None = None
) -> tuple[SightMark, ...]:
    """Marks for these distances [m].

    Raises as sight_in()"""

def scatter_sources() -> tuple[ScatterSource, ...]:
    """Every source, those of the shot first."""

def scatter_of(archer: AnyArcher) -> Scatter:
    """The usual scatter of such an archer with his arrows."""

def ring_score(distance: float, face: float, arrow_diameter: float) -> int:
    """Score of an impact so far from the centre on a face of ten rings, the arrow's radius counted in."""

def forgiveness(
    setup: Setup,
    scatter: Scatter | AnyArcher = "club",
    *,
    distance: float | None = None,
    seed: int = 1,
    conditions: FlightConditions | None = None,
    threads: int | None = None,
) -> Forgiveness:
    """What each source of the scatter does alone.

    Raises InputError for an option, a width or a condition out of range; SolverError when the setup cannot be shot or
    sighted in; Interrupted when stopped"""

def group(
    setup: Setup,
    scatter: Scatter | AnyArcher = "club",
    *,
    distance: float | None = None,
    shots: int = 240,
    arrows: int = 6,
    seed: int = 1,
    conditions: FlightConditions | None = None,
    face: float | None = None,
    threads: int | None = None,
) -> Group:
    """Shoot a group.

    Raises as forgiveness(); InputError too when the scatter puts a parameter out of its range, with in how many of how
    many shots; SolverError when more than half of the shots cannot be shot"""

def forgiving(
    setup: Setup,
    scatter: Scatter | AnyArcher,
    free: Sequence[str],
    *,
    within: float = 0.0064,
    most_steps: float = 4.0,
    distance: float | None = None,
    shots: int = 600,
    arrows: int = 6,
    seed: int = 1,
    conditions: FlightConditions | None = None,
    face: float | None = None,
    threads: int | None = None,
) -> ForgivingTune:
    """The setting of these adjustments that makes the group smallest while the hole stays within a limit.

    Whole trade steps, by a pattern search from the setup and from the plain clean tune; a tune with a caution that the
    setup does not have (a vane that strikes, a light arrow, …) is not taken.

    Argument free  names of adjustments, at most 8

    Raises as group(); InputError for an adjustment that the bow does not have, or none

    Raises SolverError when no tune that was looked at tears within the limit"""

def variance_shares(
    setup: Setup,
    scatter: Scatter | AnyArcher = "club",
    *,
    distance: float | None = None,
    shots: int = 3000,
    seed: int = 1,
    conditions: FlightConditions | None = None,
    threads: int | None = None,
) -> VarianceShares:
    """Share out the variance of the impacts.

    Raises as group()"""

def answers_of_lines(
    setup: Setup, lines: Sequence[str] = (), *, twists: float = 0.25, threads: int | None = None
) -> tuple[LineAnswer, ...]:
    """How far a tear moves where each of these lines is off by so many twists, by launches either way.

    Raises InputError for an adjustment that the bow does not have; SolverError when the bow cannot be shot so"""

def least_sensitive(
    setup: Setup,
    free: Mapping[str, float],
    *,
    lines: Sequence[str] = (),
    twists: float = 0.25,
    within: float = 0.0064,
    most_steps: float = 4.0,
    threads: int | None = None,
) -> LeastSensitive:
    """The setting of these numbers whose tear answers least to lines that are a quarter twist off, while the hole stays
    within a limit. A setting with a caution that the setup does not have is not taken.

    Argument free  at most 8

    Raises InputError for a number or an option out of range; SolverError when the setup cannot be shot, or when no
    setting that was looked at tears within the limit; Interrupted when stopped"""

def arrow_choices(
    spines: Sequence[float] = (), *, point_masses: Sequence[float] = (), lengths: Sequence[float] = ()
) -> tuple[ArrowChoice, ...]:
    """The usual choices: every combination of these. An empty list leaves that number as it is."""

def compare_arrows(
    setup: Setup,
    scatter: Scatter | AnyArcher,
    choices: Sequence[ArrowChoice],
    *,
    near_distance: float = 18.288,
    far_distance: float = 36.576,
    bows: int = 40,
    shots: int = 240,
    arrows: int = 6,
    seed: int = 1,
    conditions: FlightConditions | None = None,
    threads: int | None = None,
) -> ArrowTable:
    """Shoot every choice from this bow, as it stands: no choice is tuned.

    Raises InputError for no choice or more than 200, an option out of range, or a number that no arrow can have;
    SolverError when none can be shot; Interrupted when stopped"""

@final
class EquationsOfMotion:
    """The equations of motion for research: state y = [q, dq/dt], with the model's hand preload and full draw."""

    def __init__(self, model: Model) -> None:
        """Raises SolverError when full draw cannot be reached"""

    @property
    def size(self) -> int:
        """Number of states (coordinates and their rates)."""
    @property
    def names(self) -> tuple[str, ...]:
        """One name per state: "riser.x", "limbs.upper[0]", "cams.upper", "lean.upper", "arrow.x", "arrow.y.mode[3]",
        "string.z", "rest.arm", …; then "d/dt riser.x" and so on for the rates, in the same order."""
    @property
    def initial_state(self) -> FloatArray:
        """State at full draw, just released [SI], shape (size,); a new array each time."""
    def derivative(self, state: npt.ArrayLike, *, attached: bool = True) -> FloatArray:
        """dy/dt [SI per s], shape (size,). `attached` says whether the nock holds the string."""

    def jacobian(self, state: npt.ArrayLike, *, attached: bool = True) -> FloatArray:
        """∂(dy/dt)/∂y into `jacobian`, row-major, size() × size(): row i, column j holds ∂(dyᵢ/dt)/∂yⱼ, in SI, each in the
        units that its two states have. Exact to rounding (forward differentiation of the same equations), no differences.
        A contact, a slack line or a friction changes its law where it begins: at a state that stands just there, the
        derivative is that of the law by which derivative() goes. `attached` says whether the nock holds the string.

        Raises InputError when `state` has the wrong size or holds a number that is not finite

        Raises SolverError when a line has no tangent to its track in this state, or a derivative is not finite"""

    def separation(self, state: npt.ArrayLike) -> float:
        """Axial push of the string on the arrow plus the nock's hold [N]: they part where it falls through zero."""

    def energy(self, state: npt.ArrayLike, *, attached: bool = True) -> Energy:
        """Energies in this state [J]."""

    def __reduce__(self) -> tuple[Any, ...]: ...

def build_bow(measurements: BowMeasurements, *, base: Setup | None = None) -> BuiltBow:
    """Build a bow: a march along the draw of the symmetric half bow gives the take-up track, then passes with the whole
    elastic bow on a draw board correct it.

    Everything that is not measured (riser, grip, lines' rigidity, masses, arrow, rest) is taken from `base`; limb
    pivots and springs, tracks, anchors, draw stops and the lengths of string and cables are replaced. θ is zero at
    brace. Tolerances, met by ordinary bows: brace height, axle-to-axle and draw length 0.1 mm, peak force 0.1 %,
    let-off 0.2 points, curve 1 % of the peak, chronograph 0.1 %.

    Raises InputError for a value out of range, with its path ("measurements.let_off"), and for demands that no such
    cam can meet: a track that would have to be hollow, a lever that would have to be negative, limbs that cannot hold
    the energy

    Raises SolverError when the march or the elastic bow has no equilibrium (where and why)"""

@overload
def fit_to_cam(
    bow: Setup,
    cam: Mapping[str, Track],
    lower: Mapping[str, Track] | None = None,
    *,
    axle_to_axle: float | None = None,
    brace_height: float | None = None,
    draw_length: float | None = None,
    peak_force: float | None = None,
    nock_height: float | None = None,
    cam_angle: float = 0.0,
    brace_by: AnyBraceRule = "turn_cams",
) -> CamFit:
    """Put cams on a bow, and solve lines, anchors and stops so that brace, axle-to-axle length and draw length come out.

    Lengths come out within 0.01 mm, a brace height that cams are turned for within 0.1 mm, both stops touch together
    within 0.02 mm, a peak within 0.02 %; tracks, limbs' geometry, masses, rest and arrow stay.

    Raises InputError for an aim out of range, for a track (`cams.upper.string_track`), and, with how far it can be
    had, for a brace height that no turn of the cams gives (`brace_height`) and a stop that cannot reach what it shall
    touch
    (`cams.upper.stop.radius`)

    Raises SolverError where the bow with these cams has no brace, or cannot be drawn so far, because a groove ends or
    the let-off goes on until the string would be slack: where and why, and how far it can be drawn"""

@overload
def fit_to_cam(bow: BowMeasurements, cam: Mapping[str, Track]) -> CamFit: ...
def compare_cams(
    setup: Setup,
    cams: Mapping[str, Mapping[str, Track]],
    *,
    axle_to_axle: float | None = None,
    brace_height: float | None = None,
    draw_length: float | None = None,
    peak_force: float | None = None,
    nock_height: float | None = None,
    cam_angle: float = 0.0,
    brace_by: AnyBraceRule = "turn_cams",
    distance: float | None = None,
    threads: int | None = None,
) -> CamTable:
    """Try cams on a bow, side by side. What is not asked for in `aims` is as the bow has it before.

    Raises InputError for no cam, or an option out of range; SolverError where the bow as given has no brace or draw
    from which to take what is not asked for; Interrupted when stopped"""

def compare_bows(setups: Sequence[Setup], *, distance: float | None = None, threads: int | None = None) -> CamTable:
    """Bows that are there already, side by side by the same measures; names are the setups'.

    Raises InputError for no bow, or an option out of range; Interrupted when stopped"""

def compare_layouts(sheet: BowMeasurements, *, distance: float | None = None, threads: int | None = None) -> CamTable:
    """The bow of a sheet laid with yokes, as a hybrid and crossed, in this order. The sheet's own layout is built from the
    sheet, the others from its draw curve, with its limbs, string grooves and masses; a layout that cannot draw so has
    the reason in its row.

    Raises InputError, SolverError as build_bow() for the sheet itself, InputError for an option out of range;
    Interrupted when stopped"""

def signed_nock_travel(cycle: DrawCycle) -> float:
    """Static nock travel with its sign: how far the nock stands above the straight line between its places at brace and at
    the touch of the first stop, on the mean over the stroke; positive: above, as the bow stands [m]. The mean changes
    smoothly with the bow, as what is farthest of a path that crosses its line does not; its size is at most
    `DrawCycle::static_nock_travel`."""

def ordinary_setup(measurements: BowMeasurements) -> Setup:
    """What a sheet does not speak of, as it usually is with such a bow: riser, hand, guard, moving masses, a
    limb-driven drop-away rest at the height of the nock, and an arrow that reaches past it, of about 6 gr per lbf and a
    spine to suit. Limbs, cams and the lengths of string and cables are not those of the sheet: build_bow() puts them
    in.

    Raises InputError as validate()"""

def build_ensemble(
    measurements: BowMeasurements,
    *,
    base: Setup | None = None,
    members: int = 16,
    seed: int = 1,
    threads: int | None = None,
) -> BowEnsemble:
    """Build the bows of a sheet around what `base` holds. Guesses that the measurements fix stay fixed.

    Raises InputError as build_bow(), and for options out of range

    Raises SolverError as build_bow(); where fewer than two draws can be built

    Raises Interrupted when stopped"""

def ensemble_tears(
    ensemble: BowEnsemble,
    adjustments: Sequence[str] = (),
    *,
    distance: float | None = None,
    threads: int | None = None,
) -> EnsembleTears:
    """Shoot every member, and one step either way of every adjustment (or of those named).

    Raises InputError for an unknown adjustment or an option out of range; SolverError when no member can be shot;
    Interrupted when stopped"""

@overload
def narrowed(
    ensemble: BowEnsemble,
    readings: Sequence[EnsembleReading],
    *,
    distance: float | None = None,
    threads: int | None = None,
) -> BowEnsemble:
    """The same members with the weights that the readings leave them: each is multiplied by the likelihood of what was
    read (normal errors). Where fewer than three members would count, all errors are widened until three do; a larger
    ensemble then tells more.

    Raises InputError for a reading that cannot be meant, or that no member comes near"""

@overload
def narrowed(
    ignorance: Ignorance,
    shots: Sequence[WatchedShot],
    measured: Sequence[MeasuredReading],
    *,
    threads: int | None = None,
) -> Ignorance:
    """What measurements leave of the ignorance."""

def ignorance_of(
    setup: Setup, *, level: float = 1.0, without: Sequence[str] = (), threads: int | None = None
) -> Ignorance:
    """What is not known of this bow before anything but the bow measures was measured.

    Raises InputError for an option out of range, or a name in `without` that is none; Interrupted when stopped"""

def ignorance_after(
    calibration: Calibration,
    measurements: Measurements,
    *,
    level: float = 1.0,
    without: Sequence[str] = (),
    threads: int | None = None,
) -> Ignorance:
    """What is not known of a calibrated bow any more: the directions of ignorance_of() around it, narrowed together by all
    that was measured. It replaces the widths of the setup's numbers, those that were fitted and all others.

    Raises InputError for measurements that cannot be meant; SolverError when the calibrated bow cannot be shot;
    Interrupted when stopped"""

def moved(ignorance: Ignorance, setup: Setup, place: npt.ArrayLike) -> Setup:
    """A setup moved to a place: z of each direction. `setup` may be another than the ignorance's, such as the same bow
    with another arrow or after an adjustment: steps are taken from what it has.

    Raises InputError where the place has another number of directions"""

def drawn_places(ignorance: Ignorance, count: int, *, seed: int = 1, first: int = 0) -> FloatArray:
    """Places of drawn bows. The draw of a direction depends on seed, index and the direction's name alone, so that bows of
    one index are alike in everything that two ignorances have in common.

    Argument first  index of the first draw"""

def sensitivity_of(ignorance: Ignorance, shots: Sequence[WatchedShot], *, threads: int | None = None) -> Sensitivity:
    """Full launches half a standard deviation either way of the mean, in every direction.

    Raises SolverError where a shot cannot be shot at the mean; InputError for a draw length or distance that cannot
    be; Interrupted when stopped"""

def shoot_drawn(
    ignorance: Ignorance, shots: Sequence[WatchedShot], places: npt.ArrayLike, *, threads: int | None = None
) -> tuple[DrawnReadings, ...]:
    """The same shots with the bows at these places, in their order.

    Raises as sensitivity_of()"""

def reading_covariance(ignorance: Ignorance, sensitivity: Sensitivity) -> FloatArray:
    """Covariance of the readings by what is not known, J Σ Jᵀ: readings × readings, row by row [SI]."""

def reduced(ignorance: Ignorance, sensitivity: Sensitivity, share: float) -> Ignorance:
    """Without directions that matter for none of the readings: those that together make up no more than `share` of each
    reading's variance, smallest first. Posterior covariance of those left is kept."""

@overload
def predict(
    setup: Setup,
    outputs: Sequence[str] = (),
    *,
    bows: int = 400,
    seed: int = 1,
    level: float = 1.0,
    without: Sequence[str] = (),
    distance: float | None = None,
    threads: int | None = None,
) -> Prediction:
    """Value, 90 % interval and shares of outputs, by full launches of drawn bows and by straight lines.

    Argument outputs  empty: both parts of the tear, and the exit speed

    Raises InputError for an option out of range; SolverError where the setup itself cannot be shot; Interrupted when
    stopped"""

@overload
def predict(
    ignorance: Ignorance,
    outputs: Sequence[str] = (),
    *,
    bows: int = 400,
    seed: int = 1,
    distance: float | None = None,
    threads: int | None = None,
) -> Prediction:
    """The same for an ignorance, such as one that measurements have narrowed."""

def prediction_markdown(prediction: Prediction) -> str:
    """The prediction for people, as Markdown: intervals, what they come from, what would narrow them."""

def refined(
    ensemble: BowEnsemble,
    readings: Sequence[EnsembleReading],
    *,
    members: int = 16,
    seed: int = 1,
    distance: float | None = None,
    threads: int | None = None,
) -> BowEnsemble:
    """The same, with new members around those that the readings favour: tracks and limb geometry move, within what is
    plausible, to where the readings are met. Two rounds of `options.members` draws each are added to those there are;
    before the readings all of them count alike. Give all readings at once: weights of an earlier narrowing are not
    kept.

    Raises InputError as narrowed(), and for options out of range; Interrupted when stopped"""

def settling_tests(
    ensemble: BowEnsemble, tears: EnsembleTears, adjustment: str = ""
) -> tuple[SettlingTest, ...]:
    """Which single reading narrows the answers of the adjustments most, best first: by linear regression over the members,
    of the answers (tears per step, in the rows given) on what would be read. What is tried can be taken back: no other
    arrow, no draw beyond the stops.

    Argument adjustment  narrow the answer of this one only; empty: of all rows

    Raises InputError for an adjustment that is not among the rows"""

def ensemble_plan(ensemble: BowEnsemble, tears: EnsembleTears, *, up: float, right: float) -> EnsemblePlan:
    """Moves that would take a tear away that was shot with this bow: which of them hold whatever the sheet leaves open,
    and what would settle the others. Moves that change too little within their limits are left out.

    Argument up, right  the tear that was seen, tail-high and tail-right positive [m]

    Raises InputError for a tear that is not a number or larger than 0.3 m"""

def read_readings(file: str | PathLike[str]) -> tuple[EnsembleReading, ...]:
    """Reads readings from TOML. `error` may be left out: then it is what people commonly have.

        format = 1
        [[readings]]
        kind = "tear_up_change"
        adjustment = "cable.upper"    # as adjustments() names it
        steps = 0.5                   # of its steps: half of half a twist
        value = "0.2 in"
        error = "1/8 in"              # in 19 of 20 readings
        [[readings]]
        kind = "draw_force"
        draw_length = "20 in"
        value = "61.5 lbf"

    Raises InputError with file, line and column, as read_setup"""

def parse_readings(toml: str, source_name: str = "readings") -> tuple[EnsembleReading, ...]:
    """The same for the text of a file; `source_name` stands for the file in messages.

    Raises InputError as read_readings"""

def read_measurements(file: str | PathLike[str]) -> BowMeasurements:
    """Reads measurements from TOML: the names of the structs, quantities as text with units, like a setup file.

        format = 1
        [measurements]
        axle_to_axle = "33 in"
        draw_curve = [["8 in", "12 lbf"], ["9 in", "25.5 lbf"], …]   # trade's draw length, force
        limb.brace_angle = "28 deg"
        chronograph = { speed = "285 ft/s", arrow_mass = "380 gr" }

    Raises InputError with file, line and column, as read_setup"""

def parse_measurements(toml: str, source_name: str = "measurements") -> BowMeasurements:
    """The same for the text of a file; `source_name` stands for the file in messages.

    Raises InputError as read_measurements"""

def format_measurements(measurements: BowMeasurements) -> str:
    """The measurements as such a file; parse_measurements gives an equal value, to the bit.

    Raises InputError for a value out of range"""

def adjustments(setup: Setup) -> tuple[Adjustment, ...]:
    """The adjustments that this bow has, in the order of the table: yokes only where cables end on one, the cord only of a
    drop-away rest, stops only where there are some. Words follow `setup.handedness`."""

def adjusted(setup: Setup, adjustment: Adjustment | str, steps: float) -> Setup:
    """The setup after so many steps (fractions allowed).

    Raises InputError when a parameter would leave its range"""

def describe_steps(adjustment: Adjustment, steps: float) -> str:
    """"put half a twist into the upper cam's cable": what to do for so many steps; "leave … alone" for none."""

def describe_cause(adjustment: Adjustment, steps: float) -> str:
    """"half a twist too much in the upper cam's cable": the same amount as a finding."""

def describe_amount(adjustment: Adjustment, steps: float) -> str:
    """"half a twist", "1/16 in", "0.8 twist": an amount without its sign."""

def general_cautions() -> tuple[Caution, ...]:
    """What holds for every work on a bow, for the foot of every plan."""

def output_descriptions() -> tuple[OutputDescription, ...]:
    """All outputs, in the order of the enumeration."""

def shoot(
    setup: Setup, *, distance: float | None = None, threads: int | None = None, statics: bool = True
) -> Shot:
    """Shoot one setup and evaluate the shot; a setup that cannot be shot is told in `failure`, not thrown.

    Raises InputError for an option out of range; Interrupted when stopped"""

def tear_matrix(
    setup: Setup,
    adjustments: Sequence[Adjustment | str] | None = None,
    *,
    distance: float | None = None,
    step_fraction: float = 1.0,
    threads: int | None = None,
    statics: bool = True,
) -> TearMatrix:
    """Full launches one step either way of every adjustment (or of those given), in parallel; the result does not depend
    on the number of threads.

    Raises InputError for an option out of range; SolverError when the bow as given cannot be shot; Interrupted when
    stopped"""

usual_reading_error: float

def check_quantity(what: str) -> Quantity:
    """The quantity in which a check is measured.

    Raises InputError for anything that CheckObservation does not list"""

def bare_shaft() -> ParameterChange:
    """A bare shaft: the change that a TearObservation needs for one."""

def read_case(file: str | PathLike[str]) -> Case:
    """Reads a case file (TOML). Lengths need a unit; the setup is looked up beside the case file.

        format = 1
        setup = "larkspur.toml"
        [[tears]]
        high = "1/2 in"            # or low; and left or right
        left = "1/4 in"
        distance = "10 ft"         # else the setup's
        reading_error = "1/8 in"
        [[tears]]
        high = "0.7 in"
        bare_shaft = true          # or changes = { "arrow.spine" = "300 spine" }, changes_by = { … }
        archer = "a friend"        # or "machine"; else the bow's own archer
        trial = { "cable.upper" = 1 }        # or: shot after this adjustment was moved by so many trade steps
        [[work]]
        "rest.height" = -2         # done since, in trade steps, and to stay; one step each, in order
        [[tears]]
        low = "1/8 in"
        after = 1                  # how many of these steps were done before; checks take it as well
        [checks]
        stops_touch_together = true          # arrow_square_at_brace, rest_as_in_setup
        rest_up_before_wall = { value = "2 in", error = "1/4 in" }      # as it is seen
        chronograph_speed = { value = "253 ft/s", error = "2 ft/s" }
        [priors]
        "cable.upper" = 2.0        # trade steps
        [workshop]
        bow_press = false          # draw_board, second_arrow, spare_spine; what is not named is there
        distances = ["6 ft", "12 ft"]

    `shelf_clearance = "1/4 in"` stands above the first table. In place of `setup`, `[bow]` tells what is known of a bow
    without a setup file: the lines of its sheet as read_measurements() takes them, and numbers and choices of a setup
    by their path. build_bow() makes a bow of it; what was not told is known a class less well than in a setup file.

        [bow]
        draw_length = "28 in"      # must be told, as are the next three (or draw_curve for the last)
        axle_to_axle = "31 in"
        brace_height = "6 1/2 in"
        peak_force = "60 lbf"
        let_off = "80 %"           # if not told: 80 %, crossed cables, limb stops
        cabling = "yoke"
        stop = "cable"
        rated_speed = "320 ft/s"   # or chronograph = { speed = "281 ft/s", arrow_mass = "400 gr" }
        arrow_mass = "400 gr"      # the whole arrow
        "handedness" = "left"
        "rest.kind" = "blade"
        "arrow.spine" = "340 spine"

    Raises InputError with file, line and column for whatever cannot be meant, also for a length without its unit"""

def parse_case(toml: str, folder: str | PathLike[str], source_name: str = "case") -> Case:
    """The same for the text of a file; the setup is looked up in `folder`."""

def explain(
    observed: Case,
    *,
    threads: int | None = None,
    next_checks: bool = True,
    plan: bool = True,
    arrow_steps: bool = True,
    ignorance: float = 1.0,
    progress: Callable[[int], object] | None = None,
) -> Explanation:
    """Explain what was seen, say what to look at next, and plan the work.

    A case that gives nothing to go by, or contradicts itself, is told in the verdict.

    Raises InputError for a value outside case_ranges(), and for an unknown check, adjustment or parameter

    Raises SolverError when the setup as given cannot be shot

    Raises Interrupted when stopped"""

def next_step(
    observed: Case,
    *,
    threads: int | None = None,
    arrow_steps: bool = True,
    ignorance: float = 1.0,
) -> NextStep:
    """The one next thing to do, from all that a case holds: `explain(observed, options).next`, with checks and plan.

    Raises as explain()"""

def explanation_json(explanation: Explanation) -> str:
    """Everything in an explanation, SI units, one object; the key "format" is 1."""

def explanation_markdown(explanation: Explanation) -> str:
    """For terminals, notes and issue trackers."""

def explanation_html(explanation: Explanation) -> str:
    """One page without anything to load: pictures of the holes are inline SVG; for desktop, phone, dark mode and paper."""

def expected_launches(observed: Case) -> int: ...
def case_ranges() -> tuple[CaseRange, ...]:
    """Every range. The error of a check may be from a millionth of the check's range to the whole of it, and a check of a
    parameter has the parameter's range."""

def check_report_file(file: str | PathLike[str]) -> None:
    """Finds out before the explanation is worked out whether its report can be written there.

    Raises InputError for an extension that write_report() does not know; Error with the reason"""

def next_step_markdown(next: NextStep) -> str:
    """The one next thing: what to do and why, the hole to expect, what each other outcome would mean, and the lines that
    the case file needs afterwards."""

def write_report(explanation: Explanation, file: str | PathLike[str]) -> None:
    """Writes one of them, by the file's extension: .html, .md or .json.

    Raises InputError for another extension; Error if the file cannot be written"""

def calibration_parameters(setup: Setup) -> tuple[CalibrationParameter, ...]:
    """The parameters of a bow that are seldom known well: limbs' stiffness, preload and mass, cams' inertia, rigidity of
    string and cables, lengths of the cables, nocking point and rest."""

def calibrate(
    setup: Setup,
    measurements: Measurements,
    *,
    parameters: Sequence[CalibrationParameter] = ...,
    threads: int | None = None,
) -> Calibration:
    """Bounded least squares with full launches (Levenberg–Marquardt of Eigen; bounds by a smooth change of variables).

    Argument parameters  empty: calibration_parameters()

    Argument threads     at least 1; none: as many as the machine runs at once

    Argument stop        set it to true to break off

    Raises InputError for a value that cannot be meant, or no measurement at all

    Raises SolverError when the setup as given cannot be shot

    Raises Interrupted when stopped"""

def calibrate_within(
    ensemble: BowEnsemble,
    measurements: Measurements,
    *,
    parameters: Sequence[CalibrationParameter] = ...,
    threads: int | None = None,
) -> Calibration:
    """The same for a bow of which only the sheet is known: tracks and limb geometry may move too, within what is
    plausible. The ensemble is refined() by draw forces and speeds, the members nearest to all measurements are
    calibrated, and the one that then fits best with the least changes is taken.

    Argument parameters  empty: calibration_parameters() of each

    Raises InputError, SolverError, Interrupted as calibrate(); SolverError when no member can be shot"""

@final
class _Batch:
    """What all samples of a sweep have in common."""

    def __init__(
        self,
        setup: Setup,
        columns: list[tuple[str, list[str]]],
        outputs: list[str],
        *,
        hold: AnyDrawHold = "archer",
        positions: int = 120,
        integrator: AnyIntegrator = "nystrom",
        step: float = 2.25e-4,
        tolerance: float = 1e-7,
        time_limit: float = 0.15,
    ) -> None: ...
    def run(
        self,
        samples: FloatArray,
        values: FloatArray,
        status: npt.NDArray[np.uint8],
        messages: dict[int, str],
        *,
        threads: int = 1,
        progress: Callable[[int], object] | None = None,
    ) -> None:
        """Fill `values`, `status` (0 not run, 1 done, 2 failed) and the messages of failed samples by index."""

def _seconds_of_sweep(setup: Setup, path: str, values: Sequence[float], threads: int) -> float:
    """Time of the library's sweep over values of one parameter [s], for benchmarks."""

def _batch_outputs() -> tuple[tuple[str, str, str, tuple[str, ...]], ...]: ...
def _header_comments() -> dict[str, tuple[str, str]]: ...

def read_calibration_case(file: str | PathLike[str]) -> CalibrationCase:
    """Reads a file of measurements (TOML). Every number needs its unit; the setup is looked up beside the file. Holes and
    checks are written as in a case file, see read_case().

        format = 1
        setup = "larkspur.toml"
        [draw_board]
        error = "0.5 lbf"          # of every force, in 19 of 20 readings
        readings = [["10 in", "16.5 lbf"], ["11 in", "26.5 lbf"]]   # AMO draw length, force
        [[speeds]]
        speed = "252 ft/s"
        error = "1 ft/s"
        [[speeds]]
        speed = "238 ft/s"
        error = "1 ft/s"
        changes_by = { "arrow.point_mass" = "50 gr" }   # or changes = { … }
        [[tears]]
        high = "1/2 in"
        [[tears]]
        high = "1/8 in"
        changes_by = { "cables.upper.twists" = "-1/2 twist" }
        [checks]
        stop_gap = { value = "0 in", error = "1/64 in" }

    Raises InputError with file, line and column for whatever cannot be meant"""

def parse_calibration_case(
    toml: str, folder: str | PathLike[str], source_name: str = "measurements"
) -> CalibrationCase:
    """The same for the text of a file; the setup is looked up in `folder`."""

def calibration_markdown(calibration: Calibration, assumed: Sequence[AssumedValue] = ()) -> str:
    """The fit for people, as Markdown: what was fitted, how well the measurements are met, what they could not determine.
    `assumed` is what the setup's file did not give."""

@final
class Caution:
    """One caution."""

    @property
    def kind(self) -> CautionKind:
        """what it is about"""
    @property
    def words(self) -> str:
        """one or two sentences for people"""
    def __str__(self) -> str: ...
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Caution: ...
    def __deepcopy__(self, memo: object) -> Caution: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Width:
    """How far off a number may be: a standard deviation."""

    def __init__(
        self,
        *,
        value: float = 0.0,
        relative: bool = ...,
    ) -> None: ...
    def replace(self, **changes: object) -> Width: ...
    @property
    def value(self) -> float:
        """at least 0, in the number's SI unit, or, if relative, a fraction of the number"""
    @property
    def relative(self) -> bool:
        """of a number that can only be positive: of its logarithm"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Width: ...
    def __deepcopy__(self, memo: object) -> Width: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class KnownValue:
    """How well one number of a setup is known, where it differs from how well such numbers usually are."""

    def __init__(
        self,
        *,
        path: str = ...,
        by: AnyKnownBy = "measured",
        width: Width | None = None,
    ) -> None: ...
    def replace(self, **changes: object) -> KnownValue: ...
    @property
    def path(self) -> str:
        """of a number, or the name of a bow_measure()"""
    @property
    def by(self) -> KnownBy:
        """whose usual width it has"""
    @property
    def width(self) -> Width | None:
        """its own width, in place of that"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> KnownValue: ...
    def __deepcopy__(self, memo: object) -> KnownValue: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Knowledge:
    """How well a number is known unless a setup says otherwise (`Setup::known`)."""

    @property
    def by(self) -> KnownBy:
        """by"""
    @property
    def width(self) -> Width:
        """in that class; none if exact"""
    @property
    def apart(self) -> float:
        """of a number of both halves: how much of the width the halves may differ by [fraction]"""
    @property
    def together(self) -> str:
        """name of what is not known as one, of all numbers that have this name; usually empty"""
    @property
    def reason(self) -> str:
        """why so well, and from where that is known"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Knowledge: ...
    def __deepcopy__(self, memo: object) -> Knowledge: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class BowMeasure:
    """A number of the whole bow that many parameters make together, and that is measured on it."""

    @property
    def name(self) -> str:
        """name "brace_height" """
    @property
    def quantity(self) -> Quantity:
        """quantity"""
    @property
    def unit(self) -> str:
        """the unit in which files and reports prefer its width"""
    @property
    def widest(self) -> float:
        """largest width that may be given [SI]"""
    @property
    def known(self) -> Knowledge:
        """known"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> BowMeasure: ...
    def __deepcopy__(self, memo: object) -> BowMeasure: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class CircleTrack:
    """An eccentric circle, p(φ) = radius + eccentricity · cos(φ − angle), exactly."""

    def __init__(
        self,
        *,
        radius: float = 0.03,
        eccentricity: float = 0.0,
        angle: float = 0.0,
    ) -> None: ...
    def replace(self, **changes: object) -> CircleTrack: ...
    @property
    def radius(self) -> float:
        """radius [m], positive."""
    @property
    def eccentricity(self) -> float:
        """Distance of the circle's centre from the axle [m], at least 0."""
    @property
    def angle(self) -> float:
        """Direction of the circle's centre in the cam's frame [rad]."""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> CircleTrack: ...
    def __deepcopy__(self, memo: object) -> CircleTrack: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class SplineTrack:
    """A C² cubic spline of p(φ) through equally spaced knots.

Its ends are "not a knot" (p‴ is continuous at the second and the last but one knot too): knots that sample a smooth
p are then matched to fourth order over the whole range, where a natural spline would be wrong by second order near
both ends.
    """

    def __init__(
        self,
        *,
        first_angle: float = 0.0,
        angle_step: float = 0.0,
        distance: npt.ArrayLike = ...,
    ) -> None: ...
    def replace(self, **changes: object) -> SplineTrack: ...
    @property
    def first_angle(self) -> float:
        """Normal angle of the first knot [rad]."""
    @property
    def angle_step(self) -> float:
        """Spacing of the knots [rad], positive."""
    @property
    def distance(self) -> FloatArray:
        """p at the knots [m], at least four; zero or less is allowed as long as p + p″ > 0.; shape (n,)"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> SplineTrack: ...
    def __deepcopy__(self, memo: object) -> SplineTrack: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class GrooveTrack:
    """Measured points of a groove in the cam's frame, in any order.

Compiled through the tangent envelope of their convex hull (`spline_from_groove`), which is periodic: it may be
evaluated for two full turns either side of zero. The fit takes some tens of milliseconds and is kept: the same
points, wherever they come from, are fitted once (the last 64 grooves of a process). How well they were fitted,
and points from a CSV file: nockwise/groove.hpp.
    """

    def __init__(
        self,
        *,
        points: npt.ArrayLike = ...,
    ) -> None: ...
    def replace(self, **changes: object) -> GrooveTrack: ...
    @property
    def points(self) -> FloatArray:
        """(x, y) [m] with the axle at the origin, 8 to 20,000."""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> GrooveTrack: ...
    def __deepcopy__(self, memo: object) -> GrooveTrack: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class TrackPoint:
    """Everything a taut line needs to know of a track at one normal angle."""

    @property
    def distance(self) -> float:
        """p [m]"""
    @property
    def slope(self) -> float:
        """p′ [m/rad]"""
    @property
    def curvature(self) -> float:
        """p″ [m/rad²]; the radius of curvature is p + p″"""
    @property
    def area(self) -> float:
        """P = ∫p dφ [m·rad], zero at the track's first angle (circle: sine term zero at `angle`)"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> TrackPoint: ...
    def __deepcopy__(self, memo: object) -> TrackPoint: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class GrooveFit:
    """A fitted groove, and how its points lie to it. Points are counted from 0, in the order given."""

    @property
    def spline(self) -> SplineTrack:
        """two turns either side of zero: what a setup with these points is launched with"""
    @property
    def scatter(self) -> float:
        """root mean square distance of the points from the groove, without those in hollows [m]"""
    @property
    def farthest(self) -> float:
        """largest of these distances [m], at least 0"""
    @property
    def farthest_point(self) -> int:
        """which point that is"""
    @property
    def points_in_hollows(self) -> int:
        """points more than 0.3 mm inside: a taut line spans the hollow they lie in"""
    @property
    def deepest(self) -> float:
        """depth of the deepest of these under the line [m]; 0 without hollows"""
    @property
    def deepest_point(self) -> int:
        """which point that is; 0 without hollows"""
    @property
    def widest_gap(self) -> float:
        """largest angle between neighbouring points, as seen from the axle [rad]"""
    @property
    def gap_after(self) -> int:
        """the point after which it opens, counter-clockwise"""
    @property
    def smallest_radius(self) -> float:
        """smallest radius of curvature of the groove [m]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> GrooveFit: ...
    def __deepcopy__(self, memo: object) -> GrooveFit: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class DrawPoint:
    """One equilibrium of the draw. Positions are relative to the grip pivot."""

    @property
    def nock_x(self) -> float:
        """nock x [m], negative: behind the grip"""
    @property
    def nock_y(self) -> float:
        """nock y [m]"""
    @property
    def draw_force(self) -> float:
        """magnitude of the pull on the nock [N]"""
    @property
    def force_x(self) -> float:
        """of the draw force, on the nock [N]; negative: toward the archer"""
    @property
    def force_y(self) -> float:
        """force y [N]"""
    @property
    def limb_angle(self) -> UpperLower[float]:
        """from the riser's vertical [rad]"""
    @property
    def cam_angle(self) -> UpperLower[float]:
        """cam angle [rad]"""
    @property
    def string_tension(self) -> UpperLower[float]:
        """string tension [N]"""
    @property
    def cable_tension(self) -> UpperLower[float]:
        """cable tension [N]"""
    @property
    def axle_to_axle(self) -> float:
        """axle to axle [m]"""
    @property
    def stop_gap(self) -> UpperLower[float | None]:
        """stop gap [m]; negative: pressed; none where the cam has no stop"""
    @property
    def stored_energy(self) -> float:
        """since brace [J]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> DrawPoint: ...
    def __deepcopy__(self, memo: object) -> DrawPoint: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class DrawCycle:
    """The whole draw."""

    @property
    def points(self) -> RowArray:
        """from brace to full draw"""
    @property
    def touch_index(self) -> int:
        """the point at which the first stop touches"""
    @property
    def peak_force(self) -> float:
        """peak force [N]"""
    @property
    def peak_nock_x(self) -> float:
        """peak nock x [m]"""
    @property
    def holding_force(self) -> float:
        """lowest draw force between the peak and the wall [N]"""
    @property
    def valley_nock_x(self) -> float:
        """where it is [m]"""
    @property
    def let_off(self) -> float:
        """(peak − holding) / peak [fraction] (ASTM F1880)"""
    @property
    def stored_energy(self) -> float:
        """brace to the touch of the first stop [J]"""
    @property
    def brace_height(self) -> float:
        """brace height [m]"""
    @property
    def power_stroke(self) -> float:
        """brace to the touch [m]"""
    @property
    def draw_length(self) -> float:
        """grip pivot to nock at the touch, plus 1 3/4 in (AMO) [m]"""
    @property
    def brace_axle_to_axle(self) -> float:
        """brace axle to axle [m]"""
    @property
    def full_axle_to_axle(self) -> float:
        """at the touch [m]"""
    @property
    def static_nock_travel(self) -> float:
        """highest less lowest nock, relative to the line from its brace to its touch [m]"""
    @property
    def first_stop(self) -> Side:
        """the half whose stop touches first"""
    @property
    def late_stop_gap(self) -> float | None:
        """gap of the other half's stop at that moment, at least 0 [m]; none without one"""
    @property
    def rest_up_nock_x(self) -> float | None:
        """Where the arm of a drop-away comes fully up in the draw [m]; none without one, and where it is not up at the wall."""
    @property
    def rest_cord_force(self) -> float | None:
        """Tension of a drop-away's cord [N], limb-driven at brace, cable-driven at the wall: with the arm on its stop, and before arm, limb or cable give way to it, which takes up to a fifth of it."""
    @property
    def cautions(self) -> tuple[Caution, ...]:
        """cautions"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> DrawCycle: ...
    def __deepcopy__(self, memo: object) -> DrawCycle: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class ArrowProperties:
    """Mass, balance and stiffness of the whole arrow."""

    @property
    def mass(self) -> float:
        """mass [kg]"""
    @property
    def balance_point(self) -> float:
        """mass centre from the nock groove [m]"""
    @property
    def front_of_center(self) -> float:
        """(balance point − half length) / length (ASTM F1435's description) [fraction]"""
    @property
    def static_spine(self) -> float:
        """sag under 1.94 lb on a 28 in span (ASTM F2031) [m]"""
    @property
    def transverse_inertia(self) -> float:
        """about the mass centre [kg·m²]"""
    @property
    def frequencies(self) -> FloatArray:
        """free bending modes, lowest first, at most four [Hz]; shape (n,)"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> ArrowProperties: ...
    def __deepcopy__(self, memo: object) -> ArrowProperties: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class BraceState:
    """Brace: nobody holds the string."""

    @property
    def brace_height(self) -> float:
        """grip pivot to string, along x [m]"""
    @property
    def axle_to_axle(self) -> float:
        """axle to axle [m]"""
    @property
    def nock_height(self) -> float:
        """nocking point above the grip pivot [m]"""
    @property
    def limb_angle(self) -> UpperLower[float]:
        """from the riser's vertical [rad]"""
    @property
    def cam_angle(self) -> UpperLower[float]:
        """grows in the draw [rad]"""
    @property
    def string_tension(self) -> float:
        """string tension [N]"""
    @property
    def cable_tension(self) -> UpperLower[float]:
        """of the cable that the cam of this half takes up [N]"""
    @property
    def nock_pull_off(self) -> float:
        """How far a string that is pulled by the nock goes before the arrow drops off, by its hold [m]."""
    @property
    def arrow_square(self) -> float:
        """height of the nock above the point of the shaft over the rest: + nock high [m]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> BraceState: ...
    def __deepcopy__(self, memo: object) -> BraceState: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Event:
    """One event."""

    @property
    def kind(self) -> EventKind:
        """kind"""
    @property
    def time(self) -> float:
        """since release [s]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Event: ...
    def __deepcopy__(self, memo: object) -> Event: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Energy:
    """Energies of both planes [J]; they sum to the same total while nothing dissipates."""

    @property
    def arrow(self) -> float:
        """kinetic and bending [J]"""
    @property
    def mechanism(self) -> float:
        """kinetic: riser, limbs, cams, string, rest arm [J]"""
    @property
    def limbs(self) -> float:
        """limbs [J]"""
    @property
    def lines(self) -> float:
        """strain of string, cables and cord [J]"""
    @property
    def contacts(self) -> float:
        """stops, rest [J]"""
    @property
    def gravity(self) -> float:
        """gravity [J]"""
    @property
    def hand(self) -> float:
        """hand [J]"""
    @property
    def total(self) -> float: ...
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Energy: ...
    def __deepcopy__(self, memo: object) -> Energy: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class ArrowState:
    """The arrow at one moment. Frame: inertial; angles positive nose up (pitch) and nose to the archer's right (yaw)."""

    @property
    def time(self) -> float:
        """since release [s]"""
    @property
    def nock_x(self) -> float:
        """nock x [m]"""
    @property
    def speed(self) -> float:
        """of the mass centre along x [m/s]"""
    @property
    def velocity_y(self) -> float:
        """of the mass centre [m/s]"""
    @property
    def velocity_z(self) -> float:
        """velocity z [m/s]"""
    @property
    def nock_velocity_y(self) -> float:
        """of the nock [m/s]"""
    @property
    def nock_velocity_z(self) -> float:
        """nock velocity z [m/s]"""
    @property
    def pitch(self) -> float:
        """of the rigid-body line, nose up [rad]"""
    @property
    def yaw(self) -> float:
        """nose right [rad]"""
    @property
    def pitch_rate(self) -> float:
        """pitch rate [rad/s]"""
    @property
    def yaw_rate(self) -> float:
        """yaw rate [rad/s]"""
    @property
    def bending_y(self) -> float:
        """largest distance of a node from the rigid-body line [m]"""
    @property
    def bending_z(self) -> float:
        """bending z [m]"""
    @property
    def y(self) -> FloatArray:
        """per node, nock first [m]; shape (n,)"""
    @property
    def z(self) -> FloatArray:
        """per node, nock first [m]; shape (n,)"""
    @property
    def velocity_y_nodes(self) -> FloatArray:
        """per node, nock first [m/s]; shape (n,)"""
    @property
    def velocity_z_nodes(self) -> FloatArray:
        """per node, nock first [m/s]; shape (n,)"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> ArrowState: ...
    def __deepcopy__(self, memo: object) -> ArrowState: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class VaneStrike:
    """What vanes met that struck the launcher, or the cables, all of them together."""

    @property
    def time(self) -> float:
        """of the largest force [s]"""
    @property
    def largest_force(self) -> float:
        """on their edges [N]"""
    @property
    def impulse_up(self) -> float:
        """on the shaft, upward [N·s]"""
    @property
    def impulse_right(self) -> float:
        """on the shaft, to the archer's right [N·s]"""
    @property
    def depth(self) -> float:
        """how far the vane that was pressed in farthest had to give way [m]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> VaneStrike: ...
    def __deepcopy__(self, memo: object) -> VaneStrike: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class RestReport:
    """What the rest did."""

    @property
    def drop_start(self) -> float | None:
        """time at which the arm left its upper stop [s]; none if it did not"""
    @property
    def drop_end(self) -> float | None:
        """time at which it first reached its lower stop [s]; none if it did not"""
    @property
    def last_contact(self) -> float | None:
        """last time the shaft was carried [s]; none if it never was"""
    @property
    def largest_force(self) -> float:
        """vertical, on the shaft [N]"""
    @property
    def cord_force(self) -> float:
        """tension of a drop-away's cord at full draw [N]; 0: slack, or none"""
    @property
    def shaft_clearance(self) -> float | None:
        """Smallest gap between launcher and shaft after the last contact [m]; none if the launch ended in contact."""
    @property
    def fletching_clearance(self) -> float | None:
        """Smallest distance between the launcher's edge and the vanes, as the nock is turned, while they pass [m]; negative: by how much one has to give way; none if they did not pass."""
    @property
    def fletching_contact(self) -> bool:
        """a vane strikes the launcher"""
    @property
    def vane_strike(self) -> VaneStrike | None:
        """none where all clear"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> RestReport: ...
    def __deepcopy__(self, memo: object) -> RestReport: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Trace:
    """The trajectory: one row per sample."""

    @property
    def time(self) -> FloatArray:
        """time [s]; shape (samples,)"""
    @property
    def nock_x(self) -> FloatArray:
        """arrow's nock [m]; shape (samples,)"""
    @property
    def nock_y(self) -> FloatArray:
        """arrow's nock [m]; shape (samples,)"""
    @property
    def nock_z(self) -> FloatArray:
        """arrow's nock [m]; shape (samples,)"""
    @property
    def string_x(self) -> FloatArray:
        """string where it is nocked [m]; shape (samples,)"""
    @property
    def string_y(self) -> FloatArray:
        """string where it is nocked [m]; shape (samples,)"""
    @property
    def string_z(self) -> FloatArray:
        """string where it is nocked [m]; shape (samples,)"""
    @property
    def speed(self) -> FloatArray:
        """arrow along x [m/s]; shape (samples,)"""
    @property
    def acceleration(self) -> FloatArray:
        """arrow along x [m/s²]; shape (samples,)"""
    @property
    def riser_x(self) -> FloatArray:
        """grip pivot [m]; shape (samples,)"""
    @property
    def riser_y(self) -> FloatArray:
        """grip pivot [m]; shape (samples,)"""
    @property
    def riser_z(self) -> FloatArray:
        """grip pivot [m]; shape (samples,)"""
    @property
    def riser_pitch(self) -> FloatArray:
        """riser pitch [rad]; shape (samples,)"""
    @property
    def riser_yaw(self) -> FloatArray:
        """riser yaw [rad]; shape (samples,)"""
    @property
    def riser_roll(self) -> FloatArray:
        """riser roll [rad]; shape (samples,)"""
    @property
    def limb_angle(self) -> UpperLower[FloatArray]:
        """limb angle [rad]; shape (samples,)"""
    @property
    def cam_angle(self) -> UpperLower[FloatArray]:
        """cam angle [rad]; shape (samples,)"""
    @property
    def lean(self) -> UpperLower[FloatArray]:
        """lean [rad]; shape (samples,)"""
    @property
    def axle_x(self) -> UpperLower[FloatArray]:
        """middles of the axles [m]; shape (samples,)"""
    @property
    def axle_y(self) -> UpperLower[FloatArray]:
        """middles of the axles [m]; shape (samples,)"""
    @property
    def string_tension(self) -> UpperLower[FloatArray]:
        """string tension [N]; shape (samples,)"""
    @property
    def cable_tension(self) -> UpperLower[FloatArray]:
        """cable tension [N]; shape (samples,)"""
    @property
    def stop_gap(self) -> UpperLower[FloatArray]:
        """stop gap [m]; no samples where the cam has no stop; shape (samples,)"""
    @property
    def rest_gap(self) -> FloatArray:
        """rest gap [m]; shape (samples,)"""
    @property
    def rest_force(self) -> FloatArray:
        """rest force [N]; shape (samples,)"""
    @property
    def rest_arm(self) -> FloatArray:
        """rest arm [rad]; shape (samples,)"""
    @property
    def cord_tension(self) -> FloatArray:
        """cord tension [N]; shape (samples,)"""
    @property
    def axial_push(self) -> FloatArray:
        """string on arrow [N]; shape (samples,)"""
    @property
    def nodes(self) -> int:
        """columns of the next two"""
    @property
    def arrow_y(self) -> FloatArray:
        """row-major, samples × nodes [m]; shape (samples, nodes)"""
    @property
    def arrow_z(self) -> FloatArray:
        """row-major, samples × nodes [m]; shape (samples, nodes)"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Trace: ...
    def __deepcopy__(self, memo: object) -> Trace: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Launch:
    """Result of launch()."""

    @property
    def ended_by(self) -> LaunchEnd:
        """ended by"""
    @property
    def events(self) -> tuple[Event, ...]:
        """events"""
    @property
    def full_draw_nock_x(self) -> float:
        """full draw nock x [m]"""
    @property
    def full_draw_force(self) -> float:
        """draw force at full draw, wall pull included [N]"""
    @property
    def stored_energy(self) -> float:
        """brace to full draw [J]"""
    @property
    def late_stop_gap(self) -> float | None:
        """of the other half when the first stop touched [m]; none if it has no stop"""
    @property
    def cable_clearance(self) -> float | None:
        """Vanes to the nearest cable, sideways at full draw [m]; negative: they can strike; none where no cable passes."""
    @property
    def cable_strike(self) -> VaneStrike | None:
        """of vanes against the cables as they pass them; none where all clear"""
    @property
    def exit_time(self) -> float:
        """nock leaves the string [s]; with all that follows from it 0 if it did not"""
    @property
    def exit_speed(self) -> float:
        """mass centre at that moment [m/s]"""
    @property
    def efficiency(self) -> float:
        """kinetic energy of the arrow's advance / stored energy [fraction]"""
    @property
    def peak_acceleration(self) -> float:
        """of the arrow along x [m/s²]"""
    @property
    def nock_travel_y(self) -> float:
        """highest less lowest nock while on the string [m]"""
    @property
    def nock_travel_z(self) -> float:
        """nock travel z [m]"""
    @property
    def lean_full_draw(self) -> UpperLower[float]:
        """cam lean at full draw; positive: the string side of the cam stands to the archer's right [rad]"""
    @property
    def energy_start(self) -> Energy:
        """at release and as the nock leaves the string"""
    @property
    def energy_exit(self) -> Energy:
        """at release and as the nock leaves the string"""
    @property
    def dissipated(self) -> float:
        """start total − exit total [J]"""
    @property
    def exit(self) -> ArrowState:
        """as the nock leaves the string"""
    @property
    def free(self) -> ArrowState:
        """as the tail passes the rest: where flight begins"""
    @property
    def rest(self) -> RestReport:
        """rest"""
    @property
    def trace(self) -> Trace:
        """empty unless asked for"""
    @property
    def steps(self) -> int:
        """integrator steps"""
    @property
    def evaluations(self) -> int:
        """of the right-hand side"""
    @property
    def cautions(self) -> tuple[Caution, ...]:
        """cautions"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Launch: ...
    def __deepcopy__(self, memo: object) -> Launch: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class FlightPoint:
    """The arrow in flight. Inertial frame; angles of the rigid-body line, nose up and nose right positive."""

    @property
    def time(self) -> float:
        """since release [s]"""
    @property
    def x(self) -> float:
        """mass centre [m]"""
    @property
    def y(self) -> float:
        """y [m]"""
    @property
    def z(self) -> float:
        """z [m]"""
    @property
    def speed(self) -> float:
        """along x [m/s]"""
    @property
    def velocity_y(self) -> float:
        """velocity y [m/s]"""
    @property
    def velocity_z(self) -> float:
        """velocity z [m/s]"""
    @property
    def pitch(self) -> float:
        """pitch [rad]"""
    @property
    def yaw(self) -> float:
        """yaw [rad]"""
    @property
    def pitch_rate(self) -> float:
        """pitch rate [rad/s]"""
    @property
    def yaw_rate(self) -> float:
        """yaw rate [rad/s]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> FlightPoint: ...
    def __deepcopy__(self, memo: object) -> FlightPoint: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Crossing:
    """A section of the shaft passing through a plane x = constant."""

    @property
    def time(self) -> float:
        """since release [s]"""
    @property
    def y(self) -> float:
        """where the shaft's centreline passes [m]"""
    @property
    def z(self) -> float:
        """z [m]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Crossing: ...
    def __deepcopy__(self, memo: object) -> Crossing: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Impact:
    """Point of impact on a target."""

    @property
    def time(self) -> float:
        """since release [s]"""
    @property
    def y(self) -> float:
        """of the point, above the grip pivot at full draw [m]"""
    @property
    def z(self) -> float:
        """z [m], + right"""
    @property
    def speed(self) -> float:
        """along x [m/s]"""
    @property
    def pitch(self) -> float:
        """pitch [rad]"""
    @property
    def yaw(self) -> float:
        """yaw [rad]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Impact: ...
    def __deepcopy__(self, memo: object) -> Impact: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class PaperTear:
    """The tear: from the hole of the point to where the tail (the middle of the vanes; the nock of a bare shaft) crosses."""

    @property
    def up(self) -> float:
        """up [m], > 0 tail-high"""
    @property
    def right(self) -> float:
        """right [m], > 0 tail-right as the archer sees it"""
    @property
    def point_y(self) -> float:
        """hole of the point, above the grip pivot at full draw [m]"""
    @property
    def point_z(self) -> float:
        """point z [m], + right"""
    @property
    def point_time(self) -> float:
        """since release [s]"""
    @property
    def tail_time(self) -> float:
        """tail time [s]"""
    @property
    def speed(self) -> float:
        """of the mass centre as the point passes [m/s]"""
    @property
    def section(self) -> FloatArray:
        """sections of the shaft from point to tail, ahead of the nock [m]; shape (n,)"""
    @property
    def section_up(self) -> FloatArray:
        """where each crosses, from the hole of the point [m]; shape (n,)"""
    @property
    def section_right(self) -> FloatArray:
        """section right [m]; shape (n,)"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> PaperTear: ...
    def __deepcopy__(self, memo: object) -> PaperTear: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class DrawForceReading:
    """One reading of a draw board."""

    def __init__(
        self,
        *,
        draw_length: float = 0.0,
        force: float = 0.0,
    ) -> None: ...
    def replace(self, **changes: object) -> DrawForceReading: ...
    @property
    def draw_length(self) -> float:
        """the trade's: grip pivot to nock plus 1 3/4 in [m]"""
    @property
    def force(self) -> float:
        """force [N], at least 0"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> DrawForceReading: ...
    def __deepcopy__(self, memo: object) -> DrawForceReading: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class LimbGuess:
    """Guesses about each limb; both halves are built alike. What is not given is chosen, and reported."""

    def __init__(
        self,
        *,
        effective_length: float | None = None,
        brace_angle: float | None = None,
        travel: float | None = None,
        torsion_stiffness: float | None = None,
    ) -> None: ...
    def replace(self, **changes: object) -> LimbGuess: ...
    @property
    def effective_length(self) -> float | None:
        """pivot of the equivalent rigid limb to the axle [m], 0.05 to 1"""
    @property
    def brace_angle(self) -> float | None:
        """limb angle at brace, from the riser's vertical [rad], 0.05 to 1.35"""
    @property
    def travel(self) -> float | None:
        """limb angle at full draw less at brace [rad], 0.05 to 0.8"""
    @property
    def torsion_stiffness(self) -> float | None:
        """torsion stiffness [N·m/rad], 1 to 1e5"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> LimbGuess: ...
    def __deepcopy__(self, memo: object) -> LimbGuess: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class CamGuess:
    """Guesses about the circle from which each cam lets the string out, and about the let-out track of crossed and hybrid
cables. What is not given is chosen, and reported.
    """

    def __init__(
        self,
        *,
        string_radius: float | None = None,
        string_eccentricity: float | None = None,
        string_direction: float | None = None,
        let_out_radius: float | None = None,
    ) -> None: ...
    def replace(self, **changes: object) -> CamGuess: ...
    @property
    def string_radius(self) -> float | None:
        """string radius [m], 0.005 to 0.15"""
    @property
    def string_eccentricity(self) -> float | None:
        """distance of the circle's centre from the axle [m], 0 to the radius"""
    @property
    def string_direction(self) -> float | None:
        """direction of the circle's centre in the cam's frame [rad], −2π to 2π"""
    @property
    def let_out_radius(self) -> float | None:
        """of a concentric let-out track [m], 0.002 to 0.1"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> CamGuess: ...
    def __deepcopy__(self, memo: object) -> CamGuess: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class ChronographReading:
    """A launch speed as a chronograph shows it."""

    def __init__(
        self,
        *,
        speed: float = 0.0,
        arrow_mass: float = 0.0,
    ) -> None: ...
    def replace(self, **changes: object) -> ChronographReading: ...
    @property
    def speed(self) -> float:
        """of the arrow 36 in ahead of the grip pivot [m/s], 20 to 150"""
    @property
    def arrow_mass(self) -> float:
        """of the whole arrow that was shot [kg], 0.005 to 0.1"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> ChronographReading: ...
    def __deepcopy__(self, memo: object) -> ChronographReading: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class BowMeasurements:
    """What was measured at the bow, and what was guessed."""

    def __init__(
        self,
        *,
        name: str = "unnamed",
        provenance: str = ...,
        axle_to_axle: float = 0.0,
        brace_height: float = 0.0,
        draw_length: float = 0.0,
        peak_force: float | None = None,
        let_off: float | None = None,
        draw_curve: npt.ArrayLike | Sequence[DrawForceReading] = ...,
        stop: AnyStopPegs = "limb",
        cabling: AnyCabling = "yoke",
        center_above_grip: float = 0.02,
        limb: LimbGuess = ...,
        cam: CamGuess = ...,
        rated_speed: float | None = None,
        chronograph: ChronographReading | None = None,
    ) -> None: ...
    def replace(self, **changes: object) -> BowMeasurements: ...
    @property
    def name(self) -> str:
        """name"""
    @property
    def provenance(self) -> str:
        """provenance"""
    @property
    def axle_to_axle(self) -> float:
        """at brace [m], 0.4 to 1.6; to be given, as the next two"""
    @property
    def brace_height(self) -> float:
        """grip pivot to string [m], 0.08 to 0.35"""
    @property
    def draw_length(self) -> float:
        """the trade's, where the stops touch: grip pivot to nock plus 1 3/4 in [m], 0.45 to 1"""
    @property
    def peak_force(self) -> float | None:
        """peak force [N], 20 to 700; with `let_off` in place of a draw curve"""
    @property
    def let_off(self) -> float | None:
        """(peak − holding) / peak [fraction], 0.3 to 0.95"""
    @property
    def draw_curve(self) -> RowArray:
        """Readings from near brace to the wall in any order, at least eight, in place of `peak_force` and `let_off`."""
    @property
    def stop(self) -> StopPegs:
        """stop"""
    @property
    def cabling(self) -> Cabling:
        """cabling"""
    @property
    def center_above_grip(self) -> float:
        """middle between the axles above the grip pivot at brace [m], −0.1 to 0.1"""
    @property
    def limb(self) -> LimbGuess:
        """limb"""
    @property
    def cam(self) -> CamGuess:
        """cam"""
    @property
    def rated_speed(self) -> float | None:
        """Speed in the standard rating (ASTM F1544: 350 gr, 70 lbf, 30 in of draw) [m/s], 20 to 150. The bow of that peak and draw is taken to store the same share of peak force times power stroke."""
    @property
    def chronograph(self) -> ChronographReading | None:
        """in place of a rated speed"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> BowMeasurements: ...
    def __deepcopy__(self, memo: object) -> BowMeasurements: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class MeasurementCheck:
    """One line of the report."""

    @property
    def path(self) -> str:
        """of the measurement, "measurements.brace_height" """
    @property
    def wanted(self) -> float:
        """wanted [SI]"""
    @property
    def achieved(self) -> float:
        """by the elastic bow on a draw board, or by a launch [SI]"""
    @property
    def tolerance(self) -> float:
        """largest difference that the builder accepts without a caution [SI]"""
    @property
    def met(self) -> bool: ...
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> MeasurementCheck: ...
    def __deepcopy__(self, memo: object) -> MeasurementCheck: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class BuildReport:
    """How well the bow came out, and what it rests on."""

    @property
    def checks(self) -> tuple[MeasurementCheck, ...]:
        """checks"""
    @property
    def curve_rms(self) -> float:
        """root mean square of achieved less measured draw force [N]; 0 without a draw curve"""
    @property
    def curve_largest(self) -> float:
        """largest absolute difference [N]; 0 without a draw curve"""
    @property
    def corrections(self) -> int:
        """passes of march and elastic draw"""
    @property
    def stored_energy(self) -> float:
        """brace to wall [J]"""
    @property
    def fullness(self) -> float:
        """stored energy / (peak force × power stroke) [fraction]"""
    @property
    def virtual_mass(self) -> float | None:
        """2 × stored energy / speed² less the arrow [kg]"""
    @property
    def efficiency(self) -> float | None:
        """energy of that arrow / stored energy [fraction]"""
    @property
    def rated_speed(self) -> float | None:
        """in the standard rating, by energy and virtual mass [m/s]"""
    @property
    def assumptions(self) -> tuple[str, ...]:
        """in sentences"""
    @property
    def cautions(self) -> tuple[Caution, ...]:
        """cautions"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> BuildReport: ...
    def __deepcopy__(self, memo: object) -> BuildReport: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class BuiltBow:
    """A setup that braces, draws and (with a chronograph) shoots as measured."""

    @property
    def setup(self) -> Setup:
        """setup"""
    @property
    def report(self) -> BuildReport:
        """report"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> BuiltBow: ...
    def __deepcopy__(self, memo: object) -> BuiltBow: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class MovedParameter:
    """A parameter that was moved."""

    @property
    def path(self) -> str:
        """path"""
    @property
    def before(self) -> float:
        """before [SI]"""
    @property
    def after(self) -> float:
        """after [SI]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> MovedParameter: ...
    def __deepcopy__(self, memo: object) -> MovedParameter: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class CamFit:
    """A bow with these cams."""

    @property
    def setup(self) -> Setup:
        """setup"""
    @property
    def checks(self) -> tuple[MeasurementCheck, ...]:
        """axle_to_axle, brace_height, draw_length, late_stop_gap, and peak_force where it was asked for"""
    @property
    def moved(self) -> tuple[MovedParameter, ...]:
        """in the order of the parameters"""
    @property
    def brace_cam_angle(self) -> UpperLower[float]:
        """how far the cams stand turned from as drawn, at brace [rad]"""
    @property
    def peak_force(self) -> float:
        """peak force [N]"""
    @property
    def let_off(self) -> float:
        """(peak − holding) / peak [fraction]"""
    @property
    def stored_energy(self) -> float:
        """brace to the touch of the stops [J]"""
    @property
    def cautions(self) -> tuple[Caution, ...]:
        """cautions"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> CamFit: ...
    def __deepcopy__(self, memo: object) -> CamFit: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class SyncChain:
    """How an error in the length of the upper cam's cable travels to the hole: what a quarter of a twist more does, half
the difference of a quarter of a twist either way. Every part is signed: the upper cam late, the nock or the tail
high or right are positive.
    """

    @property
    def cable_length(self) -> float:
        """of the upper cam's cable; a twist shortens it: negative [m]"""
    @property
    def cam_angle(self) -> float:
        """upper less lower cam at the touch of the first stop, positive: the upper is ahead [rad]"""
    @property
    def stop_gap(self) -> float:
        """upper less lower gap there, positive: the upper cam is late [m]"""
    @property
    def nock_travel(self) -> float:
        """mean static nock travel, positive: the nock runs above its line from brace to wall [m]"""
    @property
    def tear_up(self) -> float:
        """positive: tail-high [m]"""
    @property
    def tear_right(self) -> float:
        """positive: tail-right as the archer sees it [m]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> SyncChain: ...
    def __deepcopy__(self, memo: object) -> SyncChain: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class CamRow:
    """One bow of the comparison."""

    @property
    def name(self) -> str:
        """name"""
    @property
    def failure(self) -> str:
        """why it cannot be built, drawn or shot; what is below of that is zero then"""
    @property
    def setup(self) -> Setup:
        """the bow"""
    @property
    def axle_to_axle(self) -> float:
        """at brace [m]"""
    @property
    def brace_height(self) -> float:
        """brace height [m]"""
    @property
    def draw_length(self) -> float:
        """the trade's [m]"""
    @property
    def peak_force(self) -> float:
        """peak force [N]"""
    @property
    def holding_force(self) -> float:
        """holding force [N]"""
    @property
    def let_off(self) -> float:
        """(peak − holding) / peak [fraction]"""
    @property
    def stored_energy(self) -> float:
        """brace to wall [J]"""
    @property
    def fullness(self) -> float:
        """stored energy / (peak force × power stroke) [fraction]"""
    @property
    def cam_turn(self) -> float:
        """of the cams from brace to wall, their mean [rad]"""
    @property
    def brace_cam_angle(self) -> float:
        """how far the cams stand turned from as drawn, at brace [rad]"""
    @property
    def largest_lead(self) -> float:
        """upper less lower cam angle where they are farthest apart in the draw, positive: the upper is ahead [rad]"""
    @property
    def nock_travel(self) -> float:
        """mean static one, positive: the nock runs above its line from brace to wall [m]"""
    @property
    def exit_speed(self) -> float:
        """of the arrow [m/s]"""
    @property
    def tear_up(self) -> float:
        """positive: tail-high [m]"""
    @property
    def tear_right(self) -> float:
        """positive: tail-right as the archer sees it [m]"""
    @property
    def chain(self) -> SyncChain:
        """what a quarter of a twist does"""
    @property
    def draw_curve(self) -> RowArray:
        """from brace to the wall, on a draw board"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> CamRow: ...
    def __deepcopy__(self, memo: object) -> CamRow: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class CamTable:
    """Bows side by side, in the order given."""

    @property
    def rows(self) -> tuple[CamRow, ...]:
        """rows"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> CamTable: ...
    def __deepcopy__(self, memo: object) -> CamTable: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class ParameterStep:
    """One parameter that an adjustment moves."""

    @property
    def path(self) -> str:
        """path"""
    @property
    def per_step(self) -> float:
        """change of the parameter by one positive step [SI]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> ParameterStep: ...
    def __deepcopy__(self, memo: object) -> ParameterStep: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Adjustment:
    """One adjustment of one bow. Positive steps do what `positive` says."""

    @property
    def name(self) -> str:
        """for files and options: "cable.upper" """
    @property
    def title(self) -> str:
        """for tables: "upper cam's cable" """
    @property
    def group(self) -> AdjustmentGroup:
        """group"""
    @property
    def parameters(self) -> tuple[ParameterStep, ...]:
        """parameters"""
    @property
    def unit(self) -> TradeUnit:
        """unit"""
    @property
    def amount_per_step(self) -> float:
        """in `unit`: 0.5 twist, 1/16 in"""
    @property
    def positive(self) -> str:
        """instruction, {} stands for the amount: "put {} into the upper cam's cable" """
    @property
    def negative(self) -> str:
        """negative"""
    @property
    def cause_positive(self) -> str:
        """finding, if the bow stands there unbidden: "{} too much in the upper cam's cable" """
    @property
    def cause_negative(self) -> str:
        """cause negative"""
    @property
    def effort(self) -> float:
        """rough time for one visit to it, setting up included [min]"""
    @property
    def side_effects(self) -> tuple[str, ...]:
        """what else it changes"""
    @property
    def least_steps(self) -> float:
        """farthest negative move from the bow as found [steps]"""
    @property
    def most_steps(self) -> float:
        """farthest positive move [steps]"""
    @property
    def limit(self) -> str:
        """why there"""
    @property
    def caution(self) -> Caution | None:
        """beyond the general ones"""
    @property
    def needs_press(self) -> bool:
        """only with a bow press"""
    @property
    def plannable(self) -> bool:
        """may stand in a plan as a turn of a wrench"""
    @property
    def prior(self) -> float:
        """how far this is off, unnoticed, in an ordinary bow that gives trouble: standard deviation [steps]; 0: not suspected by default"""
    @property
    def rare_prior(self) -> float:
        """the same of what is suspected only where nothing ordinary explains all that was seen"""
    @property
    def prior_reason(self) -> str:
        """why so far; empty where it is not suspected"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Adjustment: ...
    def __deepcopy__(self, memo: object) -> Adjustment: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class OutputDescription:
    """Name, heading, unit and meaning of an output, for files and tables."""

    @property
    def output(self) -> Output:
        """output"""
    @property
    def name(self) -> str:
        """name "tear_up" """
    @property
    def title(self) -> str:
        """heading of a column: "tear up" """
    @property
    def quantity(self) -> Quantity:
        """quantity"""
    @property
    def unit(self) -> str:
        """in which tables show it"""
    @property
    def measurable(self) -> bool:
        """it can be measured on the bow as found, so that a case may have it as a check"""
    @property
    def meaning(self) -> str:
        """in one phrase, with what positive means"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> OutputDescription: ...
    def __deepcopy__(self, memo: object) -> OutputDescription: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Shot:
    """One launch with its outputs."""

    @property
    def flew(self) -> bool:
        """the arrow left the bow in the ordinary way, and every number below is good"""
    @property
    def failure(self) -> str:
        """why it did not"""
    @property
    def value(self) -> dict[str, float]:
        """zero unless it flew"""
    @property
    def vane_strike(self) -> bool:
        """a vane strikes the launcher"""
    @property
    def cautions(self) -> tuple[Caution, ...]:
        """cautions"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Shot: ...
    def __deepcopy__(self, memo: object) -> Shot: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class TearMatrixRow:
    """What one step of one adjustment does."""

    @property
    def adjustment(self) -> Adjustment:
        """adjustment"""
    @property
    def per_step(self) -> dict[str, float]:
        """change per positive step"""
    @property
    def plus(self) -> Shot:
        """the shots `step_fraction` steps either way"""
    @property
    def minus(self) -> Shot:
        """the shots `step_fraction` steps either way"""
    @property
    def both_sides(self) -> bool:
        """per_step is a central difference; else one of the shots did not fly"""
    @property
    def linear(self) -> bool:
        """the tear answers alike either way"""
    @property
    def warnings(self) -> tuple[str, ...]:
        """for people: what makes this slope unreliable"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> TearMatrixRow: ...
    def __deepcopy__(self, memo: object) -> TearMatrixRow: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class TearMatrix:
    """The bow as given, and the rows of all its adjustments."""

    @property
    def distance(self) -> float:
        """of the paper [m]"""
    @property
    def base(self) -> Shot:
        """base"""
    @property
    def rows(self) -> tuple[TearMatrixRow, ...]:
        """rows"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> TearMatrix: ...
    def __deepcopy__(self, memo: object) -> TearMatrix: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class AssumedValue:
    """A value that a file leaves out, and that was taken from the defaults."""

    def __init__(
        self,
        *,
        path: str = ...,
        value: str = ...,
    ) -> None: ...
    def replace(self, **changes: object) -> AssumedValue: ...
    @property
    def path(self) -> str:
        """path"""
    @property
    def value(self) -> str:
        """as a file would give it ("0.9 rad")"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> AssumedValue: ...
    def __deepcopy__(self, memo: object) -> AssumedValue: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class SetupFile:
    """A setup as a file gives it."""

    @property
    def setup(self) -> Setup:
        """setup"""
    @property
    def assumed(self) -> tuple[AssumedValue, ...]:
        """what this bow makes use of and the file does not give"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> SetupFile: ...
    def __deepcopy__(self, memo: object) -> SetupFile: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class EnsembleMember:
    """One plausible bow of a sheet."""

    @property
    def setup(self) -> Setup:
        """setup"""
    @property
    def weight(self) -> float:
        """how plausible beside the others; all weights sum to one [fraction]"""
    @property
    def guesses(self) -> FloatArray:
        """where each of its guesses lies in what is plausible for it [fraction]; shape (n,)"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> EnsembleMember: ...
    def __deepcopy__(self, memo: object) -> EnsembleMember: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class BowEnsemble:
    """The central bow, and plausible ones around it."""

    @property
    def sheet(self) -> BowMeasurements:
        """sheet"""
    @property
    def base(self) -> Setup:
        """what was put around the limbs and cams"""
    @property
    def central(self) -> BuiltBow:
        """of the guesses' middle"""
    @property
    def members(self) -> tuple[EnsembleMember, ...]:
        """members"""
    @property
    def refused(self) -> int:
        """draws of guesses with which the sheet could not be met"""
    @property
    def effective_members(self) -> float:
        """1 / Σ weight²: how many members still count after narrowing"""
    @property
    def widening(self) -> float:
        """by which narrowed() multiplied the readings' errors so that three members count [fraction]; above one, the readings tell more than so few bows can show"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> BowEnsemble: ...
    def __deepcopy__(self, memo: object) -> BowEnsemble: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class EnsembleRange:
    """Where most members lie."""

    @property
    def low(self) -> float:
        """5 % of the weight lies below"""
    @property
    def median(self) -> float:
        """half of the weight"""
    @property
    def high(self) -> float:
        """5 % of the weight lies above"""
    @property
    def same_sign(self) -> bool:
        """no member within `low` to `high` has another sign"""
    @property
    def same_size(self) -> bool:
        """besides, `low` and `high` differ by a factor of two at most"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> EnsembleRange: ...
    def __deepcopy__(self, memo: object) -> EnsembleRange: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class EnsembleRow:
    """What one step of one adjustment does in all members."""

    @property
    def adjustment(self) -> Adjustment:
        """adjustment"""
    @property
    def up(self) -> EnsembleRange:
        """change of the tear per positive step, tail-high positive [m]"""
    @property
    def right(self) -> EnsembleRange:
        """tail-right positive [m]"""
    @property
    def up_of(self) -> FloatArray:
        """of every member, in their order [m]; shape (n,)"""
    @property
    def right_of(self) -> FloatArray:
        """of every member, in their order [m]; shape (n,)"""
    @property
    def brace_height_of(self) -> FloatArray:
        """change of brace height per step, of every member [m]; shape (n,)"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> EnsembleRow: ...
    def __deepcopy__(self, memo: object) -> EnsembleRow: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class EnsembleTears:
    """Tears of all members as they are, and what the adjustments do to them."""

    @property
    def up(self) -> EnsembleRange:
        """of the bow as built [m]"""
    @property
    def right(self) -> EnsembleRange:
        """of the bow as built [m]"""
    @property
    def up_of(self) -> FloatArray:
        """of every member [m]; shape (n,)"""
    @property
    def right_of(self) -> FloatArray:
        """of every member [m]; shape (n,)"""
    @property
    def rows(self) -> tuple[EnsembleRow, ...]:
        """in the order of adjustments()"""
    @property
    def limb_travel_of(self) -> FloatArray:
        """turn of the upper limb [rad]; shape (n,)"""
    @property
    def cam_turn_of(self) -> FloatArray:
        """turn of the upper cam [rad]; shape (n,)"""
    @property
    def full_axle_to_axle_of(self) -> FloatArray:
        """at the wall [m]; shape (n,)"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> EnsembleTears: ...
    def __deepcopy__(self, memo: object) -> EnsembleTears: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class EnsembleReading:
    """One reading, to be compared with what each member gives."""

    def __init__(
        self,
        *,
        kind: AnyReadingKind = "tear_up",
        adjustment: str = ...,
        steps: float = 1.0,
        draw_length: float = 0.0,
        value: float = 0.0,
        error: float = 0.0,
    ) -> None: ...
    def replace(self, **changes: object) -> EnsembleReading: ...
    @property
    def kind(self) -> ReadingKind:
        """kind"""
    @property
    def adjustment(self) -> str:
        """that was made, for changes"""
    @property
    def steps(self) -> float:
        """how many of its steps, for changes"""
    @property
    def draw_length(self) -> float:
        """AMO, for a draw force [m]"""
    @property
    def value(self) -> float:
        """what was read [SI]"""
    @property
    def error(self) -> float:
        """the truth lies within ± this in 19 of 20 readings [SI]; above 0"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> EnsembleReading: ...
    def __deepcopy__(self, memo: object) -> EnsembleReading: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class SettlingTest:
    """A measurement or test shot and what it would leave open."""

    @property
    def reading(self) -> EnsembleReading:
        """without a value: what to read, with the error that it usually has"""
    @property
    def instruction(self) -> str:
        """"put half a twist into the upper cam's cable, shoot again, …" """
    @property
    def remaining(self) -> float:
        """mean share of the spread of the tears per step that is left after it [fraction]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> SettlingTest: ...
    def __deepcopy__(self, memo: object) -> SettlingTest: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class EnsembleMove:
    """One way to take a tear away by one adjustment."""

    @property
    def adjustment(self) -> Adjustment:
        """adjustment"""
    @property
    def sideways(self) -> bool:
        """whether it is the tear's sideways part"""
    @property
    def steps(self) -> float:
        """whole steps that leave least in the middle of the members; within the limits"""
    @property
    def steps_needed(self) -> EnsembleRange:
        """that take all of it away, in each member"""
    @property
    def left(self) -> EnsembleRange:
        """what such a move leaves of that part of the tear [m]"""
    @property
    def agreement(self) -> Agreement:
        """agreement"""
    @property
    def instruction(self) -> str:
        """what to do, in words"""
    @property
    def settled_by(self) -> SettlingTest | None:
        """what would tell, where the members do not agree on sign and size"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> EnsembleMove: ...
    def __deepcopy__(self, memo: object) -> EnsembleMove: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class EnsemblePlan:
    """What can be said of a tear when only the bow's sheet is known."""

    @property
    def moves(self) -> tuple[EnsembleMove, ...]:
        """of the tear's larger part first; those that hold first, least effort first"""
    @property
    def cautions(self) -> tuple[Caution, ...]:
        """cautions"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> EnsemblePlan: ...
    def __deepcopy__(self, memo: object) -> EnsemblePlan: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class ParameterChange:
    """A parameter changed for one shot, known to whoever shot it."""

    def __init__(
        self,
        *,
        path: str = ...,
        value: float = 0.0,
        relative: bool = ...,
    ) -> None: ...
    def replace(self, **changes: object) -> ParameterChange: ...
    @property
    def path(self) -> str:
        """path"""
    @property
    def value(self) -> float:
        """value [SI]"""
    @property
    def relative(self) -> bool:
        """`value` is added to what the bow had, else it replaces it"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> ParameterChange: ...
    def __deepcopy__(self, memo: object) -> ParameterChange: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class TearObservation:
    """One hole in the paper. Its frame: up > 0 tail-high, right > 0 tail-right as the archer sees it."""

    def __init__(
        self,
        *,
        up: float = 0.0,
        right: float = 0.0,
        reading_error: float = ...,
        distance: float | None = None,
        label: str = "as found",
        changes: npt.ArrayLike | Sequence[ParameterChange] = ...,
        archer: str = ...,
        after: int = 0,
    ) -> None: ...
    def replace(self, **changes: object) -> TearObservation: ...
    @property
    def up(self) -> float:
        """up [m]"""
    @property
    def right(self) -> float:
        """right [m]"""
    @property
    def reading_error(self) -> float:
        """the truth lies within ± this in 19 of 20 readings [m]"""
    @property
    def distance(self) -> float | None:
        """of the paper from the grip [m], above 0; none: the setup's"""
    @property
    def label(self) -> str:
        """label"""
    @property
    def changes(self) -> tuple[ParameterChange, ...]:
        """against the bow as found: none, an adjustment, or a bare shaft"""
    @property
    def archer(self) -> str:
        """who shot it: empty for the bow's own archer, "machine", or a name for anybody else"""
    @property
    def after(self) -> int:
        """how many steps of the case's work were done before it; 0: the bow as it came in"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> TearObservation: ...
    def __deepcopy__(self, memo: object) -> TearObservation: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class CheckObservation:
    """A measurement on the bow. `what` is "stop_gap", "arrow_square", "lean_upper", "lean_lower",
"chronograph_speed", "peak_force", "draw_length", "let_off", "axle_to_axle", "brace_height", "rest_up_before_wall",
"vane_marks", or the path of a parameter ("rest.center_shot").
    """

    def __init__(
        self,
        *,
        what: str = ...,
        value: float = 0.0,
        error: float = 0.0,
        after: int = 0,
    ) -> None: ...
    def replace(self, **changes: object) -> CheckObservation: ...
    @property
    def what(self) -> str:
        """what"""
    @property
    def value(self) -> float:
        """value [SI]"""
    @property
    def error(self) -> float:
        """the truth lies within ± this in 19 of 20 measurements [SI]; above 0"""
    @property
    def after(self) -> int:
        """how many steps of the case's work were done before it"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> CheckObservation: ...
    def __deepcopy__(self, memo: object) -> CheckObservation: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class WorkStep:
    """A step that was done on the bow since it came in, and is to stay."""

    def __init__(
        self,
        *,
        adjustment: str = ...,
        steps: float = 0.0,
    ) -> None: ...
    def replace(self, **changes: object) -> WorkStep: ...
    @property
    def adjustment(self) -> str:
        """its name, as in adjustments(): "rest.height" """
    @property
    def steps(self) -> float:
        """trade steps, positive as the adjustment says"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> WorkStep: ...
    def __deepcopy__(self, memo: object) -> WorkStep: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class PriorWidth:
    """How far one adjustment is usually off, unnoticed."""

    def __init__(
        self,
        *,
        adjustment: str = ...,
        steps: float = 0.0,
    ) -> None: ...
    def replace(self, **changes: object) -> PriorWidth: ...
    @property
    def adjustment(self) -> str:
        """adjustment"""
    @property
    def steps(self) -> float:
        """standard deviation in trade steps; 0: not suspected"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> PriorWidth: ...
    def __deepcopy__(self, memo: object) -> PriorWidth: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Workshop:
    """What the person who asks has at hand. Next checks and plans keep to it."""

    def __init__(
        self,
        *,
        bow_press: bool = ...,
        draw_board: bool = ...,
        second_arrow: bool = ...,
        spare_spine: bool = ...,
        distances: npt.ArrayLike = ...,
    ) -> None: ...
    def replace(self, **changes: object) -> Workshop: ...
    @property
    def bow_press(self) -> bool:
        """with somebody who knows it"""
    @property
    def draw_board(self) -> bool:
        """else stops are watched while the bow is drawn by hand, and read more coarsely"""
    @property
    def second_arrow(self) -> bool:
        """one that may be stripped for a bare shaft, or shot beside the first"""
    @property
    def spare_spine(self) -> bool:
        """arrows of another spine, to try or to end with"""
    @property
    def distances(self) -> FloatArray:
        """of the paper, that can be shot from [m]; empty: any; shape (n,)"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Workshop: ...
    def __deepcopy__(self, memo: object) -> Workshop: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Case:
    """Everything known about one bow that gives trouble."""

    def __init__(
        self,
        *,
        setup: Setup = ...,
        tears: npt.ArrayLike | Sequence[TearObservation] = ...,
        checks: npt.ArrayLike | Sequence[CheckObservation] = ...,
        work: npt.ArrayLike | Sequence[WorkStep] = ...,
        priors: npt.ArrayLike | Sequence[PriorWidth] = ...,
        assumed: npt.ArrayLike | Sequence[AssumedValue] = ...,
        workshop: Workshop = ...,
        shelf_clearance: float | None = None,
    ) -> None: ...
    def replace(self, **changes: object) -> Case: ...
    @property
    def setup(self) -> Setup:
        """as it is supposed to be"""
    @property
    def tears(self) -> tuple[TearObservation, ...]:
        """tears"""
    @property
    def checks(self) -> tuple[CheckObservation, ...]:
        """checks"""
    @property
    def work(self) -> tuple[WorkStep, ...]:
        """what was done since it came in, in order; the plan goes on from there"""
    @property
    def priors(self) -> tuple[PriorWidth, ...]:
        """replacing the default ones"""
    @property
    def assumed(self) -> tuple[AssumedValue, ...]:
        """what the setup's file did not give, for the report"""
    @property
    def workshop(self) -> Workshop:
        """workshop"""
    @property
    def shelf_clearance(self) -> float | None:
        """Room between the riser's shelf and the lowest vane, or the shaft of a bare one, on the raised rest [m]; none: not measured. The plan lowers the arrow by no more."""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Case: ...
    def __deepcopy__(self, memo: object) -> Case: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class CaseRange:
    """The range in which a number of a case, or of a calibration, is believed. The one description of it for the readers
of files, for explain() and calibrate(), and for documentation.
    """

    @property
    def path(self) -> str:
        """"tears.distance"; "tears" is how many there may be"""
    @property
    def quantity(self) -> Quantity:
        """quantity"""
    @property
    def unit(self) -> str:
        """preferred in messages"""
    @property
    def minimum(self) -> float:
        """minimum [SI]"""
    @property
    def maximum(self) -> float:
        """maximum [SI]"""
    @property
    def doc(self) -> str:
        """doc"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> CaseRange: ...
    def __deepcopy__(self, memo: object) -> CaseRange: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Deviation:
    """One suspected parameter in the joint fit."""

    @property
    def adjustment(self) -> Adjustment:
        """adjustment"""
    @property
    def prior(self) -> float:
        """standard deviation before the observations [steps]"""
    @property
    def steps(self) -> float:
        """most probable [steps]"""
    @property
    def deviation(self) -> float:
        """standard deviation after them [steps]"""
    @property
    def low(self) -> float:
        """90 % interval [steps]"""
    @property
    def high(self) -> float:
        """high"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Deviation: ...
    def __deepcopy__(self, memo: object) -> Deviation: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Cause:
    """One parameter as the only one that is off."""

    @property
    def adjustment(self) -> Adjustment:
        """adjustment"""
    @property
    def steps(self) -> float:
        """amount that explains the observations best [steps]"""
    @property
    def low(self) -> float:
        """90 % interval, if this is the cause [steps]"""
    @property
    def high(self) -> float:
        """high"""
    @property
    def implausibility(self) -> float:
        """amount in usual prior widths"""
    @property
    def unexplained(self) -> float:
        """largest tear that it leaves unexplained, over all holes [m]"""
    @property
    def misfit(self) -> float:
        """mean square of what it leaves, in reading errors' standard deviations"""
    @property
    def probability(self) -> float:
        """among the single causes [fraction]"""
    @property
    def explains(self) -> bool:
        """what it leaves is what reading errors may leave"""
    @property
    def like_first(self) -> bool:
        """cannot be told from the first in the list by these observations"""
    @property
    def words(self) -> str:
        """words"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Cause: ...
    def __deepcopy__(self, memo: object) -> Cause: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class CausePair:
    """Two parameters that are off together."""

    @property
    def adjustment(self) -> tuple[Adjustment, Adjustment]:
        """adjustment"""
    @property
    def steps(self) -> tuple[float, float]:
        """steps [steps]"""
    @property
    def low(self) -> tuple[float, float]:
        """with high: holds 90 % of the posterior, if these are the causes [steps]"""
    @property
    def high(self) -> tuple[float, float]:
        """high [steps]"""
    @property
    def unexplained(self) -> float:
        """largest tear left unexplained [m]"""
    @property
    def probability(self) -> float:
        """among the pairs listed [fraction]"""
    @property
    def explains(self) -> bool:
        """explains"""
    @property
    def like_first(self) -> bool:
        """like first"""
    @property
    def words(self) -> str:
        """words"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> CausePair: ...
    def __deepcopy__(self, memo: object) -> CausePair: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class NextCheck:
    """A check or an extra shot that is not made yet."""

    @property
    def name(self) -> str:
        """"draw_board", "bare_shaft", …"""
    @property
    def instruction(self) -> str:
        """instruction"""
    @property
    def effort(self) -> float:
        """effort [min]"""
    @property
    def information(self) -> float:
        """expected [bit]"""
    @property
    def merit(self) -> float:
        """information per effort [bit/min]"""
    @property
    def expectation(self) -> str:
        """what the likeliest causes would show"""
    @property
    def checks(self) -> tuple[CheckObservation, ...]:
        """to be filled in and added to the case"""
    @property
    def tears(self) -> tuple[TearObservation, ...]:
        """to be filled in and added to the case"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> NextCheck: ...
    def __deepcopy__(self, memo: object) -> NextCheck: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class ForetoldHole:
    """A hole that is foretold, as it will be read: 90 % intervals hold what is not known of the bow, which explanation it
is, and the reader's error.
    """

    @property
    def distance(self) -> float:
        """of the paper [m]"""
    @property
    def up(self) -> float:
        """mean [m]"""
    @property
    def up_low(self) -> float:
        """up low [m]"""
    @property
    def up_high(self) -> float:
        """up high [m]"""
    @property
    def right(self) -> float:
        """mean [m]"""
    @property
    def right_low(self) -> float:
        """right low [m]"""
    @property
    def right_high(self) -> float:
        """right high [m]"""
    @property
    def clean(self) -> float:
        """probability that it is read within the reading error [fraction]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> ForetoldHole: ...
    def __deepcopy__(self, memo: object) -> ForetoldHole: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class NextOutcome:
    """What may be seen after the next thing is done, and what it would mean."""

    @property
    def seen(self) -> str:
        """seen"""
    @property
    def means(self) -> str:
        """means"""
    @property
    def probability(self) -> float:
        """probability [fraction]; those of all outcomes need not make 1"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> NextOutcome: ...
    def __deepcopy__(self, memo: object) -> NextOutcome: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class NextStep:
    """The one next thing to do.

**Rule.** A clean hole ends it; one that is clean by half is shot again. Where the setup is not this bow, or
observations contradict each other, nothing is turned; where it is not this bow, work after which the hole was
larger is taken back. A hand that is likelier to twist the bow than not is tried before a wrench. Stops that nobody
has looked at are looked at before a cable is turned, and stops that were seen open are set before anything else.
Otherwise the first step of the plan stands against the first check, by minutes: a step that is wrong costs its
effort twice, for it is taken back, and three minutes for a hole; it is wrong in the share of the plausible bows
whose hole it does not bring nearer to clean, or, by half, whose cause it leaves as it is. A check of I bits leaves
the share 2⁻ᴵ of that loss and costs its own effort. The check is next where it and what it leaves cost less than
the loss.
    """

    @property
    def kind(self) -> NextKind:
        """kind"""
    @property
    def instruction(self) -> str:
        """instruction"""
    @property
    def reason(self) -> str:
        """reason"""
    @property
    def effort(self) -> float:
        """effort [min]"""
    @property
    def work(self) -> tuple[WorkStep, ...]:
        """for the case, when it is done: of an adjustment, of a hand to keep, and to take back"""
    @property
    def checks(self) -> tuple[CheckObservation, ...]:
        """to be filled in and added to the case: of a check"""
    @property
    def tears(self) -> tuple[TearObservation, ...]:
        """the same; of an adjustment or a hand the hole after it"""
    @property
    def foretold(self) -> ForetoldHole | None:
        """of the first of `tears`"""
    @property
    def outcomes(self) -> tuple[NextOutcome, ...]:
        """likeliest meanings first; what nobody expects last"""
    @property
    def cautions(self) -> tuple[Caution, ...]:
        """cautions"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> NextStep: ...
    def __deepcopy__(self, memo: object) -> NextStep: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class PlanStep:
    """One step of the plan."""

    @property
    def adjustment(self) -> Adjustment:
        """adjustment"""
    @property
    def steps(self) -> float:
        """whole, but for sync, which may be set by half a step: a quarter twist"""
    @property
    def instruction(self) -> str:
        """instruction"""
    @property
    def reason(self) -> str:
        """reason"""
    @property
    def before(self) -> dict[str, float]:
        """full launches of the bow as explained"""
    @property
    def after(self) -> dict[str, float]:
        """full launches of the bow as explained"""
    @property
    def side_effects(self) -> tuple[str, ...]:
        """side effects"""
    @property
    def cautions(self) -> tuple[Caution, ...]:
        """cautions"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> PlanStep: ...
    def __deepcopy__(self, memo: object) -> PlanStep: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class PlannedHole:
    """A hole that is expected."""

    @property
    def distance(self) -> float:
        """of the paper [m]"""
    @property
    def up(self) -> float:
        """up [m]"""
    @property
    def right(self) -> float:
        """right [m]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> PlannedHole: ...
    def __deepcopy__(self, memo: object) -> PlannedHole: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Plan:
    """What to do, in the order of work."""

    @property
    def remedy(self) -> bool:
        """takes away a tear that nothing explains: what the steps undo is not its cause"""
    @property
    def possible(self) -> bool:
        """ends within the reading error, within limits, if the likeliest explanation holds"""
    @property
    def rounds(self) -> bool:
        """promises no clean hole, and takes much of the tear away: the first of several rounds"""
    @property
    def confidence(self) -> float:
        """probability that the true tear then is within the reading error [fraction]"""
    @property
    def distance(self) -> float:
        """of the paper [m]"""
    @property
    def reading_error(self) -> float:
        """reading error"""
    @property
    def first(self) -> tuple[str, ...]:
        """to be looked at before the first step"""
    @property
    def check_first(self) -> bool:
        """the first of the explanation's next_checks is to be made before the first step"""
    @property
    def steps(self) -> tuple[PlanStep, ...]:
        """steps"""
    @property
    def start(self) -> dict[str, float]:
        """predicted, before the first and after the last step"""
    @property
    def end(self) -> dict[str, float]:
        """predicted, before the first and after the last step"""
    @property
    def elsewhere(self) -> tuple[PlannedHole, ...]:
        """at the end, at the other distances that the bow as found was shot from"""
    @property
    def uncertainty_up(self) -> float:
        """half width of the 90 % interval of the tear at the end [m]"""
    @property
    def uncertainty_right(self) -> float:
        """uncertainty right [m]"""
    @property
    def sight(self) -> str:
        """how far the impact moves from start to end, for the sight to follow; may be empty"""
    @property
    def stop_rule(self) -> str:
        """stop rule"""
    @property
    def refusal(self) -> str:
        """why there is no plan, or why it does not reach its end; empty else"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Plan: ...
    def __deepcopy__(self, memo: object) -> Plan: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Explanation:
    """Answer of explain()."""

    @property
    def observed(self) -> Case:
        """observed"""
    @property
    def verdict(self) -> Verdict:
        """verdict"""
    @property
    def summary(self) -> str:
        """in one or two sentences"""
    @property
    def findings(self) -> tuple[str, ...]:
        """inseparable causes, holes that do not fit"""
    @property
    def deviations(self) -> tuple[Deviation, ...]:
        """joint fit, in the order of the adjustments"""
    @property
    def predicted(self) -> tuple[TearObservation, ...]:
        """the holes of the bow as fitted, in the order of those observed"""
    @property
    def misfit(self) -> float:
        """of the joint fit: chi-square over the number of readings"""
    @property
    def causes(self) -> tuple[Cause, ...]:
        """most probable first"""
    @property
    def pairs(self) -> tuple[CausePair, ...]:
        """the likeliest pairs, most probable first; empty if two faults are improbable"""
    @property
    def next_checks(self) -> tuple[NextCheck, ...]:
        """most worthwhile first; what the plan needs before all others"""
    @property
    def plan(self) -> Plan:
        """plan"""
    @property
    def next(self) -> NextStep:
        """of the two above, the one thing to do now; only where both are worked out"""
    @property
    def cautions(self) -> tuple[Caution, ...]:
        """cautions"""
    @property
    def assumptions(self) -> tuple[str, ...]:
        """assumptions"""
    @property
    def launches(self) -> int:
        """that it took"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Explanation: ...
    def __deepcopy__(self, memo: object) -> Explanation: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class CalibrationParameter:
    """One unknown: one parameter, or several that are moved alike (both limbs)."""

    def __init__(
        self,
        *,
        title: str = ...,
        paths: Sequence[str] = ...,
        width: float = 0.0,
        farthest: float = 3.0,
    ) -> None: ...
    def replace(self, **changes: object) -> CalibrationParameter: ...
    @property
    def title(self) -> str:
        """title"""
    @property
    def paths(self) -> tuple[str, ...]:
        """paths"""
    @property
    def width(self) -> float:
        """how far off it may well be: standard deviation before the measurements [SI]; above 0"""
    @property
    def farthest(self) -> float:
        """bound either way [widths]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> CalibrationParameter: ...
    def __deepcopy__(self, memo: object) -> CalibrationParameter: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class DrawForceMeasurement:
    """Force on the draw scale."""

    def __init__(
        self,
        *,
        draw_length: float = 0.0,
        force: float = 0.0,
        error: float = 2.0,
    ) -> None: ...
    def replace(self, **changes: object) -> DrawForceMeasurement: ...
    @property
    def draw_length(self) -> float:
        """AMO, that is grip pivot to nock plus 1 3/4 in [m]"""
    @property
    def force(self) -> float:
        """force [N]"""
    @property
    def error(self) -> float:
        """the truth lies within ± this in 19 of 20 measurements [N]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> DrawForceMeasurement: ...
    def __deepcopy__(self, memo: object) -> DrawForceMeasurement: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class SpeedMeasurement:
    """Speed of one arrow as a chronograph sees it, and how that arrow differs from the setup's."""

    def __init__(
        self,
        *,
        speed: float = 0.0,
        error: float = 0.5,
        changes: npt.ArrayLike | Sequence[ParameterChange] = ...,
    ) -> None: ...
    def replace(self, **changes: object) -> SpeedMeasurement: ...
    @property
    def speed(self) -> float:
        """speed [m/s]"""
    @property
    def error(self) -> float:
        """in 19 of 20 measurements [m/s]"""
    @property
    def changes(self) -> tuple[ParameterChange, ...]:
        """such as the mass of the point"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> SpeedMeasurement: ...
    def __deepcopy__(self, memo: object) -> SpeedMeasurement: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Measurements:
    """Everything measured on one bow."""

    def __init__(
        self,
        *,
        draw_forces: npt.ArrayLike | Sequence[DrawForceMeasurement] = ...,
        speeds: npt.ArrayLike | Sequence[SpeedMeasurement] = ...,
        tears: npt.ArrayLike | Sequence[TearObservation] = ...,
        checks: npt.ArrayLike | Sequence[CheckObservation] = ...,
    ) -> None: ...
    def replace(self, **changes: object) -> Measurements: ...
    @property
    def draw_forces(self) -> tuple[DrawForceMeasurement, ...]:
        """draw forces"""
    @property
    def speeds(self) -> tuple[SpeedMeasurement, ...]:
        """speeds"""
    @property
    def tears(self) -> tuple[TearObservation, ...]:
        """before and after a known change"""
    @property
    def checks(self) -> tuple[CheckObservation, ...]:
        """"stop_gap", "brace_height", "axle_to_axle", …"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Measurements: ...
    def __deepcopy__(self, memo: object) -> Measurements: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class CalibratedParameter:
    """One fitted unknown. Values are changes against the setup as given [SI]."""

    @property
    def parameter(self) -> CalibrationParameter:
        """parameter"""
    @property
    def change(self) -> float:
        """change [SI]"""
    @property
    def deviation(self) -> float:
        """standard deviation after the measurements [SI]"""
    @property
    def determined(self) -> bool:
        """the measurements narrowed it to less than 0.6 of its width"""
    @property
    def at_bound(self) -> bool:
        """at bound"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> CalibratedParameter: ...
    def __deepcopy__(self, memo: object) -> CalibratedParameter: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class CalibrationResidual:
    """One measurement and what the calibrated bow gives for it [SI]."""

    @property
    def what(self) -> str:
        """what"""
    @property
    def measured(self) -> float:
        """measured [SI]"""
    @property
    def computed(self) -> float:
        """computed [SI]"""
    @property
    def error(self) -> float:
        """in 19 of 20 [SI]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> CalibrationResidual: ...
    def __deepcopy__(self, memo: object) -> CalibrationResidual: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Calibration:
    """The calibrated bow, and how far it can be trusted."""

    @property
    def setup(self) -> Setup:
        """with its provenance extended; undetermined parameters stay near what was given"""
    @property
    def parameters(self) -> tuple[CalibratedParameter, ...]:
        """parameters"""
    @property
    def residuals(self) -> tuple[CalibrationResidual, ...]:
        """residuals"""
    @property
    def covariance(self) -> FloatArray:
        """Of the changes, after the measurements: parameters × parameters, row by row [SI].; shape (n,)"""
    @property
    def misfit(self) -> float:
        """mean square of the residuals in standard deviations; about 1 or less in a good fit"""
    @property
    def findings(self) -> tuple[str, ...]:
        """for people: not determined, at a bound, measurements that do not fit"""
    @property
    def launches(self) -> int:
        """launches"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Calibration: ...
    def __deepcopy__(self, memo: object) -> Calibration: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class CalibrationCase:
    """A bow and what was measured on it."""

    def __init__(
        self,
        *,
        setup: Setup = ...,
        measurements: Measurements = ...,
        assumed: npt.ArrayLike | Sequence[AssumedValue] = ...,
    ) -> None: ...
    def replace(self, **changes: object) -> CalibrationCase: ...
    @property
    def setup(self) -> Setup:
        """as far as it is known"""
    @property
    def measurements(self) -> Measurements:
        """measurements"""
    @property
    def assumed(self) -> tuple[AssumedValue, ...]:
        """what the setup's file did not give, for the report"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> CalibrationCase: ...
    def __deepcopy__(self, memo: object) -> CalibrationCase: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class IgnoranceStep:
    """How one number moves with a direction."""

    @property
    def path(self) -> str:
        """path"""
    @property
    def deviation(self) -> float:
        """per standard deviation of the direction [SI, or of the logarithm]"""
    @property
    def logarithmic(self) -> bool:
        """of a number that can only be positive"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> IgnoranceStep: ...
    def __deepcopy__(self, memo: object) -> IgnoranceStep: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class HeldStep:
    """How one number moves so that what is measured of the bow stays: by linear · z + square · z²."""

    @property
    def path(self) -> str:
        """path"""
    @property
    def linear(self) -> float:
        """linear [SI]"""
    @property
    def square(self) -> float:
        """square [SI]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> HeldStep: ...
    def __deepcopy__(self, memo: object) -> HeldStep: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class IgnoranceDirection:
    """One thing that is not known."""

    @property
    def name(self) -> str:
        """Path of the number; "limbs.both.damping" and "limbs.difference.damping" for halves; Knowledge::together for what is not known as one; the name of a bow measure."""
    @property
    def title(self) -> str:
        """for people"""
    @property
    def by(self) -> KnownBy:
        """by"""
    @property
    def reason(self) -> str:
        """why so well"""
    @property
    def steps(self) -> tuple[IgnoranceStep, ...]:
        """steps"""
    @property
    def held(self) -> tuple[HeldStep, ...]:
        """of a bow measure: what moves it"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> IgnoranceDirection: ...
    def __deepcopy__(self, memo: object) -> IgnoranceDirection: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Ignorance:
    """What is not known of a bow. A plain value; everything else is done by free functions."""

    @property
    def setup(self) -> Setup:
        """of which it is told, at z = 0"""
    @property
    def directions(self) -> tuple[IgnoranceDirection, ...]:
        """in the order of parameters(), then of bow_measures()"""
    @property
    def mean(self) -> FloatArray:
        """of z, of each direction; shape (n,)"""
    @property
    def covariance(self) -> FloatArray:
        """of z, directions × directions, row by row; shape (n,)"""
    @property
    def notes(self) -> tuple[str, ...]:
        """for people: what could not be held"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Ignorance: ...
    def __deepcopy__(self, memo: object) -> Ignorance: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class ShotReading:
    """What is read of a shot: an output, the draw force at a draw length, or a number of the setup."""

    def __init__(
        self,
        *,
        output: AnyOutput = "tear_up",
        distance: float | None = None,
        draw_length: float | None = None,
        number: str = ...,
    ) -> None: ...
    def replace(self, **changes: object) -> ShotReading: ...
    @property
    def output(self) -> Output:
        """output"""
    @property
    def distance(self) -> float | None:
        """of the paper, for a tear [m]; none: the setup's"""
    @property
    def draw_length(self) -> float | None:
        """the draw force at this AMO draw length is read, not the output [m]"""
    @property
    def number(self) -> str:
        """path of a number that is read in place of the output [SI]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> ShotReading: ...
    def __deepcopy__(self, memo: object) -> ShotReading: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class WatchedShot:
    """A shot that is watched, and what is read of it. Shots of one bow that follow each other share brace and draw."""

    def __init__(
        self,
        *,
        setup: Setup = ...,
        readings: npt.ArrayLike | Sequence[ShotReading] = ...,
    ) -> None: ...
    def replace(self, **changes: object) -> WatchedShot: ...
    @property
    def setup(self) -> Setup:
        """the bow as it is shot, with this arrow"""
    @property
    def readings(self) -> tuple[ShotReading, ...]:
        """readings"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> WatchedShot: ...
    def __deepcopy__(self, memo: object) -> WatchedShot: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Sensitivity:
    """How readings answer to what is not known. Rows are the readings of all shots in their order; columns the directions."""

    @property
    def value(self) -> FloatArray:
        """of each reading at the mean [SI]; shape (n,)"""
    @property
    def slope(self) -> FloatArray:
        """readings × directions, row by row: change per standard deviation [SI]; shape (n,)"""
    @property
    def curvature(self) -> FloatArray:
        """the same: second derivative [SI]; shape (n,)"""
    @property
    def doubts(self) -> tuple[str, ...]:
        """for people: what could be moved one way only, or not at all"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Sensitivity: ...
    def __deepcopy__(self, memo: object) -> Sensitivity: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class DrawnReadings:
    """Readings of one drawn bow; empty where it cannot be shot."""

    @property
    def value(self) -> FloatArray:
        """of each reading, as in Sensitivity [SI]; shape (n,)"""
    @property
    def failure(self) -> str:
        """why it could not be shot"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> DrawnReadings: ...
    def __deepcopy__(self, memo: object) -> DrawnReadings: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class MeasuredReading:
    """What was read of a watched shot."""

    def __init__(
        self,
        *,
        value: float = 0.0,
        error: float = 0.0,
    ) -> None: ...
    def replace(self, **changes: object) -> MeasuredReading: ...
    @property
    def value(self) -> float:
        """value [SI]"""
    @property
    def error(self) -> float:
        """the truth lies within ± this in 19 of 20 readings [SI]; above 0"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> MeasuredReading: ...
    def __deepcopy__(self, memo: object) -> MeasuredReading: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class PredictionShare:
    """The part that one thing which is not known has in an output."""

    @property
    def name(self) -> str:
        """of the direction"""
    @property
    def title(self) -> str:
        """for people"""
    @property
    def by(self) -> KnownBy:
        """by"""
    @property
    def share(self) -> float:
        """Of the output's variance, by straight lines [fraction]. All shares sum to one. After measurements that tie things together one may be negative: it takes away from what another does."""
    @property
    def slope(self) -> float:
        """change of the output per standard deviation [SI]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> PredictionShare: ...
    def __deepcopy__(self, memo: object) -> PredictionShare: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class NarrowingMeasurement:
    """Something to measure, and what it would leave of an output's interval."""

    @property
    def what(self) -> str:
        """path of a number (with "both" for halves), name of a direction, or of an output"""
    @property
    def instruction(self) -> str:
        """"measure the string: mass" """
    @property
    def remaining(self) -> float:
        """of the interval's width [fraction]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> NarrowingMeasurement: ...
    def __deepcopy__(self, memo: object) -> NarrowingMeasurement: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class PredictedOutput:
    """One output, as far as it is known."""

    @property
    def output(self) -> Output:
        """output"""
    @property
    def value(self) -> float:
        """of the setup as it stands [SI]"""
    @property
    def low(self) -> float:
        """5 % of the drawn bows lie below [SI]"""
    @property
    def median(self) -> float:
        """half of the drawn bows lie below [SI]"""
    @property
    def high(self) -> float:
        """5 % of the drawn bows lie above [SI]"""
    @property
    def deviation(self) -> float:
        """standard deviation of the drawn bows [SI]"""
    @property
    def linear_deviation(self) -> float:
        """the same by straight lines through the setup [SI]"""
    @property
    def linear(self) -> bool:
        """Straight lines give the interval to a fifth of its width. Where they do not, shares tell the order of what matters rather than amounts."""
    @property
    def shares(self) -> tuple[PredictionShare, ...]:
        """largest first"""
    @property
    def narrowing(self) -> tuple[NarrowingMeasurement, ...]:
        """best first"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> PredictedOutput: ...
    def __deepcopy__(self, memo: object) -> PredictedOutput: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Prediction:
    """What a bow will do, as far as it is known."""

    @property
    def name(self) -> str:
        """of the setup"""
    @property
    def outputs(self) -> tuple[PredictedOutput, ...]:
        """outputs"""
    @property
    def bows(self) -> int:
        """drawn and shot"""
    @property
    def failed(self) -> int:
        """of these: could not be shot, and are not counted in the intervals"""
    @property
    def distance(self) -> float:
        """of the paper [m]"""
    @property
    def notes(self) -> tuple[str, ...]:
        """for people"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Prediction: ...
    def __deepcopy__(self, memo: object) -> Prediction: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class FlightConditions:
    """The place of a long shot, and what an arrow is beyond what a launch needs. `flight_numbers()` tells the range,
meaning and source of every number to programs.
    """

    def __init__(
        self,
        *,
        temperature: float | None = None,
        altitude: float | None = None,
        wind_along: float = 0.0,
        wind_right: float = 0.0,
        wind_up: float = 0.0,
        gust: float = 0.0,
        gust_length: float = 30.0,
        gust_seed: int = 1,
        slope: float = 0.0,
        eye_height: float = 0.115,
        sight_radius: float = 0.9,
        drag_laminar: float = 1.5,
        drag_turbulent: float = 2.6,
        transition_reynolds: float = 20000.0,
        transition_width: float = 0.1,
        cross_flow_drag: float = 1.2,
        vane_cant: float = 0.02,
        head_area: float = 0.0,
        head_slope: float = 2.0,
    ) -> None: ...
    def replace(self, **changes: object) -> FlightConditions: ...
    @property
    def temperature(self) -> float | None:
        """of the air [K]; none: 288.15, or the setup's density if altitude is unset"""
    @property
    def altitude(self) -> float | None:
        """above the sea [m]; none: 0, or the setup's density if temperature is unset"""
    @property
    def wind_along(self) -> float:
        """wind along [m/s] positive: blows toward the target"""
    @property
    def wind_right(self) -> float:
        """wind right [m/s] positive: blows to the archer's right"""
    @property
    def wind_up(self) -> float:
        """wind up [m/s] positive: up, square to the line of sight"""
    @property
    def gust(self) -> float:
        """standard deviation of the wind along and across [m/s]; half of it up"""
    @property
    def gust_length(self) -> float:
        """way over which a gust forgets itself [m]"""
    @property
    def gust_seed(self) -> int:
        """the same seed gives the same gusts"""
    @property
    def slope(self) -> float:
        """of the line of sight [rad]; positive: uphill"""
    @property
    def eye_height(self) -> float:
        """of the eye above the arrow at full draw [m]"""
    @property
    def sight_radius(self) -> float:
        """from the eye to the sight's pin [m]"""
    @property
    def drag_laminar(self) -> float:
        """drag coefficient of the arrow below the transition, on the shaft's section"""
    @property
    def drag_turbulent(self) -> float:
        """the same above it"""
    @property
    def transition_reynolds(self) -> float:
        """Reynolds number on the shaft's diameter in the middle of the transition"""
    @property
    def transition_width(self) -> float:
        """of the transition, in the logarithm of the Reynolds number"""
    @property
    def cross_flow_drag(self) -> float:
        """drag coefficient of the shaft in flow across it, on length times diameter"""
    @property
    def vane_cant(self) -> float:
        """of the vanes to the shaft [rad]; positive: spins clockwise seen from behind"""
    @property
    def head_area(self) -> float:
        """planform of a bladed head's blades that acts in any one plane [m²]"""
    @property
    def head_slope(self) -> float:
        """normal-force coefficient of the blades per radian, on that area"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> FlightConditions: ...
    def __deepcopy__(self, memo: object) -> FlightConditions: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Air:
    """Air of a place."""

    @property
    def density(self) -> float:
        """density [kg/m³]"""
    @property
    def viscosity(self) -> float:
        """dynamic [Pa·s]"""
    @property
    def pressure(self) -> float:
        """pressure [Pa]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Air: ...
    def __deepcopy__(self, memo: object) -> Air: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Sight:
    """How the sight is set: the bow's shooting axis against the line of sight, bow upright."""

    def __init__(
        self,
        *,
        elevation: float = 0.0,
        windage: float = 0.0,
    ) -> None: ...
    def replace(self, **changes: object) -> Sight: ...
    @property
    def elevation(self) -> float:
        """elevation [rad] positive: the bow points above the line of sight"""
    @property
    def windage(self) -> float:
        """windage [rad] positive: to the archer's right of it"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Sight: ...
    def __deepcopy__(self, memo: object) -> Sight: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Aim:
    """How a shot is aimed."""

    def __init__(
        self,
        *,
        up: float = 0.0,
        right: float = 0.0,
        cant: float = 0.0,
    ) -> None: ...
    def replace(self, **changes: object) -> Aim: ...
    @property
    def up(self) -> float:
        """where the line of sight points from the target's centre [rad]"""
    @property
    def right(self) -> float:
        """right [rad] positive: to the archer's right"""
    @property
    def cant(self) -> float:
        """of the bow about the line of sight [rad]; positive: its top goes to the archer's right"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Aim: ...
    def __deepcopy__(self, memo: object) -> Aim: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class ArrowFault:
    """What is wrong with one arrow in flight."""

    def __init__(
        self,
        *,
        bend: float = 0.0,
        bend_angle: float = 0.0,
        vane_cant: float = 0.0,
    ) -> None: ...
    def replace(self, **changes: object) -> ArrowFault: ...
    @property
    def bend(self) -> float:
        """sag of the shaft's arc, end to end [m]"""
    @property
    def bend_angle(self) -> float:
        """where its middle bulges as it leaves the bow, from up to the archer's right [rad]"""
    @property
    def vane_cant(self) -> float:
        """added to the conditions' [rad]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> ArrowFault: ...
    def __deepcopy__(self, memo: object) -> ArrowFault: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class TargetPoint:
    """The arrow on its way, in the frame of the shot."""

    @property
    def time(self) -> float:
        """since release [s]"""
    @property
    def x(self) -> float:
        """mass centre [m]"""
    @property
    def y(self) -> float:
        """mass centre [m]"""
    @property
    def z(self) -> float:
        """mass centre [m]"""
    @property
    def velocity_x(self) -> float:
        """velocity x [m/s]"""
    @property
    def velocity_y(self) -> float:
        """velocity y [m/s]"""
    @property
    def velocity_z(self) -> float:
        """velocity z [m/s]"""
    @property
    def nose_x(self) -> float:
        """direction of the shaft, unit vector"""
    @property
    def nose_y(self) -> float:
        """direction of the shaft, unit vector"""
    @property
    def nose_z(self) -> float:
        """direction of the shaft, unit vector"""
    @property
    def rate_x(self) -> float:
        """how the shaft turns, without spin [rad/s]"""
    @property
    def rate_y(self) -> float:
        """how the shaft turns, without spin [rad/s]"""
    @property
    def rate_z(self) -> float:
        """how the shaft turns, without spin [rad/s]"""
    @property
    def spin(self) -> float:
        """spin [rad/s]"""
    @property
    def roll(self) -> float:
        """since the arrow was clear [rad]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> TargetPoint: ...
    def __deepcopy__(self, memo: object) -> TargetPoint: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Arrival:
    """The arrow's point on the target's face."""

    @property
    def time(self) -> float:
        """since release [s]"""
    @property
    def up(self) -> float:
        """above the centre [m]"""
    @property
    def right(self) -> float:
        """to the archer's right of it [m]"""
    @property
    def speed(self) -> float:
        """speed [m/s]"""
    @property
    def energy(self) -> float:
        """of the advance [J]"""
    @property
    def pitch(self) -> float:
        """of the shaft, nose above the line of sight [rad]"""
    @property
    def yaw(self) -> float:
        """nose to the right of it [rad]"""
    @property
    def spin(self) -> float:
        """spin [rad/s]"""
    @property
    def incidence(self) -> float:
        """largest angle between shaft and air on the way [rad]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Arrival: ...
    def __deepcopy__(self, memo: object) -> Arrival: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class SightMark:
    """One line of a sight tape."""

    @property
    def distance(self) -> float:
        """distance [m]"""
    @property
    def sight(self) -> Sight:
        """sight"""
    @property
    def below_first(self) -> float:
        """how far the pin is lower than for the first distance, sight_radius from the eye [m]"""
    @property
    def arrival(self) -> Arrival:
        """with that setting"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> SightMark: ...
    def __deepcopy__(self, memo: object) -> SightMark: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class ScatterSource:
    """One thing that differs from shot to shot or from arrow to arrow."""

    @property
    def name(self) -> str:
        """name "grip_torque" """
    @property
    def title(self) -> str:
        """for people: "torque of the hand" """
    @property
    def per_arrow(self) -> bool:
        """it belongs to an arrow and comes again with it; else to the shot"""
    @property
    def path(self) -> str:
        """parameter that it moves; empty: it moves the aim or the arrow in flight"""
    @property
    def relative(self) -> bool:
        """its deviation is of the parameter's logarithm"""
    @property
    def quantity(self) -> Quantity:
        """of the deviation"""
    @property
    def unit(self) -> str:
        """in which people give it"""
    @property
    def most(self) -> float:
        """largest standard deviation allowed [SI]"""
    @property
    def beginner(self) -> float:
        """usual standard deviation [SI]"""
    @property
    def club(self) -> float:
        """club [SI]"""
    @property
    def expert(self) -> float:
        """expert [SI]"""
    @property
    def machine(self) -> float:
        """machine [SI]"""
    @property
    def source(self) -> str:
        """of these figures"""
    @property
    def any_way(self) -> bool:
        """It points any way about the shaft, drawn for each arrow; the deviation is of its size."""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> ScatterSource: ...
    def __deepcopy__(self, memo: object) -> ScatterSource: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class ScatterWidth:
    """How far one source scatters."""

    def __init__(
        self,
        *,
        source: str = ...,
        deviation: float = 0.0,
    ) -> None: ...
    def replace(self, **changes: object) -> ScatterWidth: ...
    @property
    def source(self) -> str:
        """name of a ScatterSource"""
    @property
    def deviation(self) -> float:
        """standard deviation [SI]; a fraction where the source is relative"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> ScatterWidth: ...
    def __deepcopy__(self, memo: object) -> ScatterWidth: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Scatter:
    """What differs from shot to shot and from arrow to arrow."""

    def __init__(
        self,
        *,
        name: str = ...,
        widths: npt.ArrayLike | Sequence[ScatterWidth] = ...,
    ) -> None: ...
    def replace(self, **changes: object) -> Scatter: ...
    @property
    def name(self) -> str:
        """for reports"""
    @property
    def widths(self) -> tuple[ScatterWidth, ...]:
        """sources that are not named do not scatter"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Scatter: ...
    def __deepcopy__(self, memo: object) -> Scatter: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class SourceEffect:
    """What one source alone does to the impact, by full launches one standard deviation either way. A bent shaft strikes
elsewhere by which way it bulges: its change per unit is of a shaft that bulges up, that of a spine which differs
around the shaft of one that is stiffer up and down. Gusts, where there are any, are
a source too, by flights of one launch in drawn air; they have no change per unit.
    """

    @property
    def name(self) -> str:
        """name"""
    @property
    def title(self) -> str:
        """title"""
    @property
    def per_arrow(self) -> bool:
        """per arrow"""
    @property
    def deviation(self) -> float:
        """of the source [SI]"""
    @property
    def up_per_unit(self) -> float:
        """change of the impact per unit of the source [m per SI unit]"""
    @property
    def right_per_unit(self) -> float:
        """right per unit [m per SI unit]"""
    @property
    def deviation_up(self) -> float:
        """standard deviation of the impact from this source, by straight lines [m]"""
    @property
    def deviation_right(self) -> float:
        """deviation right [m]"""
    @property
    def share(self) -> float:
        """of the variance of all sources, both ways together, by straight lines [fraction]"""
    @property
    def straight(self) -> bool:
        """it does as much either way, to a fifth"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> SourceEffect: ...
    def __deepcopy__(self, memo: object) -> SourceEffect: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Forgiveness:
    """How a tune answers to the errors of archer and arrows."""

    @property
    def name(self) -> str:
        """of the setup"""
    @property
    def distance(self) -> float:
        """of the target [m]"""
    @property
    def sight(self) -> Sight:
        """setting for the shot without error"""
    @property
    def tear_up(self) -> float:
        """of that shot through paper [m]"""
    @property
    def tear_right(self) -> float:
        """tear right [m]"""
    @property
    def deviation_up(self) -> float:
        """of the impact, all sources together, by straight lines [m]"""
    @property
    def deviation_right(self) -> float:
        """deviation right [m]"""
    @property
    def sources(self) -> tuple[SourceEffect, ...]:
        """those that scatter, largest share first"""
    @property
    def notes(self) -> tuple[str, ...]:
        """for people"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Forgiveness: ...
    def __deepcopy__(self, memo: object) -> Forgiveness: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class Group:
    """Many shots at one target. Impacts are from the target's centre, for which the shot without error is sighted in."""

    @property
    def name(self) -> str:
        """of the setup"""
    @property
    def scatter(self) -> str:
        """its name"""
    @property
    def distance(self) -> float:
        """distance [m]"""
    @property
    def up(self) -> FloatArray:
        """impacts, in the order of the shots [m]; shape (n,)"""
    @property
    def right(self) -> FloatArray:
        """right [m]; shape (n,)"""
    @property
    def arrow(self) -> tuple[int, ...]:
        """which arrow was shot, from 0"""
    @property
    def shots(self) -> int:
        """shots drawn"""
    @property
    def failed(self) -> int:
        """of these: could not be shot, or did not arrive; left out above"""
    @property
    def touches(self) -> int:
        """of these: a vane strikes the launcher or a cable"""
    @property
    def bounces(self) -> int:
        """of these: the shaft meets the launcher again after it has left it"""
    @property
    def least_clearance(self) -> float | None:
        """of these: from launcher to vanes as they pass, negative where one has to give way [m]; none without vanes, or without a launcher to pass"""
    @property
    def mean_up(self) -> float:
        """middle of the group [m]"""
    @property
    def mean_right(self) -> float:
        """mean right [m]"""
    @property
    def deviation_up(self) -> float:
        """standard deviation [m]"""
    @property
    def deviation_right(self) -> float:
        """deviation right [m]"""
    @property
    def major(self) -> float:
        """standard deviation along the group's longest direction [m]"""
    @property
    def minor(self) -> float:
        """square to it [m]"""
    @property
    def angle(self) -> float:
        """of the longest direction, from level toward up on the right [rad], −π/2 to π/2"""
    @property
    def mean_radius(self) -> float:
        """mean distance from the middle [m]"""
    @property
    def width_of_six_up(self) -> float:
        """mean height of six shots in a row [m]; 2.534 standard deviations if normal"""
    @property
    def width_of_six_right(self) -> float:
        """mean width of six shots in a row [m]"""
    @property
    def spread_of_six(self) -> float:
        """mean largest distance between two of six shots in a row [m]"""
    @property
    def relative_error(self) -> float:
        """of the deviations, from so many shots with these arrows: one standard deviation [fraction]"""
    @property
    def straight_part(self) -> float:
        """of the impacts' variance that straight lines in the sources explain [fraction]"""
    @property
    def score(self) -> float | None:
        """mean of an arrow on the face, 10 to 0, a line touched counts"""
    @property
    def score_error(self) -> float | None:
        """its standard error"""
    @property
    def pattern(self) -> str:
        """in words of the trade: "wide, mostly from torque of the hand" """
    @property
    def forgiveness(self) -> Forgiveness:
        """what each source does alone"""
    @property
    def notes(self) -> tuple[str, ...]:
        """for people"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> Group: ...
    def __deepcopy__(self, memo: object) -> Group: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class TriedTune:
    """One tune that was looked at."""

    @property
    def steps(self) -> FloatArray:
        """of each free adjustment; shape (n,)"""
    @property
    def tear(self) -> float:
        """size of the hole [m]"""
    @property
    def deviation(self) -> float:
        """of the impacts, both ways together, by straight lines [m]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> TriedTune: ...
    def __deepcopy__(self, memo: object) -> TriedTune: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class ForgivingTune:
    """The tune with the smallest group among those that tear clean."""

    @property
    def setup(self) -> Setup:
        """setup"""
    @property
    def adjustments(self) -> tuple[str, ...]:
        """names of what was free"""
    @property
    def steps(self) -> FloatArray:
        """of each, from the setup as given; shape (n,)"""
    @property
    def instructions(self) -> tuple[str, ...]:
        """what to do"""
    @property
    def clean_steps(self) -> FloatArray:
        """of the plain clean tune: smallest hole, without regard to the group; shape (n,)"""
    @property
    def clean(self) -> Group:
        """the group of that"""
    @property
    def group(self) -> Group:
        """of the forgiving tune, the same shots"""
    @property
    def gain(self) -> float:
        """by how much the group is smaller than the plain clean tune's [fraction of its size]"""
    @property
    def gain_error(self) -> float:
        """standard error of that, from so many shots"""
    @property
    def frontier(self) -> tuple[TriedTune, ...]:
        """no other tune has both a smaller hole and a smaller group; smallest hole first"""
    @property
    def tried(self) -> int:
        """tunes looked at"""
    @property
    def cautions(self) -> tuple[Caution, ...]:
        """before anything is done"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> ForgivingTune: ...
    def __deepcopy__(self, memo: object) -> ForgivingTune: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class SourceShare:
    """What one source has of the variance of the impacts, both ways together. A share is an estimate without bias: one
that is nearly nothing may come out below zero, within its error.
    """

    @property
    def name(self) -> str:
        """name"""
    @property
    def title(self) -> str:
        """title"""
    @property
    def alone(self) -> float:
        """by itself, averaged over all others: its main effect [fraction]"""
    @property
    def straight(self) -> float:
        """of `alone`, what a straight line in it explains [fraction]"""
    @property
    def together(self) -> float:
        """in its products with others, each counted whole [fraction]"""
    @property
    def error(self) -> float:
        """standard error of `alone` [fraction]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> SourceShare: ...
    def __deepcopy__(self, memo: object) -> SourceShare: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class PairShare:
    """What two sources have together that neither has alone: their interaction."""

    @property
    def first(self) -> str:
        """name of a source"""
    @property
    def second(self) -> str:
        """name of the other"""
    @property
    def share(self) -> float:
        """share [fraction]"""
    @property
    def error(self) -> float:
        """its standard error [fraction]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> PairShare: ...
    def __deepcopy__(self, memo: object) -> PairShare: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class VarianceShares:
    """The variance of the impacts, shared out."""

    @property
    def name(self) -> str:
        """of the setup"""
    @property
    def scatter(self) -> str:
        """its name"""
    @property
    def distance(self) -> float:
        """distance [m]"""
    @property
    def shots(self) -> int:
        """shots drawn"""
    @property
    def failed(self) -> int:
        """of these: left out"""
    @property
    def deviation_up(self) -> float:
        """standard deviation of the impacts [m]"""
    @property
    def deviation_right(self) -> float:
        """deviation right [m]"""
    @property
    def sources(self) -> tuple[SourceShare, ...]:
        """largest main effect first; gusts, where there are any, too"""
    @property
    def pairs(self) -> tuple[PairShare, ...]:
        """those that stand out from their error, largest first"""
    @property
    def pairs_together(self) -> float:
        """of all pairs, also those that do not stand out [fraction]"""
    @property
    def rest(self) -> float:
        """neither of one nor of two: three at once, contacts that come and go [fraction]"""
    @property
    def sum(self) -> float:
        """of sources, pairs and rest: 1 but for its error"""
    @property
    def sum_error(self) -> float:
        """standard error of `sum`, that of a variance from so many shots"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> VarianceShares: ...
    def __deepcopy__(self, memo: object) -> VarianceShares: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class LineAnswer:
    """How far one line moves the tear."""

    @property
    def adjustment(self) -> str:
        """name of the adjustment by which the line is turned"""
    @property
    def up(self) -> float:
        """change of the tear by a quarter twist more [m], tail up positive"""
    @property
    def right(self) -> float:
        """right [m], tail to the archer's right positive"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> LineAnswer: ...
    def __deepcopy__(self, memo: object) -> LineAnswer: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class TriedSetting:
    """One setting that was looked at."""

    @property
    def steps(self) -> FloatArray:
        """of each free number; shape (n,)"""
    @property
    def tear(self) -> float:
        """size of the hole [m]"""
    @property
    def sensitivity(self) -> float:
        """of the tear, all lines together [m]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> TriedSetting: ...
    def __deepcopy__(self, memo: object) -> TriedSetting: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class LeastSensitive:
    """The setting whose tear answers least."""

    @property
    def setup(self) -> Setup:
        """setup"""
    @property
    def paths(self) -> tuple[str, ...]:
        """of what was free"""
    @property
    def steps(self) -> FloatArray:
        """of each, from the setup as given; shape (n,)"""
    @property
    def values(self) -> FloatArray:
        """of each [SI]; shape (n,)"""
    @property
    def tear_up(self) -> float:
        """tear up [m]"""
    @property
    def tear_right(self) -> float:
        """tear right [m]"""
    @property
    def sensitivity(self) -> float:
        """root of the sum of squares of what all lines do [m]"""
    @property
    def sensitivity_before(self) -> float:
        """of the setup as given [m]"""
    @property
    def lines(self) -> tuple[LineAnswer, ...]:
        """of the setting found"""
    @property
    def lines_before(self) -> tuple[LineAnswer, ...]:
        """of the setup as given"""
    @property
    def frontier(self) -> tuple[TriedSetting, ...]:
        """no other has both a smaller hole and a smaller answer; smallest hole first"""
    @property
    def tried(self) -> int:
        """settings looked at"""
    @property
    def cautions(self) -> tuple[Caution, ...]:
        """before anything is built or shot"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> LeastSensitive: ...
    def __deepcopy__(self, memo: object) -> LeastSensitive: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class ArrowChoice:
    """An arrow that can be bought; what is not given stays as the setup has it."""

    def __init__(
        self,
        *,
        spine: float | None = None,
        point_mass: float | None = None,
        length: float | None = None,
    ) -> None: ...
    def replace(self, **changes: object) -> ArrowChoice: ...
    @property
    def spine(self) -> float | None:
        """static spine [m]"""
    @property
    def point_mass(self) -> float | None:
        """point mass [kg]"""
    @property
    def length(self) -> float | None:
        """groove of the nock to the front end of the shaft [m]"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> ArrowChoice: ...
    def __deepcopy__(self, memo: object) -> ArrowChoice: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class ArrowRow:
    """What one choice does."""

    @property
    def choice(self) -> ArrowChoice:
        """choice"""
    @property
    def title(self) -> str:
        """for people: "0.400 in, 100 gr, 28.5 in" """
    @property
    def failure(self) -> str:
        """why it cannot be shot; everything below is zero then"""
    @property
    def mass(self) -> float:
        """of the whole arrow [kg]"""
    @property
    def mass_per_peak(self) -> float:
        """over the bow's peak force; 5 gr per lbf are 7.28e-5 [kg/N]"""
    @property
    def light(self) -> bool:
        """so light that the shot is close to a dry fire: not to be shot"""
    @property
    def speed(self) -> float:
        """as it leaves the string [m/s]"""
    @property
    def tear_up(self) -> float:
        """tear up [m]"""
    @property
    def tear_right(self) -> float:
        """tear right [m]"""
    @property
    def tear_up_low(self) -> float:
        """5 % of the bows that this one may be tear lower [m]; the tear itself if not drawn"""
    @property
    def tear_up_high(self) -> float:
        """5 % of them tear higher [m]"""
    @property
    def tear_right_low(self) -> float:
        """the same sideways [m]"""
    @property
    def tear_right_high(self) -> float:
        """tear right high [m]"""
    @property
    def vane_clearance(self) -> float | None:
        """launcher to vanes as they pass, negative: they can strike [m]"""
    @property
    def touches(self) -> float:
        """share of the shots in which a vane would touch [fraction]"""
    @property
    def near_size(self) -> float:
        """of the group at the nearer distance: both standard deviations' root mean square [m]"""
    @property
    def far_size(self) -> float:
        """the same at the farther one [m]"""
    @property
    def far_width(self) -> float:
        """mean width of six there [m]"""
    @property
    def far_height(self) -> float:
        """mean height of six there [m]"""
    @property
    def near_elevation(self) -> float:
        """of the sight [rad]"""
    @property
    def far_elevation(self) -> float:
        """far elevation [rad]"""
    @property
    def near_mark(self) -> float:
        """Mark of the sight: how far its pin stands lower than for the first choice that can be shot at the nearer distance, at the conditions' sight_radius from the eye [m]."""
    @property
    def far_mark(self) -> float:
        """the same at the farther distance [m]"""
    @property
    def larger(self) -> float:
        """than the smallest group of all choices, at the farther distance, same shots [fraction]"""
    @property
    def larger_error(self) -> float:
        """its standard error [fraction]"""
    @property
    def as_good(self) -> bool:
        """not distinguishable from the best: within two standard errors, or 2 %"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> ArrowRow: ...
    def __deepcopy__(self, memo: object) -> ArrowRow: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...


@final
class ArrowTable:
    """All choices."""

    @property
    def name(self) -> str:
        """of the setup"""
    @property
    def scatter(self) -> str:
        """its name"""
    @property
    def near_distance(self) -> float:
        """near distance [m]"""
    @property
    def far_distance(self) -> float:
        """far distance [m]"""
    @property
    def bows(self) -> int:
        """drawn for the tears"""
    @property
    def rows(self) -> tuple[ArrowRow, ...]:
        """in the order of the choices"""
    @property
    def advice(self) -> str:
        """in one or two sentences"""
    @property
    def notes(self) -> tuple[str, ...]:
        """notes"""
    def __eq__(self, other: object, /) -> bool: ...
    __hash__: ClassVar[None]  # type: ignore[assignment]
    def __copy__(self) -> ArrowTable: ...
    def __deepcopy__(self, memo: object) -> ArrowTable: ...
    def __getstate__(self) -> dict[str, Any]: ...
    def __setstate__(self, state: dict[str, Any]) -> None: ...
    def _repr_html_(self) -> str: ...
