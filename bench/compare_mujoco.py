"""One shot of the eccentric-wheel bow in MuJoCo, with a rigid arrow that slides off a rest by contact.

The bow is that of tests/reference/wheelwright (its oracle builds the MJCF); here the point mass at the nock becomes an
arrow on a hinge, and the riser gets a launcher under the shaft.
"""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass
from pathlib import Path

import mujoco
import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "reference" / "wheelwright"))
from bow import Bow, read_bow
from mujoco_bow import NOCK_X, RISER_PITCH, Engine, bow_xml, vec
from mujoco_oracle import Statics

Vector = NDArray[np.float64]

SHAFT_LENGTH, SHAFT_RADIUS = 0.7366, 0.00325  # m
REST_X, REST_RADIUS = 0.005, 0.004  # m, ahead of the grip pivot
REST_STIFFNESS, REST_DAMPING = 4000.0, 1.0  # N/m, N s/m
GRAVITY = 9.80665  # m/s²
LONGEST_LAUNCH = 0.03  # s


def xml_with_rest(bow: Bow, timestep: float, integrator: str) -> str:
    """The oracle's bow with an arrow and a rest: the nock carries the string's lump and the arrow hinges on it."""
    text = bow_xml(bow, timestep)
    text = text.replace('integrator="RK4"', f'integrator="{integrator}"')
    text = text.replace('gravity="0 0 0"><flag contact="disable" energy="enable"/>', f'gravity="0 {-GRAVITY} 0" cone="elliptic">')
    inertia = bow.arrow_mass * SHAFT_LENGTH**2 / 12.0
    arrow = f"""<body name="arrow" pos="0 0 0">
     <joint name="arrow_pitch" axis="0 0 1"/>
     <inertial pos="{vec(0.5 * SHAFT_LENGTH, 0, 0)}" mass="{vec(bow.arrow_mass)}"
      diaginertia="{vec(1e-7, inertia, inertia)}"/>
     <geom name="shaft" type="capsule" size="{vec(SHAFT_RADIUS)}" fromto="{vec(0, 0, 0, SHAFT_LENGTH, 0, 0)}"/>
    </body>"""
    lump = f'<inertial pos="0 0 0" mass="{vec(bow.string_mass + bow.arrow_mass)}"'
    text = text.replace(lump, f'<inertial pos="0 0 0" mass="{vec(bow.string_mass)}"')
    text = text.replace('<site name="nock"/>', f'<site name="nock"/>{arrow}')
    place = vec(REST_X, -SHAFT_RADIUS - REST_RADIUS, 0)
    launcher = f'<geom name="launcher" type="sphere" size="{vec(REST_RADIUS)}" pos="{place}"/>'
    text = text.replace('<body name="limb_u"', f'{launcher}<body name="limb_u"', 1)
    contact = (
        f'<contact><pair geom1="shaft" geom2="launcher" condim="1" solref="{vec(-REST_STIFFNESS, -REST_DAMPING)}"'
        ' solimp="0.99 0.99 0.001"/></contact>'
    )
    return text.replace("<tendon>", f"{contact}<tendon>", 1)


@dataclass
class MujocoShot:
    """Exit speed [m/s] and seconds of one launch from full draw to where string and arrow part."""

    speed: float
    seconds: float
    steps: int


class MujocoBow:
    """The bow at full draw, ready to be shot at any step by any integrator."""

    def __init__(self) -> None:
        self.bow = read_bow("symmetric")
        statics = Statics(Engine(self.bow))
        self.full = statics.at(statics.first_touch() - self.bow.wall_pull)

    def shoot(self, timestep: float, integrator: str, repeats: int = 5) -> MujocoShot:
        """Find the exit once, step by step; then time the steps to it in one call of the engine, without Python."""
        model = mujoco.MjModel.from_xml_string(xml_with_rest(self.bow, timestep, integrator))
        data = mujoco.MjData(model)

        def start() -> None:
            mujoco.mj_resetData(model, data)
            data.qpos[:9] = self.full
            # The arrow's weight has settled on the rest, and the hand holds the riser still.
            reach = REST_X - self.full[NOCK_X]
            carried = self.bow.arrow_mass * GRAVITY * 0.5 * SHAFT_LENGTH / reach
            data.qpos[9] = -carried / REST_STIFFNESS / reach
            mujoco.mj_forward(model, data)
            hand = data.qfrc_bias - data.qfrc_passive - data.qfrc_constraint
            data.qfrc_applied[: RISER_PITCH + 1] = hand[: RISER_PITCH + 1]

        start()
        before = speed = 0.0
        steps, pull, last = 0, 0.0, np.inf
        while data.time < LONGEST_LAUNCH:
            mujoco.mj_step(model, data)
            before, speed = speed, float(data.qvel[NOCK_X])
            steps += 1
            last, pull = pull if steps > 1 else np.inf, self.bow.arrow_mass * (speed - before) / timestep
            if pull < -self.bow.nock_hold:
                break
        share = (last + self.bow.nock_hold) / (last - pull)  # of the step between the middles of the last two
        exit_speed = before + (share - 0.5) * (speed - before)
        best = np.inf
        for _ in range(repeats):
            start()
            begun = time.process_time()
            mujoco.mj_step(model, data, nstep=steps)
            best = min(best, time.process_time() - begun)
        return MujocoShot(exit_speed, best, steps)
