"""The Wheelwright bow as a MuJoCo model: bodies, hinges and tendons that wrap round off-centre cylinders.

Written from the parameter table, not from the Lagrange oracle. MuJoCo finds lengths, moment arms, mass matrix and velocity
terms by its own means (recursive multibody algorithms, tendon wrapping).

Wrapping. MuJoCo takes a tendon round a cylinder between two sites outside it. The peg is a site on the wheel, a short stub
along the tangent before the normal `PEG`, so that the contact there stays put. Tried on MuJoCo 4.0.0 (see README): with the
side site in the right window of directions it wraps exactly up to nearly 1.5 pi and lets go on the side wanted; a wrap
beyond that silently becomes a straight line. Hence pegs close behind the range that is used, side sites far off on the riser,
and `check_wrapping`, which refuses a state in which a tendon has left its wheel.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import mujoco
import numpy as np
from numpy.typing import NDArray

from bow import Bow, Half

Vector = NDArray[np.float64]

STRING_PEG = -1.10  # rad, normal in the wheel's frame where the string is pegged
CABLE_PEG = 0.50  # rad
STUB = 1e-3  # m, straight piece between peg site and first contact
STRING_SIDE, CABLE_SIDE = math.radians(103.0), math.radians(65.0)  # directions of the side sites in the side frame
FAR = 100.0  # m, distance of the side sites: far, so that their direction hardly changes
TINY_INERTIA = 1e-12  # kg m^2: MuJoCo wants every body to have some; the limb's mass is a point

JOINTS = ("riser_x", "riser_y", "riser_pitch", "limb_u", "cam_u", "limb_l", "cam_l", "nock_x", "nock_y")
RISER_X, RISER_Y, RISER_PITCH, LIMB_U, CAM_U, LIMB_L, CAM_L, NOCK_X, NOCK_Y = range(9)
TENDONS = ("string_u", "string_l", "cable_u", "cable_l")


def vec(*values: float) -> str:
    """Numbers as an MJCF attribute, to full precision."""
    return " ".join(repr(float(v)) for v in values)


def peg(half: Half, track: str, normal: float, sense: int) -> tuple[float, float]:
    """Peg site in the wheel's frame; the tendon runs from it in growing (sense = 1) or falling normals."""
    radius, offset = getattr(half, f"{track}_radius"), getattr(half, f"{track}_offset")
    direction = getattr(half, f"{track}_offset_angle")
    x = offset * math.cos(direction) + radius * math.cos(normal) + sense * STUB * math.sin(normal)
    y = offset * math.sin(direction) + radius * math.sin(normal) - sense * STUB * math.cos(normal)
    return x, y


def half_xml(half: Half, name: str, s: int) -> str:
    """Limb with its wheel; s = 1 upper, s = -1 lower (mirrored: y and hinge axes change sign)."""
    inertia = half.cam_inertia - half.cam_mass * (half.cam_cm_x**2 + half.cam_cm_y**2)
    sx, sy = peg(half, "string", STRING_PEG, 1)
    cx, cy = peg(half, "cable", CABLE_PEG, -1)
    string_centre = (
        half.string_offset * math.cos(half.string_offset_angle),
        s * half.string_offset * math.sin(half.string_offset_angle),
    )
    cable_centre = (
        half.cable_offset * math.cos(half.cable_offset_angle),
        s * half.cable_offset * math.sin(half.cable_offset_angle),
    )
    return f"""
   <body name="limb_{name}" pos="{vec(half.pivot_x, s * half.pivot_y, 0)}">
    <joint name="limb_{name}" axis="0 0 {s}" stiffness="{vec(half.limb_stiffness)}" springref="{vec(half.limb_free_angle)}"/>
    <inertial pos="{vec(0, s * half.limb_length, 0)}" mass="{vec(half.limb_mass)}" diaginertia="{vec(*[TINY_INERTIA] * 3)}"/>
    <site name="yoke_{name}" pos="{vec(0, s * half.limb_length, 0)}"/>
    <body name="cam_{name}" pos="{vec(0, s * half.limb_length, 0)}">
     <joint name="cam_{name}" axis="0 0 {s}"/>
     <inertial pos="{vec(half.cam_cm_x, s * half.cam_cm_y, 0)}" mass="{vec(half.cam_mass)}" diaginertia="{vec(*[inertia] * 3)}"/>
     <geom name="let_out_{name}" type="cylinder" size="{vec(half.string_radius, 0.005)}" pos="{vec(*string_centre, 0)}"/>
     <geom name="take_up_{name}" type="cylinder" size="{vec(half.cable_radius, 0.005)}" pos="{vec(*cable_centre, 0)}"/>
     <site name="string_peg_{name}" pos="{vec(sx, s * sy, 0)}"/>
     <site name="cable_peg_{name}" pos="{vec(cx, s * cy, 0)}"/>
    </body>
   </body>
   <site name="string_side_{name}" pos="{vec(FAR * math.cos(STRING_SIDE), s * FAR * math.sin(STRING_SIDE), 0)}"/>
   <site name="cable_side_{name}" pos="{vec(FAR * math.cos(CABLE_SIDE), s * FAR * math.sin(CABLE_SIDE), 0)}"/>"""


def tendon_xml(half: Half, name: str, other: str) -> str:
    """String half, cable and draw stop. A dead band from 0 to the rest length makes a line that can only pull."""
    string_rest = half.string_length + half.string_radius * (half.string_anchor_angle - STRING_PEG) + STUB
    cable_rest = half.cable_length - half.cable_radius * (half.cable_anchor_angle - CABLE_PEG) + STUB
    return f"""
  <spatial name="string_{name}" stiffness="{vec(half.string_ea / half.string_length)}" springlength="0 {vec(string_rest)}">
   <site site="string_peg_{name}"/><geom geom="let_out_{name}" sidesite="string_side_{name}"/><site site="nock"/>
  </spatial>
  <spatial name="cable_{name}" stiffness="{vec(half.cable_ea / half.cable_length)}" springlength="0 {vec(cable_rest)}">
   <site site="cable_peg_{name}"/><geom geom="take_up_{name}" sidesite="cable_side_{name}"/><site site="yoke_{other}"/>
  </spatial>
  <fixed name="stop_{name}" stiffness="{vec(half.stop_stiffness)}" springlength="-9 {vec(half.stop_radius * half.stop_angle)}">
   <joint joint="cam_{name}" coef="{vec(half.stop_radius)}"/>
  </fixed>"""


def bow_xml(bow: Bow, timestep: float) -> str:
    """The whole MJCF document. Cam hinges are relative to their limb: cam = theta - beta."""
    riser_inertia = vec(*[bow.riser_inertia] * 3)
    return f"""<mujoco model="wheelwright">
 <option integrator="RK4" timestep="{timestep!r}" gravity="0 0 0"><flag contact="disable" energy="enable"/></option>
 <compiler angle="radian" inertiafromgeom="false"/>
 <default><geom contype="0" conaffinity="0"/></default>
 <worldbody>
  <body name="riser">
   <joint name="riser_x" type="slide" axis="1 0 0" stiffness="{vec(bow.hand_stiffness_x)}"/>
   <joint name="riser_y" type="slide" axis="0 1 0" stiffness="{vec(bow.hand_stiffness_y)}"/>
   <joint name="riser_pitch" axis="0 0 1" stiffness="{vec(bow.hand_stiffness_pitch)}"/>
   <inertial pos="{vec(bow.riser_cm_x, bow.riser_cm_y, 0)}" mass="{vec(bow.riser_mass)}" diaginertia="{riser_inertia}"/>
{half_xml(bow.upper, "u", 1)}
{half_xml(bow.lower, "l", -1)}
  </body>
  <body name="nock">
   <joint name="nock_x" type="slide" axis="1 0 0"/>
   <joint name="nock_y" type="slide" axis="0 1 0"/>
   <inertial pos="0 0 0" mass="{vec(bow.string_mass + bow.arrow_mass)}" diaginertia="{vec(*[TINY_INERTIA] * 3)}"/>
   <site name="nock"/>
  </body>
 </worldbody>
 <tendon>{tendon_xml(bow.upper, "u", "l")}{tendon_xml(bow.lower, "l", "u")}
 </tendon>
</mujoco>"""


class WrappingError(RuntimeError):
    """A tendon has left its wheel or gone round the wrong side."""


@dataclass
class Engine:
    """A compiled model with its data. Positions are in the order of JOINTS."""

    bow: Bow
    timestep: float = 1e-6

    def __post_init__(self) -> None:
        self.model = mujoco.MjModel.from_xml_string(bow_xml(self.bow, self.timestep))
        self.data = mujoco.MjData(self.model)
        names = tuple(self.model.joint(i).name for i in range(self.model.njnt))
        if names != JOINTS:
            raise AssertionError(f"joint order {names}")
        self.lines = [self.model.tendon(name).id for name in TENDONS]
        self.centres = [self.model.geom(name).id for name in ("let_out_u", "let_out_l", "take_up_u", "take_up_l")]

    def spring_force(self, q: Vector) -> Vector:
        """Generalised force of all springs (hand included) at rest at `q`."""
        self.data.qpos[:] = q
        self.data.qvel[:] = 0.0
        mujoco.mj_forward(self.model, self.data)
        return np.array(self.data.qfrc_passive)

    def check_wrapping(self) -> None:
        """Every line touches its wheel twice, and leaves strings on the archer's side, cables on the target's side."""
        for line, geom in zip(self.lines, self.centres, strict=True):
            first = self.data.ten_wrapadr[line]
            if self.data.ten_wrapnum[line] != 4:
                raise WrappingError(f"{self.model.tendon(line).name} does not wrap")
            contact = self.data.wrap_xpos.reshape(-1, 3)[first + 2] - self.data.geom_xpos[geom]
            side = -1.0 if geom in self.centres[:2] else 1.0
            if side * contact[0] <= 0.0:
                raise WrappingError(f"{self.model.tendon(line).name} leaves its wheel on the wrong side")

    def tensions(self) -> Vector:
        """String and cable tensions [N] at the current state, in the order of TENDONS."""
        rest = self.model.tendon_lengthspring[self.lines, 1]
        stretch = np.maximum(self.data.ten_length[self.lines] - rest, 0.0)
        return np.asarray(self.model.tendon_stiffness[self.lines] * stretch)
