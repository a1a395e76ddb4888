// How equilibria are found: the members of Statics (statics/statics.hpp). Private; for lib/statics/links_*.cpp.
#pragma once

#include "statics/statics.hpp"

#include <cmath>
#include <string>

namespace nockwise::detail {

template <int Links>
bool Statics<Links>::settle(const Coordinates& q) {
  kernel::HalfMotion<double, Links> m[2]{};
  motions(q, m);
  for (int h = 0; h < 2; ++h) {
    const kernel::Vector2<double> nock{q[L::string_x], kernel::half_sign[h] * q[L::string_y]};
    const auto to_nock = nock - m[h].axle();
    run_directions_.string[h] = kernel::aim(to_nock);
    // NOLINTNEXTLINE(clang-analyzer-core.CallAndMessage): the analyser loses constants copied whole
    if (!kernel::settle_run_direction<kernel::TrackRole::let_out>(run_directions_.string[h], c_.half[h].string_track,
                                                                  m[h].cam, {}, to_nock)) {
      return false;
    }
    const auto across = kernel::mirror(m[1 - h].axle()) - m[h].axle();
    run_directions_.cable[h] = kernel::aim(across);
    const bool let_out = topology_.cable_end[h] == CableEnd::let_out;
    const kernel::FarEnd<double> far{let_out ? &c_.half[1 - h].let_out_track : nullptr, m[1 - h].cam};
    if (!kernel::settle_run_direction<kernel::TrackRole::take_up>(run_directions_.cable[h], c_.half[h].take_up_track,
                                                                  m[h].cam, far, across)) {
      return false;
    }
  }
  return true;
}

template <int Links>
bool Statics<Links>::balance_arm(Coordinates& q, double nock_x, kernel::Vector2<double> pressure_point, double load,
                                 StaticPoint& result) {
  with_arm_ = true;
  arm_load_ = load;
  const bool done = run_to_end(solve_draw(q, nock_x, pressure_point, result));
  with_arm_ = false;
  return done;
}

template <int Links>
kernel::LineLoads<double, Links> Statics<Links>::loads(const Coordinates& q,
                                                       kernel::HalfMotion<double, Links> (&motion)[2]) {
  motions(q, motion);
  return line_loads(q, motion, run_directions_);
}

template <int Links>
kernel::LineLoads<double, Links> Statics<Links>::line_loads(const Coordinates& q,
                                                            const kernel::HalfMotion<double, Links> (&m)[2],
                                                            kernel::RunDirections<double>& run_directions) const {
  static constexpr Coordinates still{};
  kernel::LineLoads<double, Links> loads;
  const auto riser = kernel::riser_motion<double, Links>(q.data(), still.data());
  kernel::add_line_loads(c_, topology_, m, riser, kernel::still_ends<double, Links>(q.data()),
                         kernel::still_lateral<double, Links>(q.data()), q.data(), still.data(), run_directions, loads);
  return loads;
}

template <int Links>
void Statics<Links>::compute(const Coordinates& q, kernel::RunDirections<double>& run_directions, bool with_energy) {
  static constexpr Coordinates still{};
  const auto add_arm = [&](const kernel::HalfMotion<double, Links>(&m)[2], kernel::LineLoads<double, Links>& loads) {
    if (!with_arm_) {
      return;
    }
    const auto riser =
        kernel::in_side_frame(kernel::riser_motion<double, Links>(q.data(), still.data()), topology_.cord_half);
    const kernel::ArmMotion<double> arm{q[L::rest_arm], 0.0};
    kernel::RestState<double> rest;
    if (topology_.rest == RestKind::limb_driven) {
      kernel::add_limb_cord(c_.rest, topology_, riser, m, c_.half, arm, loads, rest);
    } else {
      kernel::add_cable_cord(c_.rest, topology_, riser, m, arm, loads, rest);
    }
    kernel::add_arm_loads(c_.rest, topology_.rest, arm, rest);
    arm_moment_ = rest.arm_moment;
  };
  loads_ = kernel::static_loads(c_, topology_, q.data(), still.data(), run_directions, with_energy, add_arm);
}

template <int Links>
template <class Residual>
auto Statics<Links>::jacobian(const Coordinates& q, int count, const Vector& base, const Residual& residual)
    -> Task<Done> {
  constexpr double step = 1e-7;
  slope_.resize(count, count);
  Vector r(count);
  for (int i = 0; i < count; ++i) {
    Coordinates moved = q;
    const double taken = i >= first_lateral_ && i < angles_ ? step * lateral_sign(base) : step;
    moved[unknowns_[i]] += taken;
    kernel::RunDirections<double> run_directions = run_directions_;
    co_await evaluation(moved, run_directions, false);
    residual(moved, r);
    slope_.col(i) = (r - base) / taken;
  }
  co_return Done{};
}

template <int Links>
Task<bool> Statics<Links>::solve_draw(Coordinates& q, double nock_x, kernel::Vector2<double> pressure_point,
                                      StaticPoint& result, double tolerance) {
  q[L::string_x] = nock_x;
  int count = angles_;
  if (with_arm_) {
    unknowns_[count++] = L::rest_arm;
  }
  const int height_row = count;
  unknowns_[count++] = L::string_y;
  const auto residual = [this, height_row, pressure_point](const Coordinates& at, Vector& r) {
    collect(r);
    const kernel::Vector2<double> arm{at[L::string_x] - pressure_point.x, at[L::string_y] - pressure_point.y};
    r[height_row] = kernel::cross(arm, loads_.nock_force);
  };
  Vector r(count);
  co_await evaluation(q, run_directions_, false);
  residual(q, r);
  bool renew = inverse_.rows() != count;
  for (int iteration = 0; iteration < 40; ++iteration) {
    if (!std::isfinite(r.norm())) {
      break;
    }
    if (renew) {
      co_await jacobian(q, count, r, residual);
      inverse_ = inverse_of(slope_);
    }
    Vector step = -(inverse_ * r);
    const double norm = distance(r);
    keep_in_plane(r, step);
    const double largest = step.cwiseAbs().maxCoeff();
    if (!std::isfinite(largest)) {
      break;
    }
    if (largest > 0.1) {
      step *= 0.1 / largest;
    }
    const Vector before = r;
    double next = norm;
    Coordinates moved = q;
    double scale = 1.0;
    for (int halving = 0; halving < 6; ++halving, scale *= 0.5) {
      for (int i = 0; i < count; ++i) {
        const auto at = unknowns_[i];
        moved[at] = q[at] + scale * step[i];
      }
      co_await evaluation(moved, run_directions_, false);
      residual(moved, r);
      next = distance(r);
      if (next < norm || before.norm() < 1e-8) {
        break;
      }
    }
    // The Jacobian is computed anew where the residual has hardly fallen, else corrected by the step.
    renew = next > 0.4 * norm && r.norm() > 1e-9;
    if (!renew) {
      update_inverse(scale * step, r - before);
    }
    q = moved;
    if (scale * largest < tolerance && r.norm() < 1e4 * tolerance) {
      co_await evaluation(q, run_directions_, true);
      describe(q, result);
      co_return true;
    }
  }
  inverse_.resize(0, 0);
  co_return false;
}

/// Broyden's good update of the inverse Jacobian (Math. Comp. 19, 1965), by the residual's change over a step.
template <int Links>
void Statics<Links>::update_inverse(const Vector& step, const Vector& change) {
  const Vector image = inverse_ * change;
  const double along = step.dot(image);
  if (std::fabs(along) > 0.1 * step.squaredNorm()) {
    const Vector row = inverse_.transpose() * step;
    inverse_ += ((step - image) / along) * row.transpose();
  }
}

template <int Links>
Task<StaticPoint> Statics<Links>::solve_brace(Coordinates q) {
  StaticPoint result;
  const auto fail = [](const std::string& why) { return SolverError("brace", why); };
  if (!settle(q)) {
    throw fail("a string or cable cannot lie taut between its ends; check the tracks and the axle-to-axle length");
  }
  int count = angles_;
  unknowns_[count++] = L::string_x;
  unknowns_[count++] = L::string_y;
  const auto residual = [this, count](const Coordinates& /*at*/, Vector& r) {
    collect(r);
    r[count - 2] = loads_.nock_force.x;
    r[count - 1] = loads_.nock_force.y;
  };
  Vector r(count);
  co_await evaluation(q, run_directions_, true);
  residual(q, r);
  double energy = loads_.energy;
  double damping = 1.0;
  bool converged = false;
  for (int iteration = 0; iteration < 300 && !converged; ++iteration) {
    co_await jacobian(q, count, r, residual);
    Matrix h = -slope_;
    h = (0.5 * (h + h.transpose())).eval();
    bool accepted = false;
    for (int trial = 0; trial < 30 && !accepted; ++trial) {
      Matrix damped = h;
      damped.diagonal().array() += damping;
      Vector step(count);
      if (!solve_positive_definite(damped, r, step) || !step.allFinite() || step.cwiseAbs().maxCoeff() > 0.2) {
        damping = std::max(4.0 * damping, 1e-3);
        continue;
      }
      keep_in_plane(r, step);
      Coordinates moved = q;
      for (int i = 0; i < count; ++i) {
        moved[unknowns_[i]] += step[i];
      }
      const kernel::RunDirections<double> kept = run_directions_;
      Vector next(count);
      if (settle(moved)) {
        co_await evaluation(moved, run_directions_, true);
        residual(moved, next);
        if (loads_.energy <= energy + 1e-12 * std::fabs(energy) || next.norm() < r.norm()) {
          accepted = true;
          converged = step.cwiseAbs().maxCoeff() < 1e-10 && next.norm() < 1e-6;
          q = moved;
          r = next;
          energy = loads_.energy;
          damping *= damping > 1e-12 ? 0.2 : 1.0;
          continue;
        }
      }
      run_directions_ = kept;
      damping = std::max(4.0 * damping, 1e-3);
    }
    if (!accepted) {
      break;
    }
  }
  if (!converged) {
    throw fail("no equilibrium was found; check that string and cable lengths fit the limbs and tracks");
  }
  co_await evaluation(q, run_directions_, true);
  describe(q, result);
  for (int side = 0; side < 2; ++side) {
    if (!(result.string_tension[side] > 0.0)) {
      throw fail("the string is slack: it is too long, or the limbs are too weak, for this brace");
    }
    if (!(result.cable_tension[side] > 0.0)) {
      throw fail(std::string("the ") + half_name(side) + " cable is slack: it is too long for this brace");
    }
  }
  co_return result;
}

}  // namespace nockwise::detail
