"""The enumerations of the C++ library as text: `launch.ended_by == "arrow_clear"`; a test compares with the headers."""

from __future__ import annotations

from enum import StrEnum, auto

__all__ = [
    "AdjustmentGroup",
    "Agreement",
    "Archer",
    "BraceRule",
    "CableEnd",
    "Cabling",
    "CautionKind",
    "DrawHold",
    "EventKind",
    "Handedness",
    "Integrator",
    "KnownBy",
    "LaunchEnd",
    "NextKind",
    "Output",
    "Quantity",
    "ReadingKind",
    "RestKind",
    "Side",
    "StopKind",
    "StopPegs",
    "TradeUnit",
    "Verdict",
]


class Archer(StrEnum):
    """Who shoots: for the usual scatter."""

    beginner = auto()
    club = auto()
    expert = auto()
    machine = auto()


class BraceRule(StrEnum):
    """What is moved for the brace height when a bow is fitted to its cams."""

    turn_cams = auto()
    move_pockets = auto()


class DrawHold(StrEnum):
    """Where the bow is held while it is drawn."""

    archer = auto()
    draw_board = auto()


class Integrator(StrEnum):
    """Integrators that the launch can use."""

    nystrom = auto()
    runge_kutta_4 = auto()
    dormand_prince = auto()


class LaunchEnd(StrEnum):
    """Why a launch ended."""

    arrow_clear = auto()
    time_limit = auto()
    track_ended = auto()


class EventKind(StrEnum):
    """What happened at an event of a launch."""

    upper_stop_open = auto()
    lower_stop_open = auto()
    rest_contact_lost = auto()
    rest_contact_made = auto()
    drop_started = auto()
    drop_ended = auto()
    nock_left_string = auto()
    tail_passed_rest = auto()
    upper_cable_slack = auto()
    upper_cable_taut = auto()
    lower_cable_slack = auto()
    lower_cable_taut = auto()


class Handedness(StrEnum):
    """The hand that draws the string."""

    right = auto()
    left = auto()


class StopKind(StrEnum):
    """What the draw stop's peg touches."""

    none = auto()
    limb = auto()
    cable = auto()


class CableEnd(StrEnum):
    """The end of a cable that is not taken up."""

    yoke = auto()
    let_out = auto()


class Cabling(StrEnum):
    """How the cables run: two yokes, one yoke and one let-out cable, or both let out."""

    yoke = auto()
    hybrid = auto()
    crossed = auto()


class StopPegs(StrEnum):
    """What ends the draw: pegs against the limbs, against the cables, or one of either."""

    limb = auto()
    cable = auto()
    both = auto()


class ReadingKind(StrEnum):
    """What can be read at a bow to narrow its ensemble."""

    draw_force = auto()
    speed = auto()
    tear_up = auto()
    tear_right = auto()
    tear_up_change = auto()
    tear_right_change = auto()
    brace_height_change = auto()
    limb_travel = auto()
    cam_turn = auto()
    full_axle_to_axle = auto()


class Agreement(StrEnum):
    """How far the bows of one sheet agree on what a move does."""

    sign_and_size = auto()
    sign = auto()
    nothing = auto()


class RestKind(StrEnum):
    """What the shaft lies on; the last two drop away."""

    none = auto()
    blade = auto()
    capture = auto()
    limb_driven = auto()
    cable_driven = auto()


class Side(StrEnum):
    """A half of the bow."""

    upper = auto()  # type: ignore[assignment]  # takes the place of str.upper
    lower = auto()  # type: ignore[assignment]


class AdjustmentGroup(StrEnum):
    """Where an adjustment belongs in the order of work."""

    sync = auto()
    geometry = auto()
    timing = auto()
    clearance = auto()
    height = auto()
    nocking_point = auto()
    lateral = auto()
    arrow = auto()
    technique = auto()


class TradeUnit(StrEnum):
    """The unit in which people count an adjustment."""

    twist = auto()
    inch = auto()
    turn = auto()
    grain = auto()
    spine = auto()
    newton_metre = auto()
    riser_flex = auto()
    feet_per_second = auto()
    degree = auto()


class Output(StrEnum):
    """The numbers of one shot that adjustments are judged by."""

    tear_up = auto()
    tear_right = auto()
    stop_gap = auto()
    draw_length = auto()
    peak_force = auto()
    let_off = auto()
    exit_speed = auto()
    shaft_clearance = auto()
    fletching_clearance = auto()
    lean_upper = auto()
    lean_lower = auto()
    cable_clearance = auto()
    impact_up = auto()
    impact_right = auto()
    arrow_square = auto()
    chronograph_speed = auto()
    axle_to_axle = auto()
    brace_height = auto()
    rest_up_before_wall = auto()
    vane_marks = auto()
    nock_travel = auto()


class CautionKind(StrEnum):
    """What a caution is about."""

    general = auto()
    bow_press = auto()
    overdraw = auto()
    limb_bolt = auto()
    cam_lean = auto()
    rest_cord = auto()
    light_arrow = auto()
    short_arrow = auto()
    vane_strikes_rest = auto()
    cable_strike = auto()
    arrow_stays = auto()
    impossible_result = auto()
    unmet_measurement = auto()


class Verdict(StrEnum):
    """What the observations say as a whole."""

    explained = auto()
    unusual = auto()
    unexplained = auto()
    clean = auto()
    useless = auto()
    contradictory = auto()
    not_this_bow = auto()


class NextKind(StrEnum):
    """What there is to do next."""

    stop = auto()
    check = auto()
    adjustment = auto()
    hand = auto()
    look_at_setup = auto()
    nothing = auto()


class Quantity(StrEnum):
    """What a number measures; each has its own units (`units_of`)."""

    dimensionless = auto()
    percent = auto()
    length = auto()
    mass = auto()
    force = auto()
    angle = auto()
    time = auto()
    frequency = auto()
    speed = auto()
    angular_speed = auto()
    acceleration = auto()
    stiffness = auto()
    torsion_stiffness = auto()
    compliance = auto()
    damping = auto()
    torsion_damping = auto()
    inertia = auto()
    density = auto()
    linear_density = auto()
    bending_stiffness = auto()
    torque = auto()
    energy = auto()
    spine = auto()
    turns = auto()
    twists = auto()


class KnownBy(StrEnum):
    """How a number came to be known, best first."""

    exact = auto()
    measured = auto()
    specified = auto()
    typical = auto()
    guessed = auto()
