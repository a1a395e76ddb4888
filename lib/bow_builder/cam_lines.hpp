// String and cables of a bow with given cams, at brace. Private; for bow_builder/cam_fit.cpp.
#pragma once

#include "nockwise/setup.hpp"

#include <optional>

namespace nockwise::detail {

/// How the bow shall stand at brace.
struct BraceAim {
  double axle_to_axle = 0.0;            // [m]
  double cam_angle = 0.0;               // of both cams [rad]
  std::optional<double> nock_height{};  // above the grip pivot [m]; none: the nocking point stays where it is tied
};

/// Lengths of string and cables at which the bow is about in balance as it shall stand: in the string's plane, the
/// guard left out. \throws InputError ("axle_to_axle") where the limbs do not reach so far or are not bent there;
/// SolverError where the cams' levers hold no balance
void guess_lines(Setup& setup, const BraceAim& aim);

/// Newton's method on the lengths of string and cables, and the nocking point with it, until the elastic bow braces so.
/// \throws SolverError where it has no such brace
void solve_lines(Setup& setup, const BraceAim& aim);

/// Put a line's post elsewhere on its groove without a change of its free part: the line's length changes with its
/// wrap. `side`: of the cam with the post.
void move_string_anchor(Setup& setup, Side side, double angle);
void move_take_up_anchor(Setup& setup, Side side, double angle);
void move_let_out_anchor(Setup& setup, Side side, double angle);

}  // namespace nockwise::detail
