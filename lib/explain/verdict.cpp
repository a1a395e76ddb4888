#include "explain/verdict.hpp"

#include "causes/words.hpp"
#include "nockwise/paper.hpp"
#include "nockwise/units.hpp"
#include "numerics/dense_solvers.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

constexpr double one_in_a_thousand = 3.09;  // normal quantile

bool same_place(const Reading& a, const Reading& b) {
  constexpr double apart = 0.15;  // [m] nearer than that is the same distance
  return a.kind == b.kind && a.variant == b.variant && a.what == b.what && std::fabs(a.place - b.place) < apart;
}

/// Whether readings of one and the same thing differ by more than readers err: then no bow shows all of them.
bool repeats_disagree(const CaseModel& model) {
  const std::vector<Reading>& all = model.readings();
  std::vector<bool> counted(all.size(), false);
  double chi_square = 0.0;
  double degrees = 0.0;
  for (std::size_t i = 0; i < all.size(); ++i) {
    double weight = 0.0;
    double sum = 0.0;
    double square = 0.0;
    for (std::size_t k = i; k < all.size(); ++k) {
      if (counted[k] || !same_place(all[i], all[k])) {
        continue;
      }
      counted[k] = true;
      const double w = 1.0 / (all[k].standard_deviation * all[k].standard_deviation);
      weight += w;
      sum += w * all[k].value;
      square += w * all[k].value * all[k].value;
      degrees += 1.0;
    }
    if (weight > 0.0) {
      chi_square += std::max(0.0, square - sum * sum / weight);
      degrees -= 1.0;
    }
  }
  return degrees > 0.5 && chi_square > chi_square_limit(degrees, one_in_a_thousand);
}

std::string join(const std::vector<std::string>& words) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) {
    text += (i == 0 ? "" : i + 1 == words.size() ? " and " : ", ") + words[i];
  }
  return text;
}

/// What was to be expected after the latest work, and what came.
std::string forecast_words(const TearObservation& seen, const Forecast& foretold) {
  PaperTear came;
  came.up = seen.up;
  came.right = seen.right;
  const bool inside = seen.up >= foretold.low[0] && seen.up <= foretold.high[0] && seen.right >= foretold.low[1] &&
                      seen.right <= foretold.high[1];
  return "By the holes before it, " + range_words(foretold.low[0], foretold.high[0], "tail-high", "tail-low") +
         " and " + range_words(foretold.low[1], foretold.high[1], "tail-right", "tail-left") +
         " was to be expected after the latest work (90 %). It came: " + describe_tear(came, 0.0005) +
         (foretold.missed ? ", which is not what this bow does."
          : inside        ? "."
                          : ", which is outside, as one hole in ten may be.");
}

/// What is measured of a bow in a minute or two, and was not.
std::vector<std::string> entries_to_check(const Case& observed) {
  struct Entry {
    const char* check;
    const char* words;
  };
  static constexpr Entry entries[] = {{"peak_force", "peak weight"},
                                      {"brace_height", "brace height"},
                                      {"axle_to_axle", "axle-to-axle length"},
                                      {"draw_length", "draw length"},
                                      {"chronograph_speed", "the arrow's mass and speed"},
                                      {"arrow.bending_stiffness", "its spine and point"},
                                      {"rest.center_shot", "where the rest stands"}};
  std::vector<std::string> words;
  for (const Entry& each : entries) {
    if (std::none_of(observed.checks.begin(), observed.checks.end(),
                     [&](const CheckObservation& check) { return check.what == each.check; })) {
      words.emplace_back(each.words);
    }
  }
  return words;
}

/// What of all that is not known would account best for what nothing explains, were it far off alone.
std::vector<std::string> best_accounts(const CaseModel& model, const JointFit& fit, const CaseIgnorance& ignorance) {
  constexpr std::size_t most = 3;
  constexpr double worth_telling = 2.0;  // of chi-square
  constexpr double far = 3.0;            // standard deviations
  std::vector<std::pair<double, std::string>> gains;
  const Eigen::VectorXd left = model.residual(fit.predicted);
  for (Eigen::Index k = 0; k < ignorance.slope.cols(); ++k) {
    const Eigen::VectorXd slope = model.whitened(ignorance.slope.col(k));
    const double size = slope.squaredNorm();
    const double pull = slope.dot(left);
    if (size > 1e-6) {
      gains.emplace_back(pull * pull / (size + 1.0 / (far * far)),
                         ignorance.ignorance.directions[static_cast<std::size_t>(k)].title);
    }
  }
  std::stable_sort(gains.begin(), gains.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
  std::vector<std::string> words;
  for (std::size_t i = 0; i < std::min(most, gains.size()) && gains[i].first > worth_telling; ++i) {
    words.push_back(gains[i].second);
  }
  return words;
}

/// Whether an amount stands where the search for it ended.
bool at_the_end(const CaseModel& model, const SingleFit& fit) {
  constexpr double searched = 2.5;  // prior widths
  constexpr double nearly = 0.98;
  Eigen::VectorXd end = Eigen::VectorXd::Zero(model.size());
  end[fit.which] = std::copysign(searched * model.priors()[fit.which], fit.steps);
  return std::fabs(fit.steps) >= nearly * std::fabs(model.clamped(end)[fit.which]);
}

}  // namespace

Verdict judge(const Case& observed, const Execution& execution, CaseModel& model, Fits& fits,
              CaseIgnorance& ignorance) {
  const auto readings = static_cast<double>(model.readings().size());
  const double limit = chi_square_limit(readings, one_in_a_thousand);
  const double usual = chi_square_limit(readings, one_in_twenty);
  if (fits.joint.objective <= limit && explained_by_few(fits, usual)) {
    return Verdict::explained;
  }
  CaseModel wide(observed, CaseModel::Suspects::all, execution);
  wide.count_launches(model);
  CaseIgnorance besides;
  Fits far = fit_case(wide, ignorance.ignorance, execution, besides);
  const double left = contradiction(wide, far.joint);
  if (far.joint.chi_square <= limit && explained_by_few(far, usual)) {
    model = wide;
    fits = std::move(far);
    ignorance = std::move(besides);
    return Verdict::unusual;
  }
  model.count_launches(wide);
  if (repeats_disagree(model)) {
    return Verdict::contradictory;
  }
  return ignorance.empty() && left <= limit ? Verdict::unexplained : Verdict::not_this_bow;
}

Forecast forecast(const Case& observed, const CaseModel& model, const JointFit& fit, const CaseIgnorance& ignorance) {
  Forecast result;
  const std::size_t latest = observed.tears.front().after;
  std::vector<Eigen::Index> before;
  std::vector<Eigen::Index> now;
  for (std::size_t i = 0; i < observed.tears.size(); ++i) {
    auto& rows = observed.tears[i].after == latest ? now : before;
    rows.push_back(static_cast<Eigen::Index>(2 * i));
    rows.push_back(static_cast<Eigen::Index>(2 * i + 1));
  }
  if (latest == 0 || before.empty()) {
    return result;
  }
  for (std::size_t k = 0; k < observed.checks.size(); ++k) {
    if (observed.checks[k].after < latest) {
      before.push_back(static_cast<Eigen::Index>(2 * observed.tears.size() + k));
    }
  }
  const auto rows = static_cast<Eigen::Index>(model.readings().size());
  Eigen::VectorXd left(rows);
  Eigen::MatrixXd scatter = ignorance.empty() ? Eigen::MatrixXd::Zero(rows, rows) : ignorance.covariance;
  scatter += fit.slopes * model.priors().cwiseAbs2().asDiagonal() * fit.slopes.transpose();
  for (Eigen::Index r = 0; r < rows; ++r) {
    const Reading& reading = model.readings()[static_cast<std::size_t>(r)];
    scatter(r, r) += reading.standard_deviation * reading.standard_deviation;
    left[r] = reading.value - fit.predicted[r];
  }
  left += fit.slopes * fit.steps;  // beforehand no deviation is expected
  const auto part = [&](const std::vector<Eigen::Index>& a, const std::vector<Eigen::Index>& b) {
    Eigen::MatrixXd block(std::ssize(a), std::ssize(b));
    for (Eigen::Index i = 0; i < block.rows(); ++i) {
      for (Eigen::Index k = 0; k < block.cols(); ++k) {
        block(i, k) = scatter(a[static_cast<std::size_t>(i)], b[static_cast<std::size_t>(k)]);
      }
    }
    return block;
  };
  const auto of = [&](const std::vector<Eigen::Index>& a) {
    Eigen::VectorXd values(std::ssize(a));
    for (Eigen::Index i = 0; i < values.size(); ++i) {
      values[i] = left[a[static_cast<std::size_t>(i)]];
    }
    return values;
  };
  const Eigen::MatrixXd gain = part(now, before) * inverse_of(part(before, before));
  const Eigen::VectorXd surprise = of(now) - gain * of(before);
  const Eigen::MatrixXd spread = part(now, now) - gain * part(before, now);
  for (Eigen::Index k = 0; k < 2; ++k) {
    const double middle = model.readings()[static_cast<std::size_t>(k)].value - surprise[k];
    const double half = ninety_percent * std::sqrt(std::max(0.0, spread(k, k)));
    result.low[static_cast<std::size_t>(k)] = middle - half;
    result.high[static_cast<std::size_t>(k)] = middle + half;
  }
  result.made = true;
  result.missed = surprise.dot(inverse_of(spread) * surprise) >
                  chi_square_limit(static_cast<double>(now.size()), one_in_a_thousand);
  return result;
}

void find_doubts(const Case& observed, const CaseModel& model, const Fits& fits, const CaseIgnorance& ignorance,
                 const Forecast& foretold, Explanation& e) {
  if (foretold.made) {
    e.findings.push_back(forecast_words(observed.tears.front(), foretold));
  }
  const SingleFit& first = fits.singles.front();
  if (e.causes.front().explains && at_the_end(model, first)) {
    e.findings.push_back("The amount of " + e.causes.front().words +
                         " stands at the end of what was looked at: it may be more, or something else.");
  }
  if (e.verdict == Verdict::not_this_bow) {
    const std::vector<std::string> entries = entries_to_check(observed);
    if (!entries.empty()) {
      e.findings.push_back("Check against the setup: " + join(entries) + ".");
    }
    if (const std::vector<std::string> best = best_accounts(model, fits.joint, ignorance); !best.empty()) {
      e.findings.push_back(
          "Of what nobody measures, these would account for it best, were they far off: " + join(best) + ".");
    }
    e.findings.emplace_back(
        "Look for what no adjustment is: a stop peg that has moved, a module set to another mark, one limb weaker than "
        "the other (tiller), a cable that has stretched, a nock that pinches the string, and a bent or odd arrow: "
        "shoot another one.");
  }
}

bool may_be_right(const CaseModel& model, const CaseIgnorance& ignorance) {
  if (ignorance.empty()) {
    return false;
  }
  CaseModel supposed = model;
  const auto nominal = supposed.predict({Eigen::VectorXd::Zero(model.size())}).front();
  const auto readings = static_cast<double>(model.readings().size());
  return nominal && model.residual(*nominal).squaredNorm() <= chi_square_limit(readings, one_in_twenty);
}

}  // namespace nockwise::detail
