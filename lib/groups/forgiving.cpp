// The tune with the smallest group (nockwise/group.hpp).
#include "groups/setting_search.hpp"
#include "groups/shooter.hpp"
#include "groups/statistics.hpp"
#include "nockwise/error.hpp"
#include "nockwise/group.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace nockwise {

namespace {

using detail::Steps;
using detail::Worth;

/// The tunes that are looked at.
class Tunes {
 public:
  Tunes(const Setup& setup, const Scatter& scatter, const std::vector<std::string>& free,
        const ForgivingOptions& options)
      : setup_(setup), scatter_(scatter), options_(options) {
    const std::vector<Adjustment> all = adjustments(setup);
    for (const std::string& name : free) {
      free_.push_back(find_adjustment(all, name));
    }
    const detail::Shooter shooter(setup, scatter, options.group);  // throws where the setup itself cannot be shot
    for (const Caution& each : shooter.launch().cautions) {
      known_.insert(each.kind);
    }
  }

  [[nodiscard]] const std::vector<Adjustment>& free() const { return free_; }
  [[nodiscard]] std::vector<detail::StepRange> ranges() const {
    std::vector<detail::StepRange> ranges;
    for (const Adjustment& each : free_) {
      ranges.push_back(
          {std::max(-options_.most_steps, each.least_steps), std::min(options_.most_steps, each.most_steps)});
    }
    return ranges;
  }

  [[nodiscard]] Setup at(const Steps& steps) const {
    Setup setup = setup_;
    for (std::size_t i = 0; i < steps.size(); ++i) {
      if (steps[i] != 0) {
        setup = adjusted(setup, free_[i], steps[i]);
      }
    }
    return setup;
  }

  [[nodiscard]] Worth look_at(const Steps& steps) const {
    try {
      const detail::Shooter shooter(at(steps), scatter_, options_.group);
      for (const Caution& each : shooter.launch().cautions) {
        if (known_.count(each.kind) == 0) {
          return {};
        }
      }
      detail::Slopes slopes;
      const Forgiveness found = detail::forgiveness_of(shooter, options_.group, slopes);
      const double size =
          std::sqrt(0.5 * (found.deviation_up * found.deviation_up + found.deviation_right * found.deviation_right));
      return {std::max(std::fabs(found.tear_up), std::fabs(found.tear_right)), size};
    } catch (const Interrupted&) {
      throw;
    } catch (const Error&) {
      return {};
    }
  }

 private:
  const Setup& setup_;
  const Scatter& scatter_;
  const ForgivingOptions& options_;
  std::vector<Adjustment> free_;
  std::set<CautionKind> known_;
};

void check(const std::vector<std::string>& free, const ForgivingOptions& options) {
  constexpr std::size_t most = 8;
  if (free.empty() || free.size() > most) {
    throw InputError("free", std::to_string(free.size()) + " adjustments", "must be 1 to 8");
  }
  if (std::set<std::string>(free.begin(), free.end()).size() != free.size()) {
    throw InputError("free", "an adjustment twice", "must name each once");
  }
  if (!(options.within >= 1e-4 && options.within <= 0.1)) {
    throw InputError("within", format_quantity(options.within, Quantity::length, "mm"), "must be from 0.1 to 100 mm");
  }
  if (!(options.most_steps >= 1.0 && options.most_steps <= 20.0)) {
    throw InputError("most_steps", format_quantity(options.most_steps, Quantity::dimensionless),
                     "must be from 1 to 20");
  }
}

std::vector<double> as_numbers(const Steps& steps) { return {steps.begin(), steps.end()}; }

}  // namespace

ForgivingTune forgiving(const Setup& setup, const Scatter& scatter, const std::vector<std::string>& free,
                        const ForgivingOptions& options) {
  check(free, options);
  const Tunes tunes(setup, scatter, free, options);
  detail::SettingSearch search(tunes.ranges(), options.within,
                               [&](const Steps& steps) { return tunes.look_at(steps); });
  const Steps clean = search.cleanest();
  const Steps best = search.smallest_spread(clean);
  if (best.empty()) {
    throw SolverError("the forgiving tune", "of " + std::to_string(search.tried()) + " tunes none tears within " +
                                                display(options.within, Quantity::length, "in", 3) +
                                                "; the smallest hole is " +
                                                display(search.worth(clean).tear, Quantity::length, "in", 3));
  }
  ForgivingTune result;
  result.setup = tunes.at(best);
  result.adjustments = free;
  result.steps = as_numbers(best);
  result.clean_steps = as_numbers(clean);
  for (std::size_t i = 0; i < free.size(); ++i) {
    const Adjustment& each = tunes.free()[i];
    if (best[i] != 0) {
      result.instructions.push_back(describe_steps(each, best[i]));
      if (each.caution) {
        result.cautions.push_back(*each.caution);
      }
    }
  }
  GroupOptions last = options.group;
  last.shots = options.shots;
  result.clean = group(tunes.at(clean), scatter, last);
  result.group = group(result.setup, scatter, last);
  const detail::Gain gain = detail::gain_of(result.clean, result.group);
  result.gain = gain.value;
  result.gain_error = gain.error;
  for (const detail::TriedSteps& each : search.frontier()) {
    result.frontier.push_back({as_numbers(each.steps), each.worth.tear, each.worth.spread});
  }
  result.tried = search.tried();
  const std::vector<Caution>& general = general_cautions();
  result.cautions.insert(result.cautions.end(), general.begin(), general.end());
  return result;
}

}  // namespace nockwise
