/// @file
/// A setup compiled into a mechanism: checked, braced, immutable. All algorithms take a Model.
#pragma once

#include "nockwise/export.hpp"
#include "nockwise/setup.hpp"

#include <memory>
#include <string>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

namespace detail {
struct ModelData;
}

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
  double brace_height = 0.0;     ///< grip pivot to string, along x [m]
  double axle_to_axle = 0.0;     ///< [m]
  double nock_height = 0.0;      ///< nocking point above the grip pivot [m]
  double limb_angle[2] = {};     ///< upper, lower; from the riser's vertical [rad]
  double cam_angle[2] = {};      ///< [rad]
  double string_tension = 0.0;   ///< [N]
  double cable_tension[2] = {};  ///< [N]
  double arrow_square = 0.0;     ///< height of the nock above the point of the shaft over the rest: + nock high [m]
};

/// An immutable compiled bow, arrow and rest. Copies share the data; safe to use from many threads.
class Model {
 public:
  /// Check, compile and brace a setup.
  /// @throws InputError for a value or a combination that cannot be used
  /// @throws SolverError when the bow has no brace, or a line is slack in it
  explicit Model(const Setup& setup);
  /// From compiled data; for the library's own use.
  explicit Model(std::shared_ptr<const detail::ModelData> data);

  [[nodiscard]] const Setup& setup() const;
  [[nodiscard]] ArrowProperties arrow() const;
  [[nodiscard]] BraceState brace() const;

  /// The compiled data; for the library's own use.
  [[nodiscard]] const detail::ModelData& data() const { return *data_; }
  /// The same, kept alive.
  [[nodiscard]] const std::shared_ptr<const detail::ModelData>& shared_data() const { return data_; }

 private:
  std::shared_ptr<const detail::ModelData> data_;
};

}  // namespace nockwise
