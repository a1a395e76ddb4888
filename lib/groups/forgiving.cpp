// The tune with the smallest group (nockwise/group.hpp).
#include "groups/shooter.hpp"
#include "groups/statistics.hpp"
#include "nockwise/error.hpp"
#include "nockwise/group.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <set>

namespace nockwise {

namespace {

using Steps = std::vector<int>;

/// What a tune is worth; infinite where it cannot be shot or must not be taken.
struct Worth {
  double tear = std::numeric_limits<double>::infinity();
  double deviation = std::numeric_limits<double>::infinity();
  [[nodiscard]] bool taken() const { return std::isfinite(deviation); }
};

class Search {
 public:
  Search(const Setup& setup, const Scatter& scatter, const std::vector<std::string>& free,
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
  [[nodiscard]] const std::map<Steps, Worth>& tried() const { return tried_; }

  [[nodiscard]] Setup at(const Steps& steps) const {
    Setup setup = setup_;
    for (std::size_t i = 0; i < steps.size(); ++i) {
      if (steps[i] != 0) {
        setup = adjusted(setup, free_[i], steps[i]);
      }
    }
    return setup;
  }

  const Worth& worth(const Steps& steps) {
    const auto found = tried_.find(steps);
    return found != tried_.end() ? found->second : tried_.emplace(steps, look_at(steps)).first->second;
  }

  /// Smallest hole.
  Steps cleanest(const Steps& from) {
    return best(from, [](const Worth& w) { return w.tear; });
  }
  /// Smallest group whose hole is within the limit; beyond it, every part of the limit counts as much as ten groups.
  Steps most_forgiving(const Steps& from) {
    const double within = options_.within;
    return best(from,
                [within](const Worth& w) { return w.deviation * (1.0 + 10.0 * std::max(0.0, w.tear / within - 1.0)); });
  }

 private:
  static constexpr std::size_t most_tried = 4000;

  Worth look_at(const Steps& steps) const {
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

  [[nodiscard]] bool allowed(const Steps& steps) const {
    for (std::size_t i = 0; i < steps.size(); ++i) {
      const double low = std::max(-options_.most_steps, free_[i].least_steps);
      const double high = std::min(options_.most_steps, free_[i].most_steps);
      if (steps[i] < low || steps[i] > high) {
        return false;
      }
    }
    return true;
  }

  /// One adjustment by two steps, by one, then two adjustments by one each, until none is better.
  template <class Merit>
  Steps best(const Steps& from, const Merit& merit) {
    Steps here = from;
    double value = merit(worth(here));
    const auto better = [&](const Steps& there) {
      if (tried_.size() >= most_tried || !allowed(there)) {
        return false;
      }
      const double found = merit(worth(there));
      if (found < value * (1.0 - 1e-9)) {
        here = there;
        value = found;
        return true;
      }
      return false;
    };
    const std::size_t count = here.size();
    const auto alone = [&](int size) {
      bool any = false;
      for (std::size_t i = 0; i < count; ++i) {
        for (const int side : {size, -size}) {
          Steps there = here;
          there[i] += side;
          any = better(there) || any;
        }
      }
      return any;
    };
    const auto together = [&] {
      for (std::size_t i = 0; i < count; ++i) {
        for (std::size_t k = 0; k < i; ++k) {
          for (const auto& [a, b] : {std::pair{1, 1}, {1, -1}, {-1, 1}, {-1, -1}}) {
            Steps there = here;
            there[i] += a;
            there[k] += b;
            if (better(there)) {
              return true;
            }
          }
        }
      }
      return false;
    };
    while (alone(2) || alone(1) || together()) {
    }
    return here;
  }

  const Setup& setup_;
  const Scatter& scatter_;
  const ForgivingOptions& options_;
  std::vector<Adjustment> free_;
  std::set<CautionKind> known_;
  std::map<Steps, Worth> tried_;
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

std::vector<TriedTune> frontier_of(const std::map<Steps, Worth>& tried) {
  std::vector<TriedTune> all;
  for (const auto& [steps, worth] : tried) {
    if (worth.taken()) {
      all.push_back({as_numbers(steps), worth.tear, worth.deviation});
    }
  }
  std::stable_sort(all.begin(), all.end(), [](const TriedTune& a, const TriedTune& b) {
    return a.tear < b.tear || (a.tear == b.tear && a.deviation < b.deviation);
  });
  std::vector<TriedTune> frontier;
  for (const TriedTune& each : all) {
    if (frontier.empty() || each.deviation < frontier.back().deviation) {
      frontier.push_back(each);
    }
  }
  return frontier;
}

}  // namespace

ForgivingTune forgiving(const Setup& setup, const Scatter& scatter, const std::vector<std::string>& free,
                        const ForgivingOptions& options) {
  check(free, options);
  Search search(setup, scatter, free, options);
  const Steps none(free.size(), 0);
  const Steps clean = search.cleanest(none);
  const Steps candidates[] = {search.most_forgiving(clean), search.most_forgiving(none)};
  const Steps* best = nullptr;
  for (const Steps& each : candidates) {
    if (search.worth(each).tear <= options.within &&
        (best == nullptr || search.worth(each).deviation < search.worth(*best).deviation)) {
      best = &each;
    }
  }
  if (best == nullptr) {
    throw SolverError("the forgiving tune",
                      "of " + std::to_string(search.tried().size()) + " tunes none tears within " +
                          display(options.within, Quantity::length, "in", 2) + "; the smallest hole is " +
                          display(search.worth(clean).tear, Quantity::length, "in", 2));
  }
  ForgivingTune result;
  result.setup = search.at(*best);
  result.adjustments = free;
  result.steps = as_numbers(*best);
  result.clean_steps = as_numbers(clean);
  for (std::size_t i = 0; i < free.size(); ++i) {
    const Adjustment& each = search.free()[i];
    if ((*best)[i] != 0) {
      result.instructions.push_back(describe_steps(each, (*best)[i]));
      if (each.caution) {
        result.cautions.push_back(*each.caution);
      }
    }
  }
  GroupOptions last = options.group;
  last.shots = options.shots;
  result.clean = group(search.at(clean), scatter, last);
  result.group = group(result.setup, scatter, last);
  const detail::Gain gain = detail::gain_of(result.clean, result.group);
  result.gain = gain.value;
  result.gain_error = gain.error;
  result.frontier = frontier_of(search.tried());
  result.tried = search.tried().size();
  const std::vector<Caution>& general = general_cautions();
  result.cautions.insert(result.cautions.end(), general.begin(), general.end());
  return result;
}

}  // namespace nockwise
