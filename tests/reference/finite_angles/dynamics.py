"""The whole bow in motion, with the arrow on the string or off it: energies, one-sided elements, dampers."""

from __future__ import annotations

from typing import Any

import casadi as ca
import numpy as np

from bow import Shaft
from energies import HALVES, SIGN, Geometry, lines_of, mirrored, places_of, rot_x, rot_y, rot_z


def shaft_symbols(modes: int) -> Any:
    """Local cubic of each mode's shape: place of the node, then four coefficients per mode."""
    return ca.SX.sym("shape", 1 + 4 * modes)


class Dynamics:
    """Mass matrix, velocity terms, smooth forces and one-sided elements of the whole bow with the arrow."""

    def __init__(self, geometry: Geometry, shaft: Shaft, *, attached: bool) -> None:
        g, setup = geometry, geometry.setup
        self.geometry, self.shaft, self.attached = geometry, shaft, attached
        n = shaft.modes.shape[1]
        self.has_arm = setup["rest"]["kind"] == "limb_driven"
        self.has_rest = setup["rest"]["kind"] != "none"
        if setup["rest"]["kind"] not in ("none", "blade", "limb_driven"):
            raise ValueError("rests: none, blade, limb-driven")
        riser, x, c, d = ca.SX.sym("riser", 6), ca.SX.sym("x"), ca.SX.sym("c", n), ca.SX.sym("d", n)
        arm = ca.SX.sym("arm", 1 if self.has_arm else 0)
        string = ca.SX.sym("string", 0 if attached else 3)
        q = ca.vertcat(riser, g.beta, g.theta, g.lean, x, c, d, arm, string)
        self.size = q.shape[0]
        qd = ca.SX.sym("qd", self.size)
        self.index = {"x": 12, "c": slice(13, 13 + n), "d": slice(13 + n, 13 + 2 * n), "arm": 13 + 2 * n}
        self.string_index = slice(self.size - 3, self.size)
        turn = rot_y(riser[4]) @ rot_x(riser[5]) @ rot_z(riser[3])
        spin = ca.vertcat(0, qd[4], 0) + rot_y(riser[4]) @ (ca.vertcat(qd[5], 0, 0) + rot_x(riser[5]) @ ca.vertcat(0, 0, qd[3]))
        place = riser[0:3]

        def world(sign: int, point: Any) -> Any:
            return place + turn @ mirrored(point, sign)

        def speed(point: Any) -> Any:
            return ca.jtimes(point, q, qd)

        # kinetic energy
        r = setup["riser"]
        riser_cm = place + turn @ ca.DM([r["center_of_mass_x"], r["center_of_mass_y"], 0])
        body = turn.T @ spin
        inertia = ca.DM([r["roll_inertia"], r["yaw_inertia"], r["pitch_inertia"]])
        kinetic = 0.5 * r["mass"] * ca.sumsqr(speed(riser_cm)) + 0.5 * ca.dot(inertia, body**2)
        for i, h in enumerate(HALVES):
            own = g.halves[h]
            kinetic += 0.5 * own.limb["effective_mass"] * ca.sumsqr(speed(world(own.sign, own.axle)))
            kinetic += 0.5 * own.cam["mass"] * ca.sumsqr(speed(world(own.sign, own.cam_cm)))
            axis, along = (turn @ (own.sign * mirrored(v, own.sign)) for v in (own.axis, own.along))  # axial vectors
            about_axis = ca.dot(spin, axis) + qd[8 + i] - qd[6 + i] * (1 - ca.cos(own.lean))
            about_limb = ca.dot(spin, along) + qd[10 + i]
            kinetic += 0.5 * own.cam["inertia"] * about_axis**2 + 0.5 * own.limb["twist_inertia"] * about_limb**2
        H = ca.DM(shaft.shortening) / shaft.mass
        phi0 = ca.DM(shaft.modes[0])
        arrow_nock = ca.vertcat(x + 0.5 * (c.T @ H @ c + d.T @ H @ d), ca.dot(phi0, c), ca.dot(phi0, d))
        nock = arrow_nock if attached else string
        lump = setup["string"]["mass"] / 3 + setup["string"]["serving_and_loop_mass"]
        kinetic += 0.5 * shaft.mass * qd[12] ** 2 + 0.5 * ca.sumsqr(qd[13 : 13 + 2 * n]) + 0.5 * lump * ca.sumsqr(speed(nock))
        if self.has_arm:
            kinetic += 0.5 * setup["rest"]["arm"]["inertia"] * qd[self.index["arm"]] ** 2

        # smooth potential energy
        g0, preload, hand = setup["surroundings"]["gravity"], ca.SX.sym("preload", 6), setup["grip"]
        potential = g.mechanism_potential(lambda h, p: world(SIGN[h], p)[1])
        gravity = g0 * (r["mass"] * riser_cm[1] + shaft.mass * c[0] / np.sqrt(shaft.mass) + lump * nock[1])
        hand_names = ("stiffness_x", "stiffness_y", "stiffness_z", "pitch_stiffness", "yaw_stiffness", "roll_stiffness")
        hand_energy = 0.5 * ca.dot(ca.DM([hand[k] for k in hand_names]), riser**2) - ca.dot(preload, riser)
        omega = ca.DM(shaft.omega**2)
        bending = 0.5 * ca.dot(omega, c**2) + 0.5 * ca.dot(omega, d**2)
        potential = potential + gravity + hand_energy + bending
        if self.has_arm:
            a = setup["rest"]["arm"]
            potential += -a["spring_torque"] * (arm - a["up_angle"]) + 0.5 * a["spring_rate"] * (arm - a["up_angle"]) ** 2

        # one-sided elements
        in_riser = turn.T @ (nock - place)
        lengths = ca.substitute(g.lengths, g.nock, in_riser)
        elements = [lengths, *(-g.halves[h].stop_gap for h in HALVES)]
        shape = shaft_symbols(n)
        cradle, ahead = ca.SX(0), ca.SX(1)
        if self.has_rest:
            rest = setup["rest"]
            on_riser = ca.vertcat(rest["position_x"], rest["height"], g.places[12])
            if self.has_arm:
                a = rest["arm"]
                on_riser = on_riser + a["length"] * ca.vertcat(
                    ca.cos(arm) - np.cos(a["up_angle"]), ca.sin(arm) - np.sin(a["up_angle"]), 0
                )
            launcher = place + turn @ on_riser
            ahead = launcher[0] - x  # of the nock
            t = ahead - shape[0]
            powers = ca.vertcat(1, t, t**2, t**3)
            coefficients = ca.reshape(shape[1:], 4, n)
            values = (powers.T @ coefficients).T
            off = turn.T @ ca.vertcat(0, ca.dot(values, c) - launcher[1], ca.dot(values, d) - launcher[2])
            elements.append(-off[1])
            cradle = off[2]
            if self.has_arm:
                half = g.halves[a["cord_side"]]
                tied = mirrored(half.pivot + a["cord_attachment"] * half.along, half.sign)[0:2]
                drum = ca.DM([rest["position_x"], rest["height"]])
                elements.append(ca.norm_2(tied - drum) + a["cord_lever"] * (arm - a["up_angle"]))
                elements.extend([arm - a["up_angle"], a["down_angle"] - arm])
        e = ca.vertcat(*elements)
        momentum = ca.gradient(kinetic, qd)
        bias = ca.jtimes(momentum, q, qd) - ca.gradient(kinetic, q) + ca.gradient(potential, q)
        mass = ca.jacobian(momentum, qd)
        j_nock = ca.jacobian(nock, q)
        nock_bias = ca.jtimes(speed(nock), q, qd)
        inputs = [q, qd, g.w, g.locals, shape, preload, g.places]
        self.main = ca.Function(
            "f_main",
            inputs,
            [ca.densify(v) for v in (mass, bias, e, ca.jacobian(e, q), cradle, ca.jacobian(cradle, q), ahead, j_nock, nock_bias)],
        )
        inner = ca.gradient(ca.sum1(lengths) + g.idle, g.w)
        self.inner = ca.Function(
            "f_inner", [q, g.w, g.locals, g.places], [ca.densify(inner), ca.densify(ca.jacobian(inner, g.w))]
        )
        self.energy = ca.Function("f_energy", inputs, [kinetic, potential])
        self.arrow_nock = ca.Function("nock", [q, qd], [arrow_nock, speed(arrow_nock)])
        self.ahead = ca.Function("f_ahead", [q, g.places], [ahead])
        self.lump = lump


class Laws:
    """Numbers of one case: stiffness and damping of the one-sided elements, dampers of the coordinates, lateral places."""

    def __init__(self, dynamics: Dynamics, setup: dict[str, Any], *, damped: bool = True) -> None:
        self.dynamics, self.setup, s = dynamics, setup, dynamics.shaft
        self.places, self.lines = places_of(setup), lines_of(setup)
        self.size, self.index = dynamics.size, dynamics.index
        self.has_rest, self.has_arm = dynamics.has_rest, dynamics.has_arm
        stops = [setup["cams"][h]["stop"] for h in HALVES]
        self.natural = np.array([line.length for line in self.lines])
        stiffness = [line.stiffness for line in self.lines] + [stop["stiffness"] for stop in stops]
        damping = [line.damping for line in self.lines] + [stop["damping"] for stop in stops]
        zero = [0.0] * 6
        if self.has_rest:
            rest = setup["rest"]
            stiffness.append(rest["vertical_stiffness"])
            damping.append(rest["vertical_damping"])
            zero.append(0.0)
            if self.has_arm:
                a = rest["arm"]
                stiffness += [a["cord_stiffness"], a["stop_stiffness"], a["stop_stiffness"]]
                damping += [a["cord_damping"], a["stop_damping"], a["stop_damping"]]
                zero += [0.0, 0.0, 0.0]
        self.stiffness, self.damping, self.zero = np.array(stiffness), np.array(damping), np.array(zero)
        self.zero[:4] = self.natural
        hand = setup["grip"]
        d = np.zeros(self.size)
        d[:6] = [hand[k] for k in ("damping_x", "damping_y", "damping_z", "pitch_damping", "yaw_damping", "roll_damping")]
        d[6:8] = [setup["limbs"][h]["damping"] for h in HALVES]
        d[8:10] = [setup["cams"][h]["bearing_damping"] for h in HALVES]
        d[10:12] = [setup["limbs"][h]["twist_damping"] for h in HALVES]
        d[self.index["c"]] = d[self.index["d"]] = s.tau * s.omega**2
        if self.has_arm:
            d[self.index["arm"]] = setup["rest"]["arm"]["damping"]
        self.dampers = d

        rest = setup["rest"]
        self.cradle = np.array([rest["cradle_depth"], rest["lateral_stiffness"], rest["lateral_damping"]])
        if not damped:
            self.dampers, self.damping, self.cradle[2] = np.zeros(self.size), np.zeros_like(self.damping), 0.0

    def set_natural(self, cables: np.ndarray) -> None:
        """As Statics.set_natural."""
        for i, length in enumerate(cables):
            self.zero[2 + i] = length
            self.stiffness[2 + i] = self.lines[2 + i].axial_rigidity / length
