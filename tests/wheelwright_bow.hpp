/// @file
/// The Wheelwright of tests/reference/wheelwright/wheelwright.json as a Setup.
#pragma once

#include "nockwise/setup.hpp"
#include "source_folder.hpp"
#include "string_lump.hpp"

#include <nlohmann/json.hpp>

#include <fstream>
#include <stdexcept>
#include <string>

namespace nockwise {

inline nlohmann::json read_wheelwright_json(const std::string& name) {
  const std::string path = nockwise::source_folder(std::string("tests/reference/wheelwright/") + name);
  std::ifstream file(path);
  if (!file) {
    throw std::runtime_error("cannot read " + path);
  }
  return nlohmann::json::parse(file);
}

/// One half of a variant: common values, then the variant's changes.
class WheelwrightHalf {
 public:
  WheelwrightHalf(const nlohmann::json& document, const std::string& variant, const std::string& half)
      : common_(document.at("half")),
        change_(document.at("variants").at(variant).value(half, nlohmann::json::object())) {}
  [[nodiscard]] double operator[](const std::string& name) const {
    return change_.contains(name) ? change_.at(name).get<double>() : common_.at(name).at("value").get<double>();
  }

 private:
  const nlohmann::json& common_;
  nlohmann::json change_;
};

/// A length without load, told as the setup wants it: under 100 lbf.
inline double under_standard_load(double unstretched, double axial_rigidity) {
  constexpr double standard_tension = 444.8221615260500;
  return unstretched * (1.0 + standard_tension / axial_rigidity);
}

inline void set_wheelwright_half(const WheelwrightHalf& from, Limb& limb, Cam& cam, Cable& cable) {
  limb.pivot_x = from["pivot_x"];
  limb.pivot_y = from["pivot_y"];
  limb.effective_length = from["limb_length"];
  limb.torsion_stiffness = from["limb_stiffness"];
  limb.free_angle = from["limb_free_angle"];
  limb.effective_mass = from["limb_mass"];
  limb.twist_damping = 0.0;
  cam.mass = from["cam_mass"];
  cam.center_of_mass_x = from["cam_cm_x"];
  cam.center_of_mass_y = from["cam_cm_y"];
  const double square = cam.center_of_mass_x * cam.center_of_mass_x + cam.center_of_mass_y * cam.center_of_mass_y;
  cam.inertia = from["cam_inertia"] - cam.mass * square;  // the file's is about the axle
  cam.string_track = CircleTrack{from["string_radius"], from["string_offset"], from["string_offset_angle"]};
  cam.take_up_track = CircleTrack{from["cable_radius"], from["cable_offset"], from["cable_offset_angle"]};
  cam.string_anchor_angle = from["string_anchor_angle"];
  cam.take_up_anchor_angle = from["cable_anchor_angle"];
  cam.take_up_offset = cam.let_out_offset = cam.string_track_offset = 0.0;
  cam.stop.kind = StopKind::limb;
  cam.stop.radius = from["stop_radius"];
  cam.stop.angle = from["stop_angle"];
  cam.stop.stiffness = from["stop_stiffness"];
  cam.stop.damping = 0.0;
  cable.end = CableEnd::yoke;
  cable.axial_rigidity = from["cable_ea"];
  cable.length = under_standard_load(from["cable_length"], cable.axial_rigidity);
  cable.damping = 0.0;
}

/// The bow of one variant: no gravity, no damping, no rest, nothing lateral. The oracle's arrow, a point mass at the
/// nock, is approached by a nock that has all the mass but that of a short and light shaft (the setup allows 50 mg for
/// half a metre), which lies level.
inline Setup wheelwright_setup(const std::string& variant, double shaft_mass = 5.1e-5) {
  const nlohmann::json document = read_wheelwright_json("wheelwright.json");
  const auto shared = [&](const char* name) { return document.at("shared").at(name).at("value").get<double>(); };
  const WheelwrightHalf upper(document, variant, "upper");
  const WheelwrightHalf lower(document, variant, "lower");
  Setup setup;
  setup.name = "Wheelwright, " + variant;
  set_wheelwright_half(upper, setup.limbs.upper, setup.cams.upper, setup.cables.upper);
  set_wheelwright_half(lower, setup.limbs.lower, setup.cams.lower, setup.cables.lower);
  setup.riser.mass = shared("riser_mass");
  setup.riser.center_of_mass_x = shared("riser_cm_x");
  setup.riser.center_of_mass_y = shared("riser_cm_y");
  setup.riser.pitch_inertia = shared("riser_inertia");
  Grip& grip = setup.grip;
  grip.stiffness_x = shared("hand_stiffness_x");
  grip.stiffness_y = shared("hand_stiffness_y");
  grip.pitch_stiffness = shared("hand_stiffness_pitch");
  grip.damping_x = grip.damping_y = grip.damping_z = 0.0;
  grip.pitch_damping = grip.yaw_damping = grip.roll_damping = 0.0;
  setup.hold.wall_pull = shared("wall_pull");
  setup.string.axial_rigidity = upper["string_ea"];
  setup.string.length = 2.0 * under_standard_load(upper["string_length"], setup.string.axial_rigidity);
  setup.string.damping = 0.0;
  setup.string.serving_and_loop_mass = 0.0;
  setup.cable_guard = {0.0, 0.0, 0.0};
  setup.arrow.length = 0.5;
  setup.arrow.linear_density = shaft_mass / setup.arrow.length;
  setup.arrow.nock_mass = shared("arrow_mass") - shaft_mass;
  setup.arrow.point_mass = setup.arrow.insert_mass = setup.arrow.damping_ratio = 0.0;
  setup.arrow.bending_stiffness = 1.0;
  setup.arrow.nodes = 6;
  setup.arrow.nock_hold = shared("nock_hold");
  setup.arrow.fletching.count = 0;
  setup.rest.kind = RestKind::none;
  setup.rest.position_x = -0.2;
  setup.rest.height = 0.0;
  setup.surroundings.gravity = 0.0;
  return with_free_string(setup, 3.0 * shared("string_mass"));
}

}  // namespace nockwise
