// Setup → kernel constants for string, cables and yokes (lib/README.md, "Strings, cables, stops"), and what a
// line's length is made of. Private; for compile/bow.cpp and bow_builder/cam_lines.cpp.
#pragma once

#include "compile/model_data.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/setup_file.hpp"

#include <cmath>
#include <numbers>
#include <string>

namespace nockwise::detail {

inline constexpr double standard_tension =
    444.8221615260500;  // 100 lbf: strings and cables are measured under it (AMO FP-3, 2000) [N]

/// Eq. (12): a laid line of length `length` with `lay` twists in it, after `added` more.
inline double twisted_length(double length, double diameter, double lay, double added, const std::string& path) {
  const double turn = std::numbers::pi * diameter;
  const double straight = length * length + turn * lay * turn * lay;
  const double square = straight - turn * (lay + added) * turn * (lay + added);
  if (!(square > 0.0)) {
    throw InputError(path, format_quantity(added, Quantity::twists),
                     "must leave the line a length: there are too many twists for it");
  }
  return std::sqrt(square);
}

inline double unstretched(double length, double axial_rigidity) {
  return length / (1.0 + standard_tension / axial_rigidity);
}

inline kernel::LineConstants<double> elastic_line(double natural, double axial_rigidity, double damping,
                                                  const std::string& path) {
  if (!(natural > 0.01)) {
    throw InputError(path, display(natural, Quantity::length, "mm", 2),
                     "must leave an unstretched length of at least 10 mm");
  }
  return {natural, axial_rigidity / natural, damping};
}

/// P + p′ at the angle where a line is fixed to its track: the constant of its wrap in Eq. (4) [m].
inline double wrap(const CompiledTrack& track, double angle) {
  const TrackPoint t = track.evaluate(angle);
  return t.area + t.slope;
}

/// Index of a track in ModelData::tracks.
enum TrackIndex { string_track = 0, take_up_track = 1, let_out_track = 2, tracks_per_half = 3 };

inline const CompiledTrack& track(const ModelData& data, int half, TrackIndex index) {
  return (*data.tracks)[half * tracks_per_half + index];
}

template <int Links>
void compile_string(const ModelData& data, kernel::Constants<double, Links>& c) {
  const BowString& string = data.setup.string;
  const double length =
      twisted_length(string.length, string.diameter, string.lay_twists, string.twists, "string.twists");
  const double natural = unstretched(length, string.axial_rigidity);
  for (int h = 0; h < 2; ++h) {
    // A nocking point above the middle leaves less of the string to the upper half.
    const double share = 0.5 * natural - kernel::half_sign[h] * string.nocking_point;
    c.string[h] = elastic_line(share, string.axial_rigidity, string.damping, "string.nocking_point");
    // Only now: the stiffness is that of the line without its wrap's constant. Added, since the string is let out.
    c.string[h].natural += wrap(track(data, h, string_track), data.setup.cams[h].string_anchor_angle);
  }
  // As if all of it were free; what is wound comes off when the bow is braced (statics/brace.hpp).
  c.nock_mass = string.mass / 3.0 + string.serving_and_loop_mass;
}

/// Unlike legs move the junction sideways, ζ = (l_left² − l_right²)/(4b), and both shorten the cable (Eq. 13).
inline kernel::YokeConstants<double> compile_yoke(const Yoke& yoke, const std::string& path, double& shortening) {
  const double left =
      twisted_length(yoke.leg_length, yoke.diameter, yoke.lay_twists, yoke.left_twists, path + ".left_twists");
  const double right =
      twisted_length(yoke.leg_length, yoke.diameter, yoke.lay_twists, yoke.right_twists, path + ".right_twists");
  const double b = yoke.half_width;
  const double aside = (left * left - right * right) / (4.0 * b);
  const double square = 0.5 * (left * left + right * right) - b * b - aside * aside;  // alike in both legs
  const double square_as_fitted = yoke.leg_length * yoke.leg_length - b * b;
  if (!(square > 0.0) || !(square_as_fitted > 0.0)) {
    throw InputError(path + ".leg_length", format_quantity(yoke.leg_length, Quantity::length, "m"),
                     "must be longer than half the yoke's width, twists included");
  }
  shortening = std::sqrt(square_as_fitted) - std::sqrt(square);
  return {std::sqrt(square), aside};
}

template <int Links>
void compile_cables(const ModelData& data, kernel::Constants<double, Links>& c) {
  for (int h = 0; h < 2; ++h) {
    const Cable& cable = data.setup.cables[h];
    const std::string path = std::string("cables.") + half_name(h);
    double length = twisted_length(cable.length, cable.diameter, cable.lay_twists, cable.twists, path + ".twists");
    c.yoke[h] = {0.0, 0.0};
    if (cable.end == CableEnd::yoke) {
      double shortening = 0.0;
      c.yoke[h] = compile_yoke(cable.yoke, path + ".yoke", shortening);
      length -= shortening;
    }
    c.cable[h] =
        elastic_line(unstretched(length, cable.axial_rigidity), cable.axial_rigidity, cable.damping, path + ".length");
    c.cable[h].natural -= wrap(track(data, h, take_up_track), data.setup.cams[h].take_up_anchor_angle);
    if (cable.end == CableEnd::let_out) {
      c.cable[h].natural += wrap(track(data, 1 - h, let_out_track), data.setup.cams[1 - h].let_out_anchor_angle);
    }
  }
}

}  // namespace nockwise::detail
