// What is described here: cams, string, cables and cable guard.

#include "setup/parameter_table.hpp"

#include <numbers>

namespace nockwise::detail {

namespace {

using enum Reflection;

constexpr double two_turns = 4.0 * std::numbers::pi;

constexpr Measure any_angle{Quantity::angle, "deg", -two_turns, two_turns};
constexpr Measure cam_point{Quantity::length, "mm", -0.1, 0.1, 0.01};
constexpr Measure cam_offset{Quantity::length, "mm", -0.05, 0.05};
constexpr Measure line_length{Quantity::length, "in", 0.2, 4.0};
constexpr Measure line_diameter{Quantity::length, "mm", 5.0e-4, 0.01};
constexpr Measure line_rigidity{Quantity::force, "kN", 1.0e3, 1.0e7};
constexpr Measure line_damping{Quantity::damping, "N·s/m", 0.0, 1.0e3};
constexpr Measure lay{Quantity::twists, "twist", 0.0, 200.0};
constexpr Measure added_twists{Quantity::twists, "twist", -20.0, 20.0};

// clang-format off: a table, a line for the number and one for its meaning

void add_cam_body(Section<Cam>& cam) {
  cam.number(&Cam::mass, "mass", {Quantity::mass, "g", 0.001, 1.0}, "Mass of the cam with its axle and bearings.");
  cam.number(&Cam::inertia, "inertia", {Quantity::inertia, "kg·cm²", 1.0e-7, 0.1},
             "Moment of inertia of the cam about its own centre of mass.");
  cam.number(&Cam::center_of_mass_x, "center_of_mass_x", cam_point,
             "Centre of mass of the cam from its axle, along the cam's own x axis.");
  cam.number(&Cam::center_of_mass_y, "center_of_mass_y", cam_point,
             "Centre of mass of the cam from its axle, along the cam's own y axis.");
  cam.number(&Cam::bearing_damping, "bearing_damping", {Quantity::torsion_damping, "N·m·s/rad", 0.0, 1.0},
             "Damping of the cam's bearing.");
  cam.number(&Cam::shim, "shim", {Quantity::length, "mm", -0.02, 0.02}, lateral,
             "Displacement of the cam along its axle by shims, positive to the archer's right.");
}

void add_cam_tracks(Section<Cam>& cam) {
  cam.number(&Cam::string_track_offset, "string_track_offset", cam_offset, lateral,
             "Lateral position of the string track in an unshimmed cam, from the middle of the limb and positive to "
             "the archer's right.");
  cam.number(&Cam::take_up_offset, "take_up_offset", cam_offset, lateral,
             "Lateral position of the cable's take-up track in an unshimmed cam, from the middle of the limb and "
             "positive to the archer's right.");
  cam.number(&Cam::let_out_offset, "let_out_offset", cam_offset, lateral,
             "Lateral position of the let-out track of the other cam's cable in an unshimmed cam, from the middle of "
             "the limb and positive to the archer's right.");
  cam.number(&Cam::string_anchor_angle, "string_anchor_angle", any_angle,
             "Normal angle in the cam's frame at which the string is fixed to its track; the string is wrapped from "
             "there up to its contact normal, which is near 180 deg at brace and decreases in the draw.");
  cam.number(&Cam::take_up_anchor_angle, "take_up_anchor_angle", any_angle,
             "Normal angle in the cam's frame at which the cable is fixed to its take-up track; the cable is wrapped "
             "from its contact normal, which is near 0 deg at brace and decreases in the draw, up to there.");
  cam.number(&Cam::let_out_anchor_angle, "let_out_anchor_angle", any_angle,
             "Normal angle in the cam's frame at which the other cam's cable is fixed to the let-out track; it is "
             "wrapped from there up to its contact normal, which decreases in the draw.");
  cam.track(&Cam::string_track, "string_track", "Track from which the cam lets the string out.");
  cam.track(&Cam::take_up_track, "take_up_track", "Track onto which the cam takes its own cable up.");
  cam.track(&Cam::let_out_track, "let_out_track",
            "Track from which the cam lets the other cam's cable out; required where that cable ends with let_out.");
}

void add_stop(Section<DrawStop> stop) {
  stop.choice(&DrawStop::kind, "kind", {{"none", StopKind::none}, {"limb", StopKind::limb}, {"cable", StopKind::cable}},
              "What the cam's peg touches at full draw: nothing, its own limb or its own cable.");
  stop.number(&DrawStop::radius, "radius", {Quantity::length, "mm", 0.001, 0.2},
              "Distance of the draw stop's peg from the axle.");
  stop.number(&DrawStop::angle, "angle", any_angle,
              "Limb stop: cam angle minus limb angle at which it touches; cable stop: angular position of the peg in "
              "the cam's frame.");
  stop.number(&DrawStop::peg_size, "peg_size", {Quantity::length, "mm", 0.0, 0.05}, "Radius of the draw stop's peg.");
  stop.number(&DrawStop::stiffness, "stiffness", {Quantity::stiffness, "N/mm", 1.0e3, 1.0e8},
              "Stiffness of the draw stop's contact.");
  stop.number(&DrawStop::damping, "damping", {Quantity::damping, "N·s/m", 0.0, 1.0e4},
              "Damping of the draw stop's contact.");
}

void add_string(Section<BowString> string) {
  string.number(&BowString::length, "length", line_length,
                "Length of the string between posts under the standard 100 lbf (444.8 N), with its lay twists in it.");
  string.number(
      &BowString::axial_rigidity, "axial_rigidity", line_rigidity,
      "Tension in the string per unit of strain, in a built string about half of its fibre's: 60 N per tex of all "
      "strands, 300 kN for 5 g/m.");
  string.number(&BowString::damping, "damping", line_damping, "Damping of each half of the string along its length.");
  string.number(&BowString::diameter, "diameter", line_diameter,
                "Diameter of the helix that the string's strands follow, which sets how much a twist shortens it.");
  string.number(&BowString::lay_twists, "lay_twists", lay, "Twists that are in the string at its stated length.");
  string.number(&BowString::twists, "twists", added_twists,
                "Twists that the tuner adds to the string; positive shortens it.");
  string.number(&BowString::nocking_point, "nocking_point", {Quantity::length, "mm", -0.3, 0.3}, vertical,
                "Position of the nocking point along the string from the middle of its length, positive up.");
  string.number(
      &BowString::mass, "mass", {Quantity::mass, "gr", 1.0e-4, 0.1},
      "Mass of the whole string without centre serving and loop; a third of what is free at brace moves with the "
      "nock.");
  string.number(&BowString::serving_and_loop_mass, "serving_and_loop_mass", {Quantity::mass, "gr", 0.0, 0.05},
                "Mass of centre serving, nocking points, loop and peep, which moves with the nock.");
  string.number(&BowString::pieces, "pieces", {Quantity::dimensionless, "", 1.0, 16.0},
                "Pieces that each half of the string is cut into for a launch, with a mass at every cut; 1 is the "
                "usual lump at the nock, more are a slow check of it.");
}

void add_cable(Section<Cable> cable) {
  cable.choice(&Cable::end, "end", {{"yoke", CableEnd::yoke}, {"let_out", CableEnd::let_out}},
               "Where the cable ends: on a split yoke at the other limb's axle, or on the let-out track of the other "
               "cam.");
  cable.number(&Cable::length, "length", line_length,
               "Length of the cable between posts, its yoke included, under the standard 100 lbf (444.8 N) with its "
               "lay twists in it.");
  cable.number(&Cable::axial_rigidity, "axial_rigidity", line_rigidity, "Tension in the cable per unit of strain.");
  cable.number(&Cable::damping, "damping", line_damping, "Damping of the cable along its length.");
  cable.number(&Cable::diameter, "diameter", line_diameter,
               "Diameter of the helix that the cable's strands follow, which sets how much a twist shortens it.");
  cable.number(&Cable::lay_twists, "lay_twists", lay, "Twists that are in the cable at its stated length.");
  cable.number(&Cable::twists, "twists", added_twists,
               "Twists that the tuner adds to the cable; positive shortens it.");
}

void add_yoke(Section<Yoke> yoke) {
  yoke.number(&Yoke::leg_length, "leg_length", {Quantity::length, "mm", 0.02, 1.0},
              "Length of each yoke leg, from the junction to the axle, with its lay twists in it.");
  yoke.number(&Yoke::half_width, "half_width", {Quantity::length, "mm", 0.002, 0.1},
              "Lateral distance of each yoke leg's loop from the middle of the axle.");
  yoke.number(&Yoke::diameter, "diameter", line_diameter,
              "Diameter of the helix that a yoke leg's strands follow, which sets how much a twist shortens it.");
  yoke.number(&Yoke::lay_twists, "lay_twists", lay, "Twists that are in each yoke leg at its stated length.");
  yoke.number(&Yoke::left_twists, "left_twists", added_twists,
              "Twists that the tuner adds to the leg on the archer's left; positive shortens it.");
  yoke.number(&Yoke::right_twists, "right_twists", added_twists,
              "Twists that the tuner adds to the leg on the archer's right; positive shortens it.");
}

void add_cable_guard(Section<CableGuard> guard) {
  guard.number(&CableGuard::height, "height", {Quantity::length, "mm", -0.5, 0.5}, vertical,
               "Height of the cable guard's slide above the grip pivot, positive up.");
  guard.number(&CableGuard::offset, "offset", {Quantity::length, "mm", -0.15, 0.15}, lateral,
               "Lateral position of the middle between the two cables at the guard, zero in the string's plane and "
               "positive to the archer's right.");
  // The two cables change places both in the mirror and when the bow is turned over.
  guard.number(&CableGuard::spacing, "spacing", {Quantity::length, "mm", -0.05, 0.05}, both,
               "Lateral distance at the guard from the lower cam's cable to the upper cam's cable, positive to the "
               "archer's right.");
}
// clang-format on

void add_cam(Section<Cam> cam) {
  add_cam_body(cam);
  add_cam_tracks(cam);
}

}  // namespace

void add_line_parameters(ParameterTable& table) {
  using Cams = UpperLower<Cam>;
  using Cables = UpperLower<Cable>;
  add_cam({table, "cams.upper.", member<&Setup::cams, &Cams::upper>});
  add_stop({table, "cams.upper.stop.", member<&Setup::cams, &Cams::upper, &Cam::stop>});
  add_cam({table, "cams.lower.", member<&Setup::cams, &Cams::lower>});
  add_stop({table, "cams.lower.stop.", member<&Setup::cams, &Cams::lower, &Cam::stop>});
  add_string({table, "string.", member<&Setup::string>});
  add_cable({table, "cables.upper.", member<&Setup::cables, &Cables::upper>});
  add_yoke({table, "cables.upper.yoke.", member<&Setup::cables, &Cables::upper, &Cable::yoke>});
  add_cable({table, "cables.lower.", member<&Setup::cables, &Cables::lower>});
  add_yoke({table, "cables.lower.yoke.", member<&Setup::cables, &Cables::lower, &Cable::yoke>});
  add_cable_guard({table, "cable_guard.", member<&Setup::cable_guard>});
}

}  // namespace nockwise::detail
