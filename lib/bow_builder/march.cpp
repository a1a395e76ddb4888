// March and fit: what the bow builder does without elastic equilibria (lib/README.md, "A bow from what can be
// measured").
#include "bow_builder/passes.hpp"
#include "nockwise/error.hpp"
#include "nockwise/units.hpp"
#include "numerics/spline_fit.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

namespace nockwise::detail {

namespace {

constexpr double pi = std::numbers::pi;
constexpr double standard_tension = 444.8221615260500;  // 100 lbf, see compile/bow.cpp [N]
/// The march begins this share of the power stroke from brace: nearer, the force is too small to give the string's
/// tension, and the track is extrapolated.
constexpr double march_begins = 0.10;
/// Room of the track past full draw, and before brace where the cam runs on after the shot [rad].
constexpr double margin_full = 0.60;
constexpr double margin_brace = 0.75;
constexpr double knot_spacing = 4.0 * pi / 180.0;

double wrap(const CompiledTrack& track, double angle) {
  const TrackPoint t = track.evaluate(angle);
  return t.area + t.slope;
}

/// The demand on the draw force cannot be met.
InputError refusal(const BowMeasurements& m, const std::string& allowed) {
  return m.draw_curve.empty()
             ? InputError("measurements.let_off", format_quantity(*m.let_off, Quantity::percent), allowed)
             : InputError("measurements.draw_curve", "", allowed);
}

kernel::TrackTable<double> circle_table(const CircleTrack& circle) {
  return kernel::circle_table(circle.radius, circle.eccentricity, circle.angle);
}

}  // namespace

BowBuilder::BowBuilder(const BowMeasurements& measurements, Setup base)
    : m_(measurements), wanted_(wanted_curve(measurements)), command_(wanted_), setup_(std::move(base)) {
  setup_.name = m_.name;
  setup_.provenance = m_.provenance;
  place_limbs();
  const double height = 0.5 * m_.axle_to_axle;
  // F ≈ 2 T x / ℓ near brace.
  const double near = wanted_.brace() + 0.05 * (wanted_.wall() - wanted_.brace());
  brace_tension_ = 0.5 * height * wanted_.force(near) / (near - wanted_.brace());
  half_.string_rate = setup_.string.axial_rigidity / (height + 0.2);
  half_.cable_rate = setup_.cables.upper.axial_rigidity / (2.0 * height + 0.05);
}

void BowBuilder::place_limbs() {
  const CamGuess& cam = m_.cam;
  const CircleTrack circle{cam.string_radius, cam.string_eccentricity, cam.string_direction};
  half_.string_track = circle_table(circle);
  half_.crossed = m_.cabling == CableEnd::let_out;
  half_.let_out_track = circle_table({cam.let_out_radius, 0.0, 0.0});
  double ignored = 0.0;
  const double string_lever = kernel::evaluate(half_.string_track, pi, ignored).p;
  const double length = m_.limb.effective_length;
  const double angle = m_.limb.brace_angle;
  half_.limb_length = length;
  half_.pivot = {string_lever - m_.brace_height + length * std::sin(angle),
                 0.5 * m_.axle_to_axle - length * std::cos(angle)};
  if (half_.pivot.y - std::fabs(m_.center_above_grip) < 0.05) {
    throw InputError("measurements.limb.effective_length", format_quantity(length, Quantity::length, "mm"),
                     "must be shorter for this axle-to-axle length: the limbs would begin in the grip");
  }
  const double energy = wanted_.energy(wanted_.wall());
  const double travel = m_.limb.travel;
  // E = 2 (τ Δ + k Δ²/2) with the moment τ at brace; by default τ grows by a third, k Δ = τ/3.
  const double stiffness = m_.limb.torsion_stiffness.value_or(energy / (7.0 * travel * travel));
  const double moment = 0.5 * energy / travel - 0.5 * stiffness * travel;
  if (!(moment > 0.0)) {
    throw InputError("measurements.limb.torsion_stiffness", format_quantity(stiffness, Quantity::torsion_stiffness),
                     "must be smaller: such limbs would be slack at brace for the energy of this draw and this travel");
  }
  half_.stiffness = stiffness;
  half_.free_angle = angle - moment / stiffness;
  if (half_.free_angle < -1.5 || moment + stiffness * travel > 1200.0) {
    throw InputError("measurements.limb.travel", format_quantity(travel, Quantity::angle, "deg"),
                     "must be larger: limbs that move so little cannot hold the " +
                         display(energy, Quantity::energy, "J", 0) + " of this draw");
  }
  for (Limb* limb : {&setup_.limbs.upper, &setup_.limbs.lower}) {
    limb->pivot_x = half_.pivot.x;
    limb->pivot_y = half_.pivot.y + (limb == &setup_.limbs.upper ? 1.0 : -1.0) * m_.center_above_grip;
    limb->effective_length = length;
    limb->torsion_stiffness = stiffness;
    limb->free_angle = half_.free_angle - limb->bolt_turns * limb->angle_per_turn;
  }
  for (Cam* each : {&setup_.cams.upper, &setup_.cams.lower}) {
    each->string_track = circle;
    each->let_out_track.reset();
    if (half_.crossed) {
      each->let_out_track = CircleTrack{cam.let_out_radius, 0.0, 0.0};
    }
    each->stop.kind = m_.stop;
  }
  setup_.cables.upper.end = m_.cabling;
  setup_.cables.lower.end = m_.cabling;
}

std::vector<DrawDemand> BowBuilder::demands() const {
  const double begin = command_.brace() + march_begins * (command_.wall() - command_.brace());
  std::vector<DrawDemand> demands;
  for (int i = 0; i <= DrawCurve::intervals; ++i) {
    const double distance = command_.knot(i);
    if (distance >= begin) {
      demands.push_back({-distance, command_.force(distance), command_.energy(distance)});
    }
  }
  return demands;
}

void BowBuilder::march_and_fit() {
  brace_ = brace_state(half_, m_.limb.brace_angle, brace_tension_);
  const auto axle = half_.axle(brace_.limb_angle);
  const kernel::Vector2<double> span{-m_.brace_height - axle.x, -axle.y};
  kernel::RunDirection<double> run_direction = brace_.string;
  double ignored = 0.0;
  const auto line = kernel::solve_line<kernel::TrackRole::let_out>(run_direction, half_.string_track, 0.0,
                                                                   kernel::FarEnd<double>{}, span, ignored);
  half_.string_natural = line.length - brace_tension_ / half_.string_rate;
  const auto wanted = demands();
  states_ = march(half_, brace_, wanted);
  distances_.clear();
  for (const DrawDemand& demand : wanted) {
    distances_.push_back(-demand.nock_x);
  }
  fit_take_up();
  set_anchors();
  set_lengths();
  set_stop_from_march();
}

void BowBuilder::fit_take_up() {
  std::vector<FitPoint> points;
  double lowest = states_.front().take_up_normal;
  for (const HalfState& state : states_) {
    points.push_back({state.take_up_normal, state.take_up_lever, 1.0});
    lowest = std::min(lowest, state.take_up_normal);
  }
  const double first = lowest - margin_full;
  const double last = brace_.take_up_normal + margin_brace;
  const int count = static_cast<int>(std::ceil((last - first) / knot_spacing)) + 1;
  SplineTrack track{first, (last - first) / (count - 1), {}};
  track.distance = fit_track(first, track.angle_step, count, points, rule_.smoothing, rule_.smallest_radius);
  const auto spline = kernel::uniform_cubic_spline(track.angle_step, track.distance);
  if (!(kernel::smallest_radius(first, track.angle_step, spline).radius > 2e-4)) {
    throw refusal(m_,
                  "would need a take-up track that is hollow somewhere, which no taut cable can follow: ask for less "
                  "let-off, a gentler curve or a larger string track");
  }
  const double least = std::min_element(points.begin(), points.end(), [](const FitPoint& p, const FitPoint& q) {
                         return p.value < q.value;
                       })->value;
  if (!(least > 0.0)) {
    throw refusal(m_, "would need a cable that pulls on the other side of the axle at full draw: ask for less let-off");
  }
  setup_.cams.upper.take_up_track = track;
  setup_.cams.lower.take_up_track = track;
}

void BowBuilder::set_anchors() {
  const auto& track = std::get<SplineTrack>(setup_.cams.upper.take_up_track);
  const double last = track.first_angle + track.angle_step * (static_cast<double>(track.distance.size()) - 1.0);
  double string_lowest = pi;
  double let_out_lowest = pi;
  for (const HalfState& state : states_) {
    string_lowest = std::min(string_lowest, state.string_normal);
    let_out_lowest = std::min(let_out_lowest, state.let_out_normal);
  }
  // The posts stand a little past what full draw unwinds.
  for (Cam* cam : {&setup_.cams.upper, &setup_.cams.lower}) {
    cam->string_anchor_angle = string_lowest - 0.35;
    cam->take_up_anchor_angle = last - 1e-6;
    cam->let_out_anchor_angle = half_.crossed ? let_out_lowest - 0.35 : 0.0;
  }
}

void BowBuilder::set_lengths() {
  const Cam& cam = setup_.cams.upper;
  const CompiledTrack string_track(cam.string_track);
  const CompiledTrack take_up(cam.take_up_track);
  const double half_string = half_.string_natural - wrap(string_track, cam.string_anchor_angle);
  half_.string_rate = setup_.string.axial_rigidity / half_string;
  setup_.string.length = 2.0 * half_string * (1.0 + standard_tension / setup_.string.axial_rigidity);
  const auto axle = half_.axle(brace_.limb_angle);
  double stretched = -2.0 * axle.y * std::sin(brace_.cable_run_direction) -
                     take_up.evaluate(brace_.take_up_normal).area + wrap(take_up, cam.take_up_anchor_angle);
  if (half_.crossed) {
    const CompiledTrack let_out(*cam.let_out_track);
    stretched += let_out.evaluate(brace_.let_out_normal).area - wrap(let_out, cam.let_out_anchor_angle);
  }
  const double rigidity = setup_.cables.upper.axial_rigidity;
  const double natural = stretched / (1.0 + brace_.cable_tension / rigidity);
  half_.cable_rate = rigidity / natural;
  const double length = natural * (1.0 + standard_tension / rigidity);
  setup_.cables.upper.length = length + 0.5 * cable_difference_;
  setup_.cables.lower.length = length - 0.5 * cable_difference_;
}

double BowBuilder::stop_angle_at(const HalfState& state) const {
  if (m_.stop == StopKind::limb) {
    return state.cam_angle - state.limb_angle;
  }
  const DrawStop& stop = setup_.cams.upper.stop;
  return state.take_up_normal - std::acos(std::clamp((state.take_up_lever - stop.peg_size) / stop.radius, -1.0, 1.0));
}

void BowBuilder::set_stop_from_march() {
  std::size_t i = distances_.size() - 1;
  while (i > 0 && distances_[i] > wanted_.wall()) {
    --i;
  }
  const double share = (wanted_.wall() - distances_[i]) / (distances_[i + 1] - distances_[i]);
  const double angle = stop_angle_at(states_[i]) * (1.0 - share) + stop_angle_at(states_[i + 1]) * share;
  setup_.cams.upper.stop.angle = angle;
  setup_.cams.lower.stop.angle = angle;
}

}  // namespace nockwise::detail
