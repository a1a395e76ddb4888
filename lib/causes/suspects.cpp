#include "causes/suspects.hpp"

namespace nockwise::detail {

namespace {

/// An end of the riser that gives under the limb's load: the bow acts as if its cams were out of time, although the
/// stops touch together.
Adjustment riser_end(const std::string& half) {
  constexpr double step = 5.0e-5;  // [rad/(N·m)]
  Adjustment a;
  a.name = "riser." + half + "_end";
  a.title = "flex of the riser's " + half + " end";
  a.group = AdjustmentGroup::geometry;
  a.parameters = {{"riser." + half + "_end_compliance", step}};
  a.unit = TradeUnit::riser_flex;
  a.amount_per_step = 1e3 * step;
  a.positive = "a riser whose " + half + " end gives {} more";
  a.negative = "a riser whose " + half + " end gives {} less";
  a.cause_positive = "the riser's " + half + " end gives {} more than the setup says";
  a.cause_negative = "the riser's " + half + " end gives {} less than the setup says";
  a.limit = "not an adjustment of the bow: only another riser changes it";
  a.rare_prior = 1.0;
  a.prior_reason =
      "a twentieth of a milliradian per newton metre: under a limb's full moment a millimetre at the pocket, by which "
      "light risers give at one end more than at the other";
  a.plannable = false;
  return a;
}

}  // namespace

std::vector<Adjustment> suspects(const Setup& setup) {
  std::vector<Adjustment> all = adjustments(setup);
  all.push_back(riser_end("upper"));
  all.push_back(riser_end("lower"));
  return all;
}

}  // namespace nockwise::detail
