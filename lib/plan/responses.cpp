#include "plan/responses.hpp"

#include "nockwise/error.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

namespace nockwise::detail {

namespace {

Change operator-(const Change& a, const Change& b) {
  return {a.up - b.up, a.right - b.right, a.gap - b.gap, a.draw - b.draw};
}

Change blend(const Change& a, const Change& b, double share) {
  const auto mix = [share](double x, double y) { return x + share * (y - x); };
  return {mix(a.up, b.up), mix(a.right, b.right), mix(a.gap, b.gap), mix(a.draw, b.draw)};
}

Change operator+(const Change& a, const Change& b) {
  return {a.up + b.up, a.right + b.right, a.gap + b.gap, a.draw + b.draw};
}

Change change_of(const OutputValues& after, const OutputValues& before) {
  const auto by = [&](Output output) { return after[output] - before[output]; };
  return {by(Output::tear_up), by(Output::tear_right), by(Output::stop_gap), by(Output::draw_length)};
}

/// Between the two that are known next to `steps`.
Change between(const std::map<int, Change>& known, int steps) {
  const auto next = known.lower_bound(steps);
  if (next == known.end()) {
    return std::prev(next)->second;
  }
  if (next == known.begin() || next->first == steps) {
    return next->second;
  }
  const auto before = std::prev(next);
  return blend(before->second, next->second,
               static_cast<double>(steps - before->first) / static_cast<double>(next->first - before->first));
}

/// The launches of one candidate.
class CandidateRange {
 public:
  CandidateRange(const Adjustment& a, std::size_t bows)
      : least_(static_cast<int>(std::ceil(a.least_steps))), most_(static_cast<int>(std::floor(a.most_steps))) {
    for (std::size_t h = 0; h < bows; ++h) {
      for (int s = least_; s <= most_; ++s) {
        if (s != 0 && (h == 0 || s == least_ || s == most_ || std::abs(s) == 1)) {
          shots_.push_back({h, s});
        }
      }
    }
  }

  struct Planned {
    std::size_t bow = 0;
    int steps = 0;
  };
  [[nodiscard]] const std::vector<Planned>& shots() const { return shots_; }

  /// `answer` points at the shots of what is planned, in its order.
  [[nodiscard]] Response response(const std::vector<Shot>& before, std::vector<Shot>::const_iterator answer) const {
    Response r{least_, most_, {}};
    std::vector<std::map<int, Change>> known(before.size());
    for (const Planned& each : shots_) {
      const Shot& shot = *answer++;
      if (shot.flew) {
        known[each.bow][each.steps] = change_of(shot.value, before[each.bow].value);
      } else if (each.steps < 0) {
        r.least = std::max(r.least, each.steps + 1);
      } else {
        r.most = std::min(r.most, each.steps - 1);
      }
    }
    for (auto& each : known) {
      each[0] = {};
    }
    for (int s = r.least; s <= r.most; ++s) {
      r.change.push_back(at(known, s));
    }
    return r;
  }

 private:
  [[nodiscard]] static std::vector<Change> at(const std::vector<std::map<int, Change>>& known, int steps) {
    const Change first = known.front().at(steps);
    std::vector<Change> all;
    for (const auto& own : known) {
      std::map<int, Change> correction;
      for (const auto& [s, change] : own) {
        const auto same = known.front().find(s);
        if (same != known.front().end()) {
          correction[s] = change - same->second;
        }
      }
      all.push_back(first + between(correction, steps));
    }
    return all;
  }

  int least_, most_;
  std::vector<Planned> shots_;
};

}  // namespace

ShotRequest request_for(const PlanProblem& problem, const std::vector<Adjustment>& candidates, std::size_t bow,
                        const Steps& steps) {
  try {
    Setup moved = problem.bows[bow].bow;
    for (std::size_t i = 0; i < steps.size(); ++i) {
      if (steps[i] != 0) {
        moved = adjusted(moved, candidates[i], steps[i]);
      }
    }
    return {.setup = moved, .distance = problem.bows[bow].distance.value_or(problem.distance), .statics = bow == 0};
  } catch (const InputError& error) {
    return {.setup = problem.bows[bow].bow, .failure = error.what()};
  }
}

double least_detour(double up, double right, const std::vector<Change>& parts) {
  std::vector<std::size_t> order(parts.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  double least = 1e300;
  do {
    double worst = 0.0;
    double x = up;
    double z = right;
    for (std::size_t k = 0; k < order.size(); ++k) {
      x += parts[order[k]].up;
      z += parts[order[k]].right;
      if (k + 1 < order.size()) {  // the end is judged as an end
        worst = std::max({worst, std::fabs(x) - std::fabs(up), std::fabs(z) - std::fabs(right)});
      }
    }
    least = std::min(least, worst);
  } while (std::next_permutation(order.begin(), order.end()));
  return least;
}

void measure_responses(const PlanProblem& problem, const std::vector<Adjustment>& candidates,
                       const std::vector<Shot>& before, const std::vector<std::size_t>& wanted,
                       std::vector<Response>& responses, std::size_t& launches) {
  std::vector<std::size_t> missing;
  std::vector<CandidateRange> ranges;
  std::vector<ShotRequest> requests;
  for (const std::size_t i : wanted) {
    if (!responses[i].change.empty()) {
      continue;
    }
    missing.push_back(i);
    ranges.emplace_back(candidates[i], problem.bows.size());
    for (const auto& each : ranges.back().shots()) {
      Steps steps(candidates.size(), 0);
      steps[i] = each.steps;
      requests.push_back(request_for(problem, candidates, each.bow, steps));
    }
  }
  std::vector<Shot> answers = shoot_many(requests, problem.execution);
  launches += requests.size();
  std::size_t next = 0;
  for (const CandidateRange& range : ranges) {
    for (const auto& each : range.shots()) {  // as those before are
      answers[next] = with_unexplained(std::move(answers[next]), problem.bows[each.bow]);
      ++next;
    }
  }
  auto answer = answers.cbegin();
  for (std::size_t k = 0; k < missing.size(); ++k) {
    responses[missing[k]] = ranges[k].response(before, answer);
    answer += static_cast<std::ptrdiff_t>(ranges[k].shots().size());
  }
}

}  // namespace nockwise::detail
