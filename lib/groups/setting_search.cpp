#include "groups/setting_search.hpp"

#include <algorithm>

namespace nockwise::detail {

std::vector<TriedSteps> SettingSearch::frontier() const {
  std::vector<TriedSteps> all;
  for (const auto& [steps, worth] : tried_) {
    if (worth.taken()) {
      all.push_back({steps, worth});
    }
  }
  std::stable_sort(all.begin(), all.end(), [](const TriedSteps& a, const TriedSteps& b) {
    return std::pair(a.worth.tear, a.worth.spread) < std::pair(b.worth.tear, b.worth.spread);
  });
  std::vector<TriedSteps> frontier;
  for (TriedSteps& each : all) {
    if (frontier.empty() || each.worth.spread < frontier.back().worth.spread) {
      frontier.push_back(std::move(each));
    }
  }
  return frontier;
}

const Worth& SettingSearch::worth(const Steps& steps) {
  const auto found = tried_.find(steps);
  return found != tried_.end() ? found->second : tried_.emplace(steps, look_(steps)).first->second;
}

Steps SettingSearch::cleanest() {
  return best(Steps(ranges_.size(), 0), [](const Worth& w) { return w.tear; });
}

Steps SettingSearch::smallest_spread(const Steps& cleanest) {
  // Beyond the limit, every part of it counts as much as ten spreads.
  const auto merit = [within = within_](const Worth& w) {
    return w.spread * (1.0 + 10.0 * std::max(0.0, w.tear / within - 1.0));
  };
  Steps found;
  for (const Steps& from : {cleanest, Steps(ranges_.size(), 0)}) {
    const Steps each = best(from, merit);
    if (worth(each).tear <= within_ && (found.empty() || worth(each).spread < worth(found).spread)) {
      found = each;
    }
  }
  return found;
}

bool SettingSearch::allowed(const Steps& steps) const {
  for (std::size_t i = 0; i < steps.size(); ++i) {
    if (steps[i] < ranges_[i].least || steps[i] > ranges_[i].most) {
      return false;
    }
  }
  return true;
}

Steps SettingSearch::best(const Steps& from, const std::function<double(const Worth&)>& merit) {
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

}  // namespace nockwise::detail
