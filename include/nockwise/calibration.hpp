/// @file
/// Fit a bow's uncertain parameters to what a workshop measures: draw forces, chronograph speeds, the stop gap, tears.
#pragma once

#include "nockwise/ensemble.hpp"
#include "nockwise/explanation.hpp"
#include "nockwise/export.hpp"
#include "nockwise/ignorance.hpp"

#include <atomic>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace NOCKWISE_EXPORT nockwise {

/// One unknown: one parameter, or several that are moved alike (both limbs).
struct CalibrationParameter {
  std::string title;
  std::vector<std::string> paths;
  double width = 0.0;     ///< how far off it may well be: standard deviation before the measurements [SI]; above 0
  double farthest = 3.0;  ///< bound either way [widths]
};

/// Force on the draw scale.
struct DrawForceMeasurement {
  double draw_length = 0.0;  ///< AMO, that is grip pivot to nock plus 1 3/4 in [m]
  double force = 0.0;        ///< [N]
  double error = 2.0;        ///< the truth lies within ± this in 19 of 20 measurements [N]
};

/// Speed of one arrow as a chronograph sees it, and how that arrow differs from the setup's.
struct SpeedMeasurement {
  double speed = 0.0;                      ///< [m/s]
  double error = 0.5;                      ///< in 19 of 20 measurements [m/s]
  std::vector<ParameterChange> changes{};  ///< such as the mass of the point
};

/// Everything measured on one bow.
struct Measurements {
  std::vector<DrawForceMeasurement> draw_forces;
  std::vector<SpeedMeasurement> speeds;
  std::vector<TearObservation> tears;    ///< before and after a known change
  std::vector<CheckObservation> checks;  ///< "stop_gap", "brace_height", "axle_to_axle", …
};

/// One fitted unknown. Values are changes against the setup as given [SI].
struct CalibratedParameter {
  CalibrationParameter parameter;
  double change = 0.0;
  double deviation = 0.0;   ///< standard deviation after the measurements
  bool determined = false;  ///< the measurements narrowed it to less than 0.6 of its width
  bool at_bound = false;
};

/// One measurement and what the calibrated bow gives for it [SI].
struct CalibrationResidual {
  std::string what;
  double measured = 0.0, computed = 0.0;
  double error = 0.0;  ///< in 19 of 20
};

/// The calibrated bow, and how far it can be trusted.
struct Calibration {
  Setup setup;  ///< with its provenance extended; undetermined parameters stay near what was given
  std::vector<CalibratedParameter> parameters;
  std::vector<CalibrationResidual> residuals;
  /// Of the changes, after the measurements: parameters × parameters, row by row [SI].
  std::vector<double> covariance;
  double misfit = 0.0;  ///< mean square of the residuals in standard deviations; about 1 or less in a good fit
  std::vector<std::string> findings;  ///< for people: not determined, at a bound, measurements that do not fit
  std::size_t launches = 0;
};

/// The parameters of a bow that are seldom known well: limbs' stiffness, preload and mass, cams' inertia, rigidity of
/// string and cables, lengths of the cables, nocking point and rest.
[[nodiscard]] std::vector<CalibrationParameter> calibration_parameters(const Setup& setup);

/// Bounded least squares with full launches (Levenberg–Marquardt of Eigen; bounds by a smooth change of variables).
/// @param parameters  empty: calibration_parameters()
/// @param threads     at least 1; none: as many as the machine runs at once
/// @param stop        set it to true to break off
/// @throws InputError for a value that cannot be meant, or no measurement at all
/// @throws SolverError when the setup as given cannot be shot
/// @throws Interrupted when stopped
[[nodiscard]] Calibration calibrate(const Setup& setup, const Measurements& measurements,
                                    std::vector<CalibrationParameter> parameters = {}, std::optional<int> threads = {},
                                    const std::atomic<bool>* stop = nullptr);

/// The same for a bow of which only the sheet is known: tracks and limb geometry may move too, within what is
/// plausible. The ensemble is refined() by draw forces and speeds, the members nearest to all measurements are
/// calibrated, and the one that then fits best with the least changes is taken.
/// @param parameters  empty: calibration_parameters() of each
/// @throws InputError, SolverError, Interrupted as calibrate(); SolverError when no member can be shot
[[nodiscard]] Calibration calibrate_within(const BowEnsemble& ensemble, const Measurements& measurements,
                                           const std::vector<CalibrationParameter>& parameters = {},
                                           std::optional<int> threads = {}, const std::atomic<bool>* stop = nullptr);

/// What is not known of a calibrated bow any more: the directions of ignorance_of() around it, narrowed together by all
/// that was measured. It replaces the widths of the setup's numbers, those that were fitted and all others.
/// @throws InputError for measurements that cannot be meant; SolverError when the calibrated bow cannot be shot;
/// Interrupted when stopped
[[nodiscard]] Ignorance ignorance_after(const Calibration& calibration, const Measurements& measurements,
                                        const IgnoranceOptions& options = {});

/// A bow and what was measured on it.
struct CalibrationCase {
  Setup setup;  ///< as far as it is known
  Measurements measurements;
  std::vector<AssumedValue> assumed;  ///< what the setup's file did not give, for the report
};

/// About how many launches calibrate() will take, within a factor of two as a rule.
[[nodiscard]] std::size_t expected_launches(const CalibrationCase& measured);

/// Reads a file of measurements (TOML). Every number needs its unit; the setup is looked up beside the file. Holes and
/// checks are written as in a case file, see read_case().
///
///     format = 1
///     setup = "larkspur.toml"
///     [draw_board]
///     error = "0.5 lbf"          # of every force, in 19 of 20 readings
///     readings = [["10 in", "16.5 lbf"], ["11 in", "26.5 lbf"]]   # AMO draw length, force
///     [[speeds]]
///     speed = "252 ft/s"
///     error = "1 ft/s"
///     [[speeds]]
///     speed = "238 ft/s"
///     error = "1 ft/s"
///     changes_by = { "arrow.point_mass" = "50 gr" }   # or changes = { … }
///     [[tears]]
///     high = "1/2 in"
///     [[tears]]
///     high = "1/8 in"
///     changes_by = { "cables.upper.twists" = "-1/2 twist" }
///     [checks]
///     stop_gap = { value = "0 in", error = "1/64 in" }
///
/// @throws InputError with file, line and column for whatever cannot be meant
[[nodiscard]] CalibrationCase read_calibration_case(const std::filesystem::path& file);
/// The same for the text of a file; the setup is looked up in `folder`.
[[nodiscard]] CalibrationCase parse_calibration_case(std::string_view toml, const std::filesystem::path& folder,
                                                     const std::string& source_name = "measurements");

/// The fit for people, as Markdown: what was fitted, how well the measurements are met, what they could not determine.
/// `assumed` is what the setup's file did not give.
[[nodiscard]] std::string calibration_markdown(const Calibration& calibration,
                                               const std::vector<AssumedValue>& assumed = {});

}  // namespace nockwise
