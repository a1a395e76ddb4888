// What to do about a tear when only the bow's sheet is known (nockwise/ensemble.hpp).
#include "ensemble/ranges.hpp"
#include "ensemble/readings.hpp"
#include "nockwise/error.hpp"
#include "nockwise/units.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise {

namespace {

/// A part of a tear that nobody would see [m].
constexpr double clean = 0.0016;
/// A move that takes less than this share of it away is none.
constexpr double worth_while = 0.3;

void check_tear(const char* path, double tear) {
  constexpr double largest = 0.3;
  if (!(std::fabs(tear) <= largest)) {
    throw InputError(path, format_quantity(tear, Quantity::length, "in"), "must be a tear of at most 300 mm");
  }
}

/// Whole steps within the adjustment's limits.
double whole_steps(const Adjustment& adjustment, double wanted) {
  return std::clamp(std::round(wanted), std::ceil(adjustment.least_steps), std::floor(adjustment.most_steps));
}

std::string in_words(const EnsembleMove& move) {
  if (move.agreement == Agreement::sign_and_size) {
    return describe_steps(move.adjustment, move.steps) + ", and shoot again";
  }
  if (move.agreement == Agreement::sign) {
    const double half =
        move.adjustment.unit == TradeUnit::twist ? 0.5 * move.steps : whole_steps(move.adjustment, 0.5 * move.steps);
    return describe_steps(move.adjustment, half == 0.0 ? move.steps : half) +
           ", shoot again, and go on by what the hole says";
  }
  return "leave this for now: " + move.adjustment.title + "; whether it helps or hurts is open";
}

/// One row against one part of the tear; false where it does too little.
bool make_move(const EnsembleRow& row, bool sideways, double tear, const std::vector<double>& weights,
               EnsembleMove& move) {
  const std::vector<double>& per_step = sideways ? row.right_of : row.up_of;
  const EnsembleRange& range = sideways ? row.right : row.up;
  move.adjustment = row.adjustment;
  move.sideways = sideways;
  // The least squares of what is left over the members.
  double product = 0.0;
  double square = 0.0;
  std::vector<double> needed;
  for (std::size_t k = 0; k < per_step.size(); ++k) {
    product += weights[k] * per_step[k];
    square += weights[k] * per_step[k] * per_step[k];
    constexpr double nothing = 1e-7;  // [m] per step: never
    needed.push_back(-tear / (std::fabs(per_step[k]) < nothing ? std::copysign(nothing, per_step[k]) : per_step[k]));
  }
  move.steps_needed = detail::range_of(needed, weights);
  move.agreement = range.same_size ? Agreement::sign_and_size : range.same_sign ? Agreement::sign : Agreement::nothing;
  const double least_squares = square > 0.0 ? -tear * product / square : 0.0;
  move.steps = whole_steps(row.adjustment, move.agreement == Agreement::nothing ? -tear / range.median : least_squares);
  std::vector<double> left;
  for (const double each : per_step) {
    left.push_back(tear + move.steps * each);
  }
  move.left = detail::range_of(left, weights);
  move.instruction = in_words(move);
  return move.steps != 0.0 && std::fabs(move.left.median) < (1.0 - worth_while) * std::fabs(tear);
}

void add_moves(const BowEnsemble& ensemble, const EnsembleTears& tears, bool sideways, double tear,
               std::vector<EnsembleMove>& moves) {
  if (std::fabs(tear) < clean) {
    return;
  }
  const std::vector<double> weights = detail::weights_of(ensemble);
  std::vector<EnsembleMove> own;
  for (const EnsembleRow& row : tears.rows) {
    EnsembleMove move;
    if (!row.adjustment.plannable || !make_move(row, sideways, tear, weights, move)) {
      continue;
    }
    if (move.agreement != Agreement::sign_and_size) {
      move.settled_by = settling_tests(ensemble, tears, row.adjustment.name).front();
    }
    own.push_back(std::move(move));
  }
  std::stable_sort(own.begin(), own.end(), [](const EnsembleMove& a, const EnsembleMove& b) {
    return std::pair(static_cast<int>(a.agreement), a.adjustment.effort) <
           std::pair(static_cast<int>(b.agreement), b.adjustment.effort);
  });
  moves.insert(moves.end(), own.begin(), own.end());
}

}  // namespace

EnsemblePlan ensemble_plan(const BowEnsemble& ensemble, const EnsembleTears& tears, double up, double right) {
  check_tear("up", up);
  check_tear("right", right);
  EnsemblePlan plan;
  const bool height_first = std::fabs(up) >= std::fabs(right);
  add_moves(ensemble, tears, !height_first, height_first ? up : right, plan.moves);
  add_moves(ensemble, tears, height_first, height_first ? right : up, plan.moves);
  plan.cautions = general_cautions();
  for (const EnsembleMove& move : plan.moves) {
    const auto same = [&](const Caution& caution) {
      return move.adjustment.caution && caution.words == move.adjustment.caution->words;
    };
    if (move.adjustment.caution && std::none_of(plan.cautions.begin(), plan.cautions.end(), same)) {
      plan.cautions.push_back(*move.adjustment.caution);
    }
  }
  return plan;
}

}  // namespace nockwise
