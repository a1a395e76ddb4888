/// @file
/// A setup compiled into a mechanism: checked, braced, immutable. All algorithms take a Model.
#pragma once

#include "nockwise/export.hpp"
#include "nockwise/setup.hpp"
#include "nockwise/upper_lower.hpp"

#include <memory>
#include <string>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

namespace detail {
struct ModelAccess;
struct ModelData;
}  // namespace detail

/// Mass, balance and stiffness of the whole arrow.
struct ArrowProperties {
  double mass = 0.0;                ///< [kg]
  double balance_point = 0.0;       ///< mass centre from the nock groove [m]
  double front_of_center = 0.0;     ///< (balance point − half length) / length (ASTM F1435's description) [fraction]
  double static_spine = 0.0;        ///< sag under 1.94 lb on a 28 in span (ASTM F2031) [m]
  double transverse_inertia = 0.0;  ///< about the mass centre [kg·m²]
  std::vector<double> frequencies;  ///< free bending modes, lowest first, at most four [Hz]
};

/// Brace: nobody holds the string.
struct BraceState {
  double brace_height = 0.0;         ///< grip pivot to string, along x [m]
  double axle_to_axle = 0.0;         ///< [m]
  double nock_height = 0.0;          ///< nocking point above the grip pivot [m]
  UpperLower<double> limb_angle;     ///< from the riser's vertical [rad]
  UpperLower<double> cam_angle;      ///< grows in the draw [rad]
  double string_tension = 0.0;       ///< [N]
  UpperLower<double> cable_tension;  ///< of the cable that the cam of this half takes up [N]
  /// How far a string that is pulled by the nock goes before the arrow drops off, by its hold [m].
  double nock_pull_off = 0.0;
  double arrow_square = 0.0;  ///< height of the nock above the point of the shaft over the rest: + nock high [m]
};

/// An immutable compiled bow, arrow and rest. Copies share the data; safe to use from many threads.
class Model {
 public:
  /// Check, compile and brace a setup.
  /// @throws InputError for a value or a combination that cannot be used
  /// @throws SolverError when the bow has no brace, or a line is slack in it
  explicit Model(const Setup& setup);
  [[nodiscard]] const Setup& setup() const;
  [[nodiscard]] ArrowProperties arrow() const;
  [[nodiscard]] BraceState brace() const;

 private:
  friend detail::ModelAccess;
  explicit Model(std::shared_ptr<const detail::ModelData> data);

  std::shared_ptr<const detail::ModelData> data_;
};

}  // namespace nockwise
