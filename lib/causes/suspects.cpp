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

/// A release that lets the nock go aside or upward, by more than a hand's scatter: what a plucked string, a loop that
/// hangs on or the face in the string's way leaves.
Adjustment release(const std::string& name, const std::string& path, const std::string& positive,
                   const std::string& negative) {
  constexpr double feet_per_second = 0.3048;  // [m/s]
  Adjustment a;
  a.name = name;
  a.title = "release that is not clean, " + positive + " or " + negative;
  a.group = AdjustmentGroup::technique;
  a.parameters = {{path, 0.5 * feet_per_second}};
  a.unit = TradeUnit::feet_per_second;
  a.amount_per_step = 0.5;
  a.positive = "let the string go with {} more " + positive;
  a.negative = "let the string go with {} more " + negative;
  a.cause_positive = "the release throws the string {} " + positive;
  a.cause_negative = "the release throws the string {} " + negative;
  a.limit = "not an adjustment of the bow: anchor, face contact and release are a coach's matter";
  a.rare_prior = 2.0;
  a.prior_reason =
      "one foot per second: a release aid leaves a tenth of it, fingers and a face in the string's way several times "
      "as "
      "much (from memory)";
  a.plannable = false;
  return a;
}

}  // namespace

std::vector<Adjustment> suspects(const Setup& setup) {
  std::vector<Adjustment> all = adjustments(setup);
  all.push_back(riser_end("upper"));
  all.push_back(riser_end("lower"));
  all.push_back(release("release.right", "hold.release_right", "to the right", "to the left"));
  all.push_back(release("release.up", "hold.release_up", "upward", "downward"));
  return all;
}

}  // namespace nockwise::detail
