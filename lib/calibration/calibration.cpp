#include "nockwise/calibration.hpp"

#include "causes/case_ranges.hpp"
#include "causes/model.hpp"
#include "nockwise/error.hpp"
#include "nockwise/parameters.hpp"
#include "numerics/dense_solvers.hpp"
#include "numerics/nonlinear_least_squares.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace nockwise {

namespace {

using detail::CaseModel;

constexpr double enough = 0.6;  // of the width before

/// A calibration parameter as the model's unknowns are: one step is one width.
Adjustment unknown_for(const CalibrationParameter& parameter) {
  Adjustment a;
  a.name = a.title = parameter.title;
  for (const std::string& path : parameter.paths) {
    a.parameters.push_back({path, parameter.width});
  }
  return a;
}

void require_positive(const std::string& what, double value) {
  if (!(value > 0.0) || !std::isfinite(value)) {
    throw InputError(what, format_quantity(value, Quantity::dimensionless), "must be a finite number above 0");
  }
}

void check_count(const char* path, std::size_t count) {
  detail::case_range(path).check(path, static_cast<double>(count));
}

void check_measurements(const Setup& setup, const Measurements& m) {
  check_count("draw_board.readings", m.draw_forces.size());
  for (const DrawForceMeasurement& each : m.draw_forces) {
    detail::case_range("draw_board.draw_length").check("draw_forces.draw_length", each.draw_length);
    detail::case_range("draw_board.force").check("draw_forces.force", each.force);
    detail::case_range("draw_board.error").check("draw_forces.error", each.error);
  }
  check_count("speeds", m.speeds.size());
  for (const SpeedMeasurement& each : m.speeds) {
    detail::case_range("speeds.speed").check("speeds.speed", each.speed);
    detail::case_range("speeds.error").check("speeds.error", each.error);
    detail::check_changes(setup, each.changes, "speeds.changes");
  }
  detail::check_tears(setup, m.tears);
  detail::check_checks(m.checks);
  if (m.draw_forces.empty() && m.speeds.empty() && m.tears.empty() && m.checks.empty()) {
    throw InputError("measurements", "", "must hold at least one measurement");
  }
}

CaseModel model_for(const Setup& setup, const Measurements& m, const std::vector<CalibrationParameter>& parameters,
                    const detail::Execution& execution) {
  std::vector<Adjustment> unknowns;
  for (const CalibrationParameter& each : parameters) {
    require_positive(each.title + ".width", each.width);
    require_positive(each.title + ".farthest", each.farthest);
    for (const std::string& path : each.paths) {
      (void)parameter(path);
    }
    unknowns.push_back(unknown_for(each));
  }
  CaseModel model(setup, std::move(unknowns), Eigen::VectorXd::Ones(parameters.size()), execution);
  for (const DrawForceMeasurement& each : m.draw_forces) {
    model.add_draw_force(each.draw_length, each.force, each.error);
  }
  for (const SpeedMeasurement& each : m.speeds) {
    model.add_check({"chronograph_speed", each.speed, each.error}, each.changes);
  }
  for (const TearObservation& each : m.tears) {
    model.add_tear(each.changes, each.distance, each);
  }
  for (const CheckObservation& each : m.checks) {
    model.add_check(each);
  }
  return model;
}

/// Residuals in standard deviations, with one row per unknown that holds it near what was given. The free variables v
/// are unbounded: steps = farthest · tanh(v / farthest).
class Problem {
 public:
  Problem(CaseModel& model, Eigen::VectorXd farthest) : model_(model), farthest_(std::move(farthest)) {}

  [[nodiscard]] Eigen::Index unknown_count() const { return model_.size(); }
  [[nodiscard]] Eigen::Index reading_count() const { return std::ssize(model_.readings()); }
  [[nodiscard]] Eigen::Index residual_count() const { return reading_count() + unknown_count(); }
  /// The model's state at v, in widths of the parameters.
  [[nodiscard]] Eigen::VectorXd steps(const Eigen::VectorXd& v) const {
    const Eigen::VectorXd inside = (v.array() / farthest_.array()).tanh() * farthest_.array();
    return model_.clamped(inside);
  }

  void residual(const Eigen::VectorXd& v, Eigen::VectorXd& f) const {
    const Eigen::VectorXd state = steps(v);
    const auto predicted = model_.predict({state});
    constexpr double unshootable = 1e4;  // so that the step is taken back
    f.head(reading_count()).setConstant(unshootable);
    if (predicted.front()) {
      f.head(reading_count()) = model_.residual(*predicted.front());
    }
    f.tail(unknown_count()) = state;
  }
  void jacobian(const Eigen::VectorXd& v, Eigen::MatrixXd& j) const {
    Eigen::VectorXd centre;
    const Eigen::MatrixXd slopes = scaled_slopes(steps(v), centre);
    const Eigen::ArrayXd inner = (v.array() / farthest_.array()).tanh();
    const Eigen::VectorXd steps_by_v = 1.0 - inner * inner;
    // A residual falls as its prediction rises.
    j.topRows(reading_count()) = -slopes * steps_by_v.asDiagonal();
    j.bottomRows(unknown_count()) = Eigen::MatrixXd(steps_by_v.asDiagonal());
  }
  /// d(predicted reading)/d(step), in standard deviations per width; `centre` receives the predictions at `state`.
  [[nodiscard]] Eigen::MatrixXd scaled_slopes(const Eigen::VectorXd& state, Eigen::VectorXd& centre) const {
    constexpr double difference = 0.05;  // either way [widths]
    Eigen::MatrixXd slopes = model_.jacobian(state, difference, centre);
    for (Eigen::Index r = 0; r < slopes.rows(); ++r) {
      slopes.row(r) /= model_.readings()[r].standard_deviation;
    }
    return slopes;
  }

 private:
  CaseModel& model_;
  Eigen::VectorXd farthest_;
};

void describe(Calibration& c) {
  for (const CalibratedParameter& each : c.parameters) {
    if (!each.determined) {
      c.findings.push_back("Not determined by these measurements: " + each.parameter.title + ".");
    }
    if (each.at_bound) {
      c.findings.push_back("At its bound: " + each.parameter.title + ". The setup may be wrong in something else.");
    }
  }
  for (const CalibrationResidual& each : c.residuals) {
    if (std::fabs(each.measured - each.computed) > 2.0 * each.error) {
      c.findings.push_back("Does not fit: " + each.what + ".");
    }
  }
}

}  // namespace

std::vector<CalibrationParameter> calibration_parameters(const Setup& setup) {
  const auto width = [&](const std::string& path) { return standard_deviation(setup, parameter(path)); };
  const auto both = [&](const char* title, const std::string& part, const std::string& name) {
    const std::string upper = part + ".upper." + name;
    return CalibrationParameter{title, {upper, part + ".lower." + name}, width(upper), 3.0};
  };
  std::vector<CalibrationParameter> list = {
      both("stiffness of the limbs", "limbs", "torsion_stiffness"),
      {"preload angle of the limbs", {"limbs.upper.free_angle", "limbs.lower.free_angle"}, 0.02, 3.0},
      both("moving mass of the limbs", "limbs", "effective_mass"),
      both("inertia of the cams", "cams", "inertia"),
      {"rigidity of the string", {"string.axial_rigidity"}, width("string.axial_rigidity"), 3.0},
      both("rigidity of the cables", "cables", "axial_rigidity"),
      {"length of both cables", {"cables.upper.length", "cables.lower.length"}, 0.002, 3.0},
      {"upper cam's cable against the lower", {"cables.upper.twists"}, 0.75, 3.0},
      {"nocking point", {"string.nocking_point"}, 0.003, 3.0},
  };
  if (setup.rest.kind != RestKind::none) {
    list.push_back({"rest height", {"rest.height"}, 0.003, 3.0});
    list.push_back({"centre shot", {"rest.center_shot"}, 0.0016, 3.0});
  }
  std::erase_if(list, [](const CalibrationParameter& each) { return each.width == 0.0; });  // known exactly
  return list;
}

Calibration calibrate(const Setup& setup, const Measurements& measurements,
                      std::vector<CalibrationParameter> parameters, std::optional<int> threads,
                      const std::atomic<bool>* stop) {
  check_measurements(setup, measurements);
  if (parameters.empty()) {
    parameters = calibration_parameters(setup);
  }
  CaseModel model = model_for(setup, measurements, parameters, {threads, stop});
  Eigen::VectorXd farthest(model.size());
  for (Eigen::Index i = 0; i < model.size(); ++i) {
    farthest[i] = parameters[i].farthest;
  }
  const Problem problem(model, farthest);
  const detail::LeastSquaresProblem least_squares{
      problem.unknown_count(), problem.residual_count(),
      [&problem](const Eigen::VectorXd& v, Eigen::VectorXd& f) { problem.residual(v, f); },
      [&problem](const Eigen::VectorXd& v, Eigen::MatrixXd& j) { problem.jacobian(v, j); }};
  Eigen::VectorXd v = Eigen::VectorXd::Zero(model.size());
  detail::levenberg_marquardt(least_squares, 40, 1e-5, v);
  const Eigen::VectorXd state = problem.steps(v);
  Eigen::VectorXd centre;
  const Eigen::MatrixXd slopes = problem.scaled_slopes(state, centre);
  Eigen::MatrixXd normal = detail::gram_matrix(slopes);
  normal.diagonal().array() += 1.0;
  const Eigen::MatrixXd covariance = detail::inverse_of(normal);

  Calibration result;
  result.setup = model.bow(state);
  result.setup.provenance += std::string(setup.provenance.empty() ? "" : " ") + "Calibrated by nockwise to " +
                             std::to_string(model.readings().size()) + " measured numbers.";
  for (Eigen::Index i = 0; i < model.size(); ++i) {
    for (Eigen::Index j = 0; j < model.size(); ++j) {
      result.covariance.push_back(covariance(i, j) * parameters[i].width * parameters[j].width);
    }
    CalibratedParameter fitted;
    fitted.parameter = parameters[i];
    fitted.change = state[i] * fitted.parameter.width;
    const double left = std::sqrt(covariance(i, i));
    fitted.deviation = left * fitted.parameter.width;
    fitted.determined = left < enough;
    fitted.at_bound = std::fabs(state[i]) > 0.97 * farthest[i];
    result.parameters.push_back(std::move(fitted));
  }
  for (std::size_t r = 0; r < model.readings().size(); ++r) {
    const detail::Reading& reading = model.readings()[r];
    result.residuals.push_back(
        {reading.what, reading.value, centre[r], reading.standard_deviation * detail::per_reading_error});
  }
  result.misfit = model.residual(centre).squaredNorm() / static_cast<double>(model.readings().size());
  result.launches = model.launches();
  describe(result);
  return result;
}

namespace {

/// What a member's readings lack before anything is fitted; nothing where it cannot be shot.
std::optional<double> lack_before(const EnsembleMember& member, const Measurements& measurements,
                                  const detail::Execution& execution) {
  CaseModel model = model_for(member.setup, measurements, {}, execution);
  const auto predicted = model.predict({Eigen::VectorXd(0)});
  if (!predicted.front()) {
    return std::nullopt;
  }
  return model.residual(*predicted.front()).squaredNorm();
}

/// What a calibrated bow's readings lack, and how far its unknowns had to go for it.
double lack_after(const Calibration& calibration) {
  double sum = calibration.misfit * static_cast<double>(calibration.residuals.size());
  for (const CalibratedParameter& each : calibration.parameters) {
    const double widths = each.change / each.parameter.width;
    sum += widths * widths;
  }
  return sum;
}

/// What of the measurements can be read at members before anything is fitted.
std::vector<EnsembleReading> readings_of(const Measurements& measurements) {
  std::vector<EnsembleReading> readings;
  for (const DrawForceMeasurement& each : measurements.draw_forces) {
    readings.push_back({ReadingKind::draw_force, "", 1.0, each.draw_length, each.force, each.error});
  }
  for (const SpeedMeasurement& each : measurements.speeds) {
    if (each.changes.empty()) {
      readings.push_back({ReadingKind::speed, "", 1.0, 0.0, each.speed, each.error});
    }
  }
  return readings;
}

}  // namespace

Calibration calibrate_within(const BowEnsemble& ensemble, const Measurements& measurements,
                             const std::vector<CalibrationParameter>& parameters, std::optional<int> threads,
                             const std::atomic<bool>* stop) {
  check_measurements(ensemble.central.setup, measurements);
  const BowEnsemble moved =
      refined(ensemble, readings_of(measurements),
              {.members = static_cast<int>(std::clamp<std::size_t>(ensemble.members.size(), 12, 100)),
               .threads = threads,
               .stop = stop});
  constexpr std::size_t most_tried = 4;
  std::vector<std::pair<double, const EnsembleMember*>> nearest;
  for (const EnsembleMember& member : moved.members) {
    if (const auto lack = lack_before(member, measurements, {threads, stop}); lack) {
      nearest.emplace_back(*lack, &member);
    }
  }
  if (nearest.empty()) {
    throw SolverError("calibration within an ensemble", "no member can be shot as it was measured");
  }
  std::sort(nearest.begin(), nearest.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  nearest.resize(std::min(most_tried, nearest.size()));
  std::optional<Calibration> best;
  double least = 0.0;
  std::size_t launches = moved.members.size();
  for (const auto& [before, member] : nearest) {
    Calibration each = calibrate(member->setup, measurements, parameters, threads, stop);
    launches += each.launches;
    const double lack = lack_after(each);
    if (!best || lack < least) {
      least = lack;
      each.findings.insert(each.findings.begin(), "Tracks and limb geometry are those of " + member->setup.name +
                                                      ", which fits best of " + std::to_string(moved.members.size()) +
                                                      " bows of its sheet.");
      best = std::move(each);
    }
  }
  best->launches = launches;
  return std::move(*best);
}

}  // namespace nockwise
