// Setup → kernel constants for bow, rest and hand (lib/README.md, "Strings, cables, stops", "Limbs").
#include "compile/lines.hpp"
#include "compile/model_data.hpp"
#include "kernel/rest.hpp"
#include "kernel/taut_run.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/setup_file.hpp"
#include "setup/tried_ranges.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace nockwise::detail {

namespace {

// Howell's pseudo-rigid-body constants for a cantilever loaded across its end (Howell, Compliant Mechanisms,
// Table 5.1).
constexpr double rigid_body_factor = 0.8517;
constexpr double rigid_body_stiffness = 2.67617;
constexpr double tip_share_of_cantilever_mass = 33.0 / 140.0;  // Rayleigh's, static deflection shape

double natural_free_angle(const Limb& limb) { return limb.free_angle + limb.bolt_turns * limb.angle_per_turn; }

/// One hinge at the characteristic pivot.
template <int Links>
void compile_single_limb(const Limb& limb, kernel::Half<double, Links>& half, int first) {
  half.links[first] = {
      0.0, limb.effective_length, limb.torsion_stiffness, natural_free_angle(limb), limb.damping, limb.effective_mass,
      0.0};
}

/// How far the first hinge of a segmented limb lies ahead of the characteristic pivot: half a piece from the clamp,
/// which lies behind.
double first_hinge_ahead(const Limb& limb) {
  const double length = limb.effective_length / rigid_body_factor;
  return 0.5 * length / limb.segments - (length - limb.effective_length);
}

/// Eq. (17): a uniform cantilever with the hinge's stiffness at its tip, cut into `limb.segments` hinges at the middles
/// of its pieces.
template <int Links>
void compile_segmented_limb(const Limb& limb, kernel::Half<double, Links>& half, int first) {
  const int n = limb.segments;
  const double length = limb.effective_length / rigid_body_factor;
  const double rigidity = limb.torsion_stiffness * length / (rigid_body_factor * rigid_body_stiffness);
  const double piece = length / n;
  const double share = limb.effective_mass / tip_share_of_cantilever_mass / n;
  const double damping = limb.damping * n / (rigid_body_factor * rigid_body_stiffness);
  const double free = natural_free_angle(limb);
  double& base_x = first == 0 ? half.base_x : half.links[0].end_x;
  double& base_y = first == 0 ? half.base_y : half.links[0].end_y;
  base_x -= first_hinge_ahead(limb) * std::sin(free);
  base_y += first_hinge_ahead(limb) * std::cos(free);
  double tip = limb.effective_mass;  // what the masses along the limb leave of it, in the shape of a tip load
  for (int j = 0; j < n; ++j) {
    const bool last = j == n - 1;
    const double place = (j + 1.5) / n;
    const double shape = 0.5 * place * place * (3.0 - place);
    tip -= last ? 0.0 : share * shape * shape;
    half.links[first + j] = {
        0.0, last ? 0.5 * piece : piece, n * rigidity / length, j == 0 ? free : 0.0, damping, last ? tip : share, 0.0};
  }
}

template <int Links>
kernel::Half<double, Links> compile_half(const ModelData& data, int index, bool flexing) {
  const Setup& setup = data.setup;
  const Limb& limb = setup.limbs[index];
  const Cam& cam = setup.cams[index];
  kernel::Half<double, Links> half{};
  const int first = flexing ? 1 : 0;
  if (flexing) {
    const double compliance = index == 0 ? setup.riser.upper_end_compliance : setup.riser.lower_end_compliance;
    half.links[0] = {limb.pivot_x, limb.pivot_y,           compliance > 0.0 ? 1.0 / compliance : 0.0, 0.0, 0.0,
                     0.0,          setup.riser.end_inertia};
  } else {
    half.base_x = limb.pivot_x;
    half.base_y = limb.pivot_y;
  }
  if (limb.segments == 1) {
    compile_single_limb(limb, half, first);
  } else {
    compile_segmented_limb(limb, half, first);
  }
  half.cam_mass = cam.mass;
  half.cam_inertia = cam.inertia;
  half.cam_x = cam.center_of_mass_x;
  half.cam_y = cam.center_of_mass_y;
  half.bearing_damping = cam.bearing_damping;
  half.stop = {cam.stop.radius, cam.stop.angle, cam.stop.peg_size, cam.stop.stiffness, cam.stop.damping};
  half.string_track = table_of(track(data, index, string_track));
  half.take_up_track = table_of(track(data, index, take_up_track));
  half.let_out_track = table_of(track(data, index, let_out_track));
  half.twist_stiffness = limb.twist_stiffness;
  half.twist_inertia = limb.twist_inertia;
  half.twist_damping = limb.twist_damping;
  half.string_z = cam.shim + cam.string_track_offset;
  half.take_up_z = cam.shim + cam.take_up_offset;
  half.let_out_z = cam.shim + cam.let_out_offset;
  return half;
}

template <int Links>
kernel::Constants<double, Links> compile_constants(ModelData& data, bool flexing) {
  const Setup& setup = data.setup;
  kernel::Constants<double, Links> c{};
  const Riser& riser = setup.riser;
  c.riser = {riser.mass,          riser.center_of_mass_x, riser.center_of_mass_y,
             riser.pitch_inertia, riser.yaw_inertia,      riser.roll_inertia};
  if (flexing) {
    c.riser.pitch_inertia -= 2.0 * riser.end_inertia;
    if (!(c.riser.pitch_inertia > 0.0)) {
      throw InputError("riser.end_inertia", format_quantity(riser.end_inertia, Quantity::inertia),
                       "must be less than half of riser.pitch_inertia");
    }
  }
  for (int h = 0; h < 2; ++h) {
    c.half[h] = compile_half<Links>(data, h, flexing);
  }
  compile_string(data, c);
  compile_cables(data, c);
  const CableGuard& guard = setup.cable_guard;
  c.guard = {guard.height, {guard.offset + 0.5 * guard.spacing, guard.offset - 0.5 * guard.spacing}};
  const Grip& grip = setup.grip;
  c.hand = {grip.stiffness_x,
            grip.stiffness_y,
            grip.stiffness_z,
            grip.damping_x,
            grip.damping_y,
            grip.damping_z,
            grip.pitch_stiffness,
            grip.yaw_stiffness,
            grip.roll_stiffness,
            grip.pitch_damping,
            grip.yaw_damping,
            grip.roll_damping,
            0.0,
            0.0,
            0.0,
            0.0,
            0.0,
            0.0};
  c.gravity = setup.surroundings.gravity;
  return c;
}

void compile_tracks(ModelData& data) {
  const Setup& setup = data.setup;
  auto tracks = std::make_shared<std::vector<CompiledTrack>>();
  for (int h = 0; h < 2; ++h) {
    const Cam& cam = setup.cams[h];
    const std::string path = std::string("cams.") + half_name(h);
    tracks->emplace_back(cam.string_track, path + ".string_track");
    tracks->emplace_back(cam.take_up_track, path + ".take_up_track");
    tracks->emplace_back(cam.let_out_track.value_or(Track{CircleTrack{}}), path + ".let_out_track");
  }
  data.tracks = tracks;
}

kernel::Topology compile_topology(const Setup& setup, bool flexing) {
  kernel::Topology t;
  t.nodes = setup.arrow.nodes;
  t.modes = std::min(setup.arrow.modes + 2, setup.arrow.nodes);
  t.vanes = vane_count(setup.arrow.fletching);
  t.nock_grips = setup.arrow.nock_stiffness > 0.0 || setup.arrow.nock_friction > 0.0;
  t.rest = setup.rest.kind;
  t.cord_half = setup.rest.arm.cord_side == Side::upper ? 0 : 1;
  const double compliance[2] = {setup.riser.upper_end_compliance, setup.riser.lower_end_compliance};
  for (int h = 0; h < 2; ++h) {
    t.cable_end[h] = setup.cables[h].end;
    t.stop[h] = setup.cams[h].stop.kind;
    t.limb_link[h] = flexing ? 1 : 0;
    t.first_link_locked[h] = flexing && !(compliance[h] > 0.0);
  }
  return t;
}

/// Which link of a segmented limb carries the cord, and how far along it.
template <int Links>
void place_cord(const ModelData& data, kernel::Topology& topology, kernel::Constants<double, Links>& c) {
  if (data.setup.rest.kind != RestKind::limb_driven) {
    return;
  }
  topology.cord_link = Links - 1;
  if constexpr (Links > 1) {
    const Limb& limb = data.setup.limbs[topology.cord_half];
    if (limb.segments > 1) {
      c.rest.cord_attachment -= first_hinge_ahead(limb);
      if (!(c.rest.cord_attachment > 0.0)) {
        throw InputError("rest.arm.cord_attachment",
                         format_quantity(data.setup.rest.arm.cord_attachment, Quantity::length, "m"),
                         "must lie on the part of the limb that bends, beyond the first hinge of its segments");
      }
    }
    const kernel::Half<double, Links>& half = c.half[topology.cord_half];
    for (int j = topology.limb_link[topology.cord_half]; j < Links - 1; ++j) {
      if (c.rest.cord_attachment <= half.links[j].end_y) {
        topology.cord_link = j;
        break;
      }
      c.rest.cord_attachment -= half.links[j].end_y;
    }
  }
}

template <int Links>
void compile_links(ModelData& data, bool flexing, const ModelData* like, const ModelData* like_arrow) {
  using Constants = kernel::Constants<double, Links>;
  Constants& c = data.constants.emplace<Constants>(like != nullptr ? std::get<Constants>(like->constants)
                                                                   : compile_constants<Links>(data, flexing));
  c.rest = compile_rest(data.setup);
  c.vanes = compile_vanes(data.setup, c.rest.half_width);
  place_cord(data, data.topology, c);
  if (like_arrow != nullptr) {
    share_arrow(*like_arrow, data);
    c.arrow = with_constants(*like_arrow, [](const auto& its) { return its.arrow; });
    c.arrow.shapes = {data.shapes.data(), data.spans.data()};
  } else {
    c.arrow = compile_arrow(data);
  }
}

}  // namespace

kernel::TrackTable<double> table_of(const CompiledTrack& track) {
  if (track.is_circle()) {
    const CircleTrack& circle = track.circle();
    return kernel::circle_table(circle.radius, circle.eccentricity, circle.angle);
  }
  kernel::TrackTable<double> t;
  t.is_circle = false;
  t.first = track.first_angle();
  t.step = track.angle_step();
  t.inverse_step = 1.0 / track.angle_step();
  t.intervals = static_cast<double>(track.coefficients().size());
  t.rows = track.coefficients().front().data();
  return t;
}

kernel::RestConstants<double> compile_rest(const Setup& setup) {
  const Rest& rest = setup.rest;
  const RestArm& arm = rest.arm;
  kernel::RestConstants<double> c{};
  c.x = rest.position_x;
  c.height = rest.height;
  c.z = rest.center_shot;
  c.half_width = 0.5 * (kernel::has_arm(rest.kind) ? arm.launcher_width : rest.blade_width);
  c.k = rest.vertical_stiffness;
  c.c = rest.vertical_damping;
  c.k_lateral = rest.lateral_stiffness;
  c.c_lateral = rest.lateral_damping;
  c.cradle_depth = rest.cradle_depth;
  c.arm_length = arm.length;
  c.arm_inertia = arm.inertia;
  c.up_angle = arm.up_angle;
  c.down_angle = arm.down_angle;
  c.sine_up = std::sin(arm.up_angle);
  c.cosine_up = std::cos(arm.up_angle);
  c.spring_torque = arm.spring_torque;
  c.spring_rate = arm.spring_rate;
  c.arm_damping = arm.damping;
  c.stop_stiffness = arm.stop_stiffness;
  c.stop_damping = arm.stop_damping;
  c.cord_lever = arm.cord_lever;
  c.cord_stiffness = arm.cord_stiffness;
  c.cord_damping = arm.cord_damping;
  c.cord_attachment = arm.cord_attachment;
  return c;
}

bool same_bow(const Setup& a, const Setup& b) {
  Grip grip = a.grip;  // where the hand presses does not change what it holds
  grip.pressure_point_x = b.grip.pressure_point_x;
  grip.pressure_point_y = b.grip.pressure_point_y;
  return a.riser == b.riser && grip == b.grip && a.limbs == b.limbs && a.cams == b.cams && a.string == b.string &&
         a.cables == b.cables && a.cable_guard == b.cable_guard && a.surroundings.gravity == b.surroundings.gravity;
}

bool same_hand(const Setup& a, const Setup& b) {
  // How the string is let go does not change how the bow is drawn.
  return a.hold.grip_torque == b.hold.grip_torque && a.hold.wall_pull == b.hold.wall_pull &&
         a.grip.pressure_point_x == b.grip.pressure_point_x && a.grip.pressure_point_y == b.grip.pressure_point_y;
}

/// The tracks of a default Setup are there to be replaced: a string that comes off the circle onto which the cable goes
/// has no let-off, and with the other defaults draws 171 lbf.
void refuse_placeholder(const Setup& setup) {
  for (int h = 0; h < 2; ++h) {
    const Cam& cam = setup.cams[h];
    const Track placeholder = CircleTrack{};
    if (cam.string_track == placeholder && cam.take_up_track == placeholder) {
      throw InputError(std::string("cams.") + half_name(h) + ".take_up_track", "",
                       "must be given, as must string_track: those of a default setup are a placeholder and no cam");
    }
  }
}

std::shared_ptr<ModelData> compile(Setup given, const ModelData* like) {
  auto data = std::make_shared<ModelData>();
  data->setup = std::move(given);
  const Setup& setup = data->setup;
  validate(setup);
  refuse_placeholder(setup);
  data->tried = within_tried_ranges(setup);
  const ModelData* like_arrow = like != nullptr && setup.arrow == like->setup.arrow ? like : nullptr;
  if (like != nullptr && !same_bow(setup, like->setup)) {
    like = nullptr;
  }
  if (like != nullptr) {
    data->tracks = like->tracks;
  } else {
    compile_tracks(*data);
  }
  const bool flexing = setup.riser.upper_end_compliance > 0.0 || setup.riser.lower_end_compliance > 0.0;
  data->topology = compile_topology(setup, flexing);
  for (int h = 0; h < 2; ++h) {
    for (const TrackIndex index : {string_track, take_up_track, let_out_track}) {
      data->topology.circle[h][index] = track(*data, h, index).is_circle();
    }
  }
  if (setup.limbs.upper.segments != setup.limbs.lower.segments) {
    throw InputError("limbs.lower.segments", std::to_string(setup.limbs.lower.segments),
                     "must equal limbs.upper.segments");
  }
  switch (setup.limbs.upper.segments + (flexing ? 1 : 0)) {
    case 1:
      compile_links<1>(*data, flexing, like, like_arrow);
      break;
    case 2:
      compile_links<2>(*data, flexing, like, like_arrow);
      break;
    case 3:
      compile_links<3>(*data, flexing, like, like_arrow);
      break;
    case 4:
      compile_links<4>(*data, flexing, like, like_arrow);
      break;
    case 5:
      compile_links<5>(*data, flexing, like, like_arrow);
      break;
    default:
      throw InputError("limbs.upper.segments", std::to_string(setup.limbs.upper.segments),
                       "must be at most 5, or 4 with a flexing riser end");
  }
  return data;
}

}  // namespace nockwise::detail
