// March and fit: what the bow builder does without elastic equilibria (lib/README.md, "A bow from its
// sheet").
#include "bow_builder/moving_parts.hpp"
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
/// The march begins this share of the power stroke from brace: nearer, the force is too small to say what the string's
/// tension is, and the track goes on as it began.
constexpr double march_begins_measured = 0.10;
constexpr double march_begins_designed = 0.06;
/// Room of the track past full draw, and before brace where the cam runs on after the shot [rad].
constexpr double margin_full = 0.60;
constexpr double margin_brace = 0.75;
/// Of the take-up track; a designed curve has no short waves [rad].
constexpr double knot_spacing_measured = 4.0 * pi / 180.0;
constexpr double knot_spacing_designed = 5.0 * pi / 180.0;

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

/// A string from the nock to its circle: unstretched length with the wrap's constant left out [m].
double string_length(const kernel::TrackTable<double>& track, kernel::Vector2<double> axle, double nock_x,
                     double cam_angle) {
  const kernel::Vector2<double> span{nock_x - axle.x, -axle.y};
  kernel::RunDirection<double> direction = kernel::aim(span);
  if (!kernel::settle_run_direction<kernel::TrackRole::let_out>(direction, track, cam_angle, {}, span)) {
    return 0.0;
  }
  double ignored = 0.0;
  return kernel::solve_line<kernel::TrackRole::let_out>(direction, track, cam_angle, kernel::FarEnd<double>{}, span,
                                                        ignored)
      .length;
}

}  // namespace

BowBuilder::BowBuilder(const BowMeasurements& measurements, const Guesses& guesses, Setup base, const Closeness& close)
    : m_(measurements),
      guesses_(guesses),
      close_(close),
      wanted_(m_.draw_curve.empty()
                  ? commanded_curve(m_, {guesses.fullness, 1.0 - *m_.let_off, guesses.corners}, *m_.peak_force)
                  : measured_curve(m_)),
      command_(wanted_),
      setup_(std::move(base)),
      nocking_point_(setup_.string.nocking_point),
      march_begins_(m_.draw_curve.empty() ? march_begins_designed : march_begins_measured) {
  setup_.name = m_.name;
  setup_.provenance = m_.provenance;
  if (m_.draw_curve.empty() && (m_.chronograph || m_.rated_speed)) {
    set_moving_parts(setup_, guesses_.heaviness);
  }
  place_limbs(wanted_.energy(wanted_.wall()));
  constexpr double near_the_tip = 0.95;  // a limb-driven rest's cord stays on the limb
  double& attachment = setup_.rest.arm.cord_attachment;
  if (setup_.rest.kind == RestKind::limb_driven) {
    attachment = std::min(attachment, near_the_tip * guesses_.limb_length);
  }
  const double height = 0.5 * m_.axle_to_axle;
  // F ≈ 2 T x / ℓ near brace.
  const double near = wanted_.brace() + 0.05 * (wanted_.wall() - wanted_.brace());
  brace_tension_ = 0.5 * height * wanted_.force(near) / (near - wanted_.brace());
  half_.string_rate = setup_.string.axial_rigidity / (height + 0.2);
  half_.cable_rate = setup_.cables.upper.axial_rigidity / (2.0 * height + 0.05);
}

StopKind BowBuilder::stop_kind(Side side) const {
  switch (m_.stop) {
    case StopPegs::limb:
      return StopKind::limb;
    case StopPegs::cable:
      return StopKind::cable;
    default:
      return side == Side::lower ? StopKind::limb : StopKind::cable;
  }
}

void BowBuilder::place_limbs(double energy) {
  const double length = guesses_.limb_length;
  const double angle = guesses_.brace_angle;
  const double height = 0.5 * m_.axle_to_axle - length * std::cos(angle);
  if (height - std::fabs(m_.center_above_grip) < 0.05) {
    throw InputError("measurements.limb.effective_length", format_quantity(length, Quantity::length, "mm"),
                     "must be shorter for this axle-to-axle length: the limbs would begin in the grip");
  }
  const double across = std::cos(angle) - guesses_.closing / length;
  const double travel = std::acos(std::max(across, -0.95)) - angle;
  double stiffness = 0.0;
  double moment = 0.0;  // at brace
  if (m_.limb.torsion_stiffness) {
    // E = 2 (τ Δ + k Δ²/2).
    stiffness = *m_.limb.torsion_stiffness;
    moment = 0.5 * energy / travel - 0.5 * stiffness * travel;
    if (!(moment > 0.0)) {
      throw InputError(
          "measurements.limb.torsion_stiffness", format_quantity(stiffness, Quantity::torsion_stiffness),
          "must be smaller: such limbs would be slack at brace for the energy of this draw and this travel");
    }
  } else {
    moment = 0.5 * energy / (travel * (1.0 + 0.5 * guesses_.growth));
    stiffness = guesses_.growth * moment / travel;
  }
  limbs_hold_ = energy;
  half_.limb_length = length;
  half_.stiffness = stiffness;
  half_.free_angle = angle - moment / stiffness;
  constexpr double strongest = 1200.0;  // [N·m]
  if (half_.free_angle < -1.5 || moment + stiffness * travel > strongest) {
    throw InputError("measurements.limb.travel", format_quantity(travel, Quantity::angle, "deg"),
                     "must be larger: limbs that move so little cannot hold the " +
                         display(energy, Quantity::energy, "J", 0) + " of this draw");
  }
  half_.pivot = {-m_.brace_height + length * std::sin(angle), height};
  place_cams();
  double ignored = 0.0;
  half_.pivot.x += kernel::evaluate(half_.string_track, pi, ignored).p;
  for (Limb* limb : {&setup_.limbs.upper, &setup_.limbs.lower}) {
    limb->pivot_x = half_.pivot.x;
    limb->effective_length = length;
    limb->torsion_stiffness = stiffness;
    limb->free_angle = half_.free_angle - limb->bolt_turns * limb->angle_per_turn;
  }
  place_grip(0.0);
}

void BowBuilder::place_cams() {
  // The string's circle lets out, while the cam turns as guessed, what the string needs from brace to full draw.
  const double angle = guesses_.brace_angle;
  const double across = std::cos(angle) - guesses_.closing / half_.limb_length;
  const double back = half_.limb_length * (std::sqrt(1.0 - across * across) - std::sin(angle));
  const double height = 0.5 * m_.axle_to_axle;
  const auto circle_of = [&](double radius) {
    return CircleTrack{radius, m_.cam.string_eccentricity.value_or(guesses_.eccentricity * radius),
                       guesses_.string_direction};
  };
  const auto lack = [&](double radius) {  // of let-out [m]; falls as the circle grows
    const kernel::TrackTable<double> track = circle_table(circle_of(radius));
    double ignored = 0.0;
    const double axle_x = kernel::evaluate(track, pi, ignored).p - m_.brace_height;
    return string_length(track, {axle_x - back, height - guesses_.closing}, -wanted_.wall(), guesses_.cam_turn) -
           string_length(track, {axle_x, height}, -m_.brace_height, 0.0);
  };
  double radius = m_.cam.string_radius.value_or(0.0);
  if (radius == 0.0) {
    double low = 0.015;
    double high = 0.14;
    for (int i = 0; i < 40; ++i) {
      radius = 0.5 * (low + high);
      (lack(radius) > 0.0 ? low : high) = radius;
    }
  }
  const CircleTrack circle = circle_of(radius);
  constexpr double largest_eccentricity = 0.9;  // [radii]
  if (circle.eccentricity > largest_eccentricity * radius) {
    throw InputError("measurements.cam.string_eccentricity",
                     format_quantity(circle.eccentricity, Quantity::length, "mm"),
                     "must not be more than 0.9 of the radius of the string's track, which is " +
                         display(radius, Quantity::length, "mm", 1) + " for this draw");
  }
  half_.string_track = circle_table(circle);
  half_.crossed = m_.cabling == Cabling::crossed;
  half_.let_out_track = circle_table({guesses_.let_out_radius, 0.0, 0.0});
  for (const Side side : {Side::upper, Side::lower}) {
    Cam& each = cam(side);
    each.string_track = circle;
    each.let_out_track.reset();
    if (half_.crossed || (m_.cabling == Cabling::hybrid && side == Side::lower)) {
      each.let_out_track = CircleTrack{guesses_.let_out_radius, 0.0, 0.0};
    }
    each.stop.kind = stop_kind(side);
    const bool yoked = m_.cabling == Cabling::yoke || (m_.cabling == Cabling::hybrid && side == Side::lower);
    cable(side).end = yoked ? CableEnd::yoke : CableEnd::let_out;
  }
}

void BowBuilder::place_grip(double share) {
  setup_.limbs.upper.pivot_y = half_.pivot.y + share * m_.center_above_grip;
  setup_.limbs.lower.pivot_y = half_.pivot.y - share * m_.center_above_grip;
  setup_.string.nocking_point = share * nocking_point_;
}

std::vector<DrawDemand> BowBuilder::demands() const {
  const double begin = command_.brace() + march_begins_ * (command_.wall() - command_.brace());
  const int stride = m_.draw_curve.empty() ? 2 : 1;  // a designed curve has no short waves
  std::vector<DrawDemand> demands;
  for (int i = 0; i <= DrawCurve::intervals; i += stride) {
    const double distance = command_.knot(i);
    if (distance >= begin) {
      demands.push_back({-distance, command_.force(distance), command_.energy(distance)});
    }
  }
  return demands;
}

void BowBuilder::march_and_fit() {
  brace_ = brace_state(half_, guesses_.brace_angle, brace_tension_);
  half_.string_natural = string_length(half_.string_track, half_.axle(brace_.limb_angle), -m_.brace_height, 0.0) -
                         brace_tension_ / half_.string_rate;
  const auto wanted = demands();
  states_ = march(half_, brace_, wanted);
  distances_.clear();
  for (const DrawDemand& demand : wanted) {
    distances_.push_back(-demand.nock_x);
  }
  for (const Side side : {Side::upper, Side::lower}) {
    takes_[static_cast<int>(side)] = takes_at(side);
    fit_take_up(side);
  }
  set_anchors();
  set_lengths();
  set_stop_from_march();
}

std::vector<BowBuilder::Take> BowBuilder::takes_at(Side side) const {
  std::vector<HalfState> all{brace_};
  all.insert(all.end(), states_.begin(), states_.end());
  std::vector<Take> takes(all.size());
  if (m_.cabling != Cabling::hybrid) {
    for (std::size_t i = 0; i < all.size(); ++i) {
      takes[i] = {all[i].take_up_normal, all[i].take_up_lever, all[i].cable_tension};
    }
    return takes;
  }
  // The march knows the mean of the two cables. With q the length that either takes in per turn of the cams, the yoked
  // one has the lever p = q, the other p = q + p_o, because the lower cam lets out what p_o winds off; the cams'
  // balance T_u p_u = T p_s and T_l p_l = T p_s + T_u p_o then divides the load. They stretch unlike, which either
  // lever must make good so that the cams stay together.
  const double let_out = guesses_.let_out_radius;
  std::vector<double> unlike(all.size(), 0.0);  // stretch of the lower cam's cable less the upper's [m]
  std::vector<double> share(all.size(), 0.0);   // of its change that either lever makes good [m]
  for (int i = 0; i < 8; ++i) {
    for (std::size_t k = 0; k < all.size(); ++k) {
      const double moment = all[k].cable_tension * all[k].take_up_lever;
      const double upper = moment / (all[k].take_up_lever + let_out - share[k]);
      const double lower = (moment + upper * let_out) / (all[k].take_up_lever + share[k]);
      unlike[k] = (lower - upper) / half_.cable_rate;
      takes[k].tension = side == Side::upper ? upper : lower;
      takes[k].lever =
          side == Side::upper ? all[k].take_up_lever + let_out - share[k] : all[k].take_up_lever + share[k];
    }
    for (std::size_t k = 1; k < all.size(); ++k) {
      const std::size_t next = std::min(k + 1, all.size() - 1);
      const std::size_t last = std::max<std::size_t>(k - 1, 1);
      const double slope = (unlike[next] - unlike[last]) / (all[next].cam_angle - all[last].cam_angle);
      const double most = 0.4 * std::min(all[k].take_up_lever, let_out);
      share[k] = 0.5 * share[k] + 0.5 * std::clamp(0.5 * slope, -most, most);
    }
    share[0] = share[1];
  }
  for (std::size_t k = 0; k < all.size(); ++k) {
    const double far = side == Side::upper ? let_out : 0.0;
    const double height = half_.axle(all[k].limb_angle).y;
    const double u = -std::acos(std::clamp(-(takes[k].lever + far) / (2.0 * height), -1.0, 1.0));
    takes[k].normal = u + kernel::normal_shift(kernel::TrackRole::take_up) - all[k].cam_angle;
  }
  return takes;
}

void BowBuilder::fit_take_up(Side side) {
  const std::vector<Take>& takes = takes_[static_cast<int>(side)];
  std::vector<FitPoint> points;
  double lowest = takes.front().normal;
  double least = takes.front().lever;
  for (std::size_t i = 1; i < takes.size(); ++i) {
    points.push_back({takes[i].normal, takes[i].lever, 1.0});
    lowest = std::min(lowest, takes[i].normal);
    least = std::min(least, takes[i].lever);
  }
  if (!(least > 0.0)) {
    throw refusal(m_, "would need a cable that pulls on the other side of the axle at full draw: ask for less let-off");
  }
  const double first = lowest - margin_full;
  const double last = takes.front().normal + margin_brace;
  const double spacing = m_.draw_curve.empty() ? knot_spacing_designed : knot_spacing_measured;
  const int count = static_cast<int>(std::ceil((last - first) / spacing)) + 1;
  SplineTrack track{first, (last - first) / (count - 1), {}};
  track.distance = fit_track(first, track.angle_step, count, points, rule_.smoothing, rule_.limits);
  const auto spline = kernel::uniform_cubic_spline(track.angle_step, track.distance);
  if (!(kernel::smallest_radius(first, track.angle_step, spline).radius > 2e-4)) {
    throw refusal(m_,
                  "would need a take-up track that is hollow somewhere, which no taut cable can follow: ask for less "
                  "let-off, a gentler curve or a larger string track");
  }
  cam(side).take_up_track = track;
}

void BowBuilder::set_anchors() {
  double string_lowest = pi;
  for (const HalfState& state : states_) {
    string_lowest = std::min(string_lowest, state.string_normal);
  }
  // The posts stand a little past what full draw unwinds.
  constexpr double past = 0.35;
  for (const Side side : {Side::upper, Side::lower}) {
    const auto& track = std::get<SplineTrack>(cam(side).take_up_track);
    const double last = track.first_angle + track.angle_step * (static_cast<double>(track.distance.size()) - 1.0);
    cam(side).string_anchor_angle = string_lowest - past;
    cam(side).take_up_anchor_angle = last - 1e-6;
    cam(side).let_out_anchor_angle = 0.0;
  }
  for (const Side side : {Side::upper, Side::lower}) {
    if (cable(side).end == CableEnd::yoke) {
      continue;
    }
    double lowest = pi;
    const std::vector<Take>& takes = takes_[static_cast<int>(side)];
    for (std::size_t i = 1; i < takes.size(); ++i) {  // φ_B = π/2 − u − α with u = φ_A − π/2 + α
      lowest = std::min(lowest, pi - takes[i].normal - 2.0 * states_[i - 1].cam_angle);
    }
    cam(side == Side::upper ? Side::lower : Side::upper).let_out_anchor_angle = lowest - past;
  }
}

void BowBuilder::set_lengths() {
  const CompiledTrack string_track(setup_.cams.upper.string_track);
  const double half_string = half_.string_natural - wrap(string_track, setup_.cams.upper.string_anchor_angle);
  half_.string_rate = setup_.string.axial_rigidity / half_string;
  setup_.string.length = 2.0 * half_string * (1.0 + standard_tension / setup_.string.axial_rigidity);
  const double height = half_.axle(brace_.limb_angle).y;
  double rates = 0.0;
  for (const Side side : {Side::upper, Side::lower}) {
    const Take& take = takes_[static_cast<int>(side)].front();
    const CompiledTrack take_up(cam(side).take_up_track);
    const double u = take.normal - kernel::normal_shift(kernel::TrackRole::take_up);
    double stretched = -2.0 * height * std::sin(u) - take_up.evaluate(take.normal).area +
                       wrap(take_up, cam(side).take_up_anchor_angle) + way_aside(side, height, u);
    if (cable(side).end == CableEnd::let_out) {
      const Cam& far = cam(side == Side::upper ? Side::lower : Side::upper);
      const CompiledTrack let_out(*far.let_out_track);
      stretched += let_out.evaluate(0.5 * pi - u).area - wrap(let_out, far.let_out_anchor_angle);
    }
    const double rigidity = cable(side).axial_rigidity;
    const double natural = stretched / (1.0 + take.tension / rigidity);
    rates += 0.5 * rigidity / natural;
    const double sign = side == Side::upper ? 1.0 : -1.0;
    cable(side).length = natural * (1.0 + standard_tension / rigidity) + sign * 0.5 * cable_difference_;
  }
  half_.cable_rate = rates;
}

double BowBuilder::stop_angle_at(Side side, std::size_t state) const {
  if (stop_kind(side) == StopKind::limb) {
    return states_[state].cam_angle - states_[state].limb_angle;
  }
  const DrawStop& stop = cam(side).stop;
  const Take& take = takes_[static_cast<int>(side)][state + 1];
  return take.normal - std::acos(std::clamp((take.lever - stop.peg_size) / stop.radius, -1.0, 1.0));
}

void BowBuilder::set_stop_from_march() {
  std::size_t i = distances_.size() - 1;
  while (i > 0 && distances_[i] > wanted_.wall()) {
    --i;
  }
  const double share = (wanted_.wall() - distances_[i]) / (distances_[i + 1] - distances_[i]);
  for (const Side side : {Side::upper, Side::lower}) {
    cam(side).stop.angle = stop_angle_at(side, i) * (1.0 - share) + stop_angle_at(side, i + 1) * share;
  }
}

}  // namespace nockwise::detail
