// Which whole steps: enumeration on the tear matrix with its curvature, then full launches of the best and of their
// neighbours.

#include "nockwise/error.hpp"
#include "plan.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

constexpr double thirty_second = 0.0254 / 32.0;
constexpr std::size_t finalists = 10;
constexpr double hopeless = 1.0e9;

struct Change {
  double up = 0.0, right = 0.0, gap = 0.0, draw = 0.0;  // [m]
};

/// What whole steps of one adjustment do to each bow, from `least` to `most`.
struct Response {
  int least = 0, most = 0;
  std::vector<std::vector<Change>> change;
  [[nodiscard]] const std::vector<Change>& at(int steps) const {
    return change[static_cast<std::size_t>(steps - least)];
  }
};

using Steps = std::vector<int>;

class Search {
 public:
  explicit Search(const PlanStart& start) : start_(start) {}

  PlanMoves run() {
    choose_candidates();
    best_ = Steps(candidates_.size(), 0);
    end_ = shots({best_});
    if (!end_.front().flew) {
      throw SolverError("plan", "the bow as explained cannot be shot: " + end_.front().failure);
    }
    before_ = end_;
    moves_.start = end_.front();
    best_cost_ = cost(end_, best_);
    if (confidence(0.5) < 0.9) {
      measure_responses();
      search(false);
      if (!within(end_.front(), 0.8)) {
        search(true);
      }
    }
    finish();
    return moves_;
  }

 private:
  void choose_candidates() {
    for (const Adjustment& each : adjustments(start_.bows.front().bow)) {
      const bool bolt = each.name.rfind("bolt", 0) == 0 || each.name == "cables.both";
      const bool leg = each.name.ends_with(".left") || each.name.ends_with(".right");  // the cross keeps the sync
      if (each.plannable && !bolt && !leg && (start_.arrow_steps || each.group != AdjustmentGroup::arrow)) {
        candidates_.push_back(each);
      }
    }
  }

  /// Shots of every bow after each of the moves, bows together.
  std::vector<Shot> shots(const std::vector<Steps>& tries) {
    std::vector<ShotRequest> requests;
    for (const Steps& steps : tries) {
      for (std::size_t h = 0; h < start_.bows.size(); ++h) {
        requests.push_back(request(h, steps));
      }
    }
    std::vector<Shot> result;
    for (const ShotResult& each : launch_many(requests, start_.threads)) {
      result.push_back(each.shot);
    }
    moves_.launches += requests.size();
    return result;
  }
  [[nodiscard]] ShotRequest request(std::size_t h, const Steps& steps) const {
    try {
      Setup bow = start_.bows[h].bow;
      for (std::size_t i = 0; i < steps.size(); ++i) {
        if (steps[i] != 0) {
          bow = adjusted(bow, candidates_[i], steps[i]);
        }
      }
      return {bow, "", {start_.distance}, h == 0};
    } catch (const InputError& error) {
      return {start_.bows[h].bow, error.what(), {}, false};
    }
  }

  /// Effort by the order of work: sync only where the stops are known to be off, another arrow last.
  [[nodiscard]] double price(const Adjustment& a) const {
    double group = 0.2;
    if (a.group == AdjustmentGroup::sync) {
      group = start_.gap_known ? 0.2 : 3.0;  // deliberate bias, if the stops touch together
    } else if (a.group == AdjustmentGroup::arrow) {
      group = 4.0;
    } else if (a.needs_press) {
      group = 1.2;
    }
    return group + 0.01 * a.effort;
  }
  [[nodiscard]] double price(const Steps& steps) const {
    double sum = 0.0;
    for (std::size_t i = 0; i < steps.size(); ++i) {
      if (steps[i] != 0) {
        sum += price(candidates_[i]) + 0.1 * std::abs(steps[i]);
      }
    }
    return sum;
  }

  /// Launch every whole step of every candidate; what cannot be shot with every bow ends its range.
  void measure_responses() {
    std::vector<Steps> tries;
    for (std::size_t i = 0; i < candidates_.size(); ++i) {
      for (int s = least_of(i); s <= most_of(i); ++s) {
        tries.emplace_back(candidates_.size(), 0);
        tries.back()[i] = s;
      }
    }
    const std::vector<Shot> answers = shots(tries);
    const std::size_t bows = start_.bows.size();
    responses_.assign(candidates_.size(), {});
    std::size_t k = 0;
    for (std::size_t i = 0; i < candidates_.size(); ++i) {
      Response& r = responses_[i];
      r.least = least_of(i);
      bool ended = false;
      for (int s = least_of(i); s <= most_of(i); ++s, k += bows) {
        const auto first = answers.begin() + static_cast<std::ptrdiff_t>(k);
        const auto last = first + static_cast<std::ptrdiff_t>(bows);
        const bool flew = std::all_of(first, last, [](const Shot& shot) { return shot.flew; });
        if (!flew && s < 0) {
          r.least = s + 1;
          r.change.clear();
        }
        ended = ended || (!flew && s > 0);
        if (flew && !ended) {
          r.change.push_back(changes(first));
        }
      }
      r.most = r.least + static_cast<int>(r.change.size()) - 1;
    }
  }
  [[nodiscard]] int least_of(std::size_t i) const { return static_cast<int>(std::ceil(candidates_[i].least_steps)); }
  [[nodiscard]] int most_of(std::size_t i) const { return static_cast<int>(std::floor(candidates_[i].most_steps)); }
  [[nodiscard]] std::vector<Change> changes(std::vector<Shot>::const_iterator shot) const {
    std::vector<Change> all;
    for (const Shot& before : before_) {
      const OutputValues& v = (shot++)->value;
      const OutputValues& w = before.value;
      all.push_back({v[Output::tear_up] - w[Output::tear_up], v[Output::tear_right] - w[Output::tear_right],
                     v[Output::stop_gap] - w[Output::stop_gap], v[Output::draw_length] - w[Output::draw_length]});
    }
    return all;
  }

  /// Miss of one bow in units of the wanted accuracy.
  [[nodiscard]] double miss(double up, double right) const {
    const double sigma = 0.45 * start_.reading_error;
    return std::min(60.0, (up * up + right * right) / (sigma * sigma));
  }
  /// What the most probable bow suffers besides.
  [[nodiscard]] double damage(double gap, double draw_change) const {
    const double before = std::fabs(before_.front().value[Output::stop_gap]);
    const double allowed = start_.gap_known ? thirty_second : before + thirty_second;
    const double excess = std::max(0.0, std::fabs(gap) - allowed) / (2.0 * thirty_second);
    const double draw = draw_change / 0.00635;  // a quarter inch of draw length
    return (start_.gap_known ? 1.0 : 0.25) * excess * excess + draw * draw;
  }

  [[nodiscard]] double cost(const std::vector<Shot>& shots, const Steps& steps) const {
    return cost(shots.begin(), steps);
  }
  [[nodiscard]] double cost(std::vector<Shot>::const_iterator shot, const Steps& steps) const {
    double sum = price(steps);
    for (std::size_t h = 0; h < start_.bows.size(); ++h) {
      const Shot& s = *(shot + static_cast<std::ptrdiff_t>(h));
      sum += start_.bows[h].weight * (s.flew ? miss(s.value[Output::tear_up], s.value[Output::tear_right]) : hopeless);
    }
    const Shot& first = *shot;
    const OutputValues& before = before_.front().value;
    sum += damage(first.value[Output::stop_gap], first.value[Output::draw_length] - before[Output::draw_length]);
    for (const Output output : {Output::lean_upper, Output::lean_lower}) {
      const double more = (std::fabs(first.value[output]) - std::fabs(before[output])) / 0.05;  // about three degrees
      sum += more > 0.0 ? more * more : 0.0;
    }
    if (first.value[Output::fletching_clearance] < std::min(0.0, before[Output::fletching_clearance]) - 1e-4) {
      sum += 20.0;  // the vanes strike where they did not, or worse
    }
    return light(first) && !light(before_.front()) ? hopeless : sum;
  }
  [[nodiscard]] static bool light(const Shot& shot) {
    return std::any_of(shot.cautions.begin(), shot.cautions.end(),
                       [](const std::string& text) { return text.find("lighter than") != std::string::npos; });
  }

  /// The cost, if the effects of the adjustments add up.
  [[nodiscard]] double expected_cost(const Steps& steps) const {
    double sum = price(steps);
    double gap = before_.front().value[Output::stop_gap];
    double draw = 0.0;
    for (std::size_t h = 0; h < start_.bows.size(); ++h) {
      double up = before_[h].value[Output::tear_up];
      double right = before_[h].value[Output::tear_right];
      for (std::size_t i = 0; i < steps.size(); ++i) {
        if (steps[i] != 0) {
          const Change& change = responses_[i].at(steps[i])[h];
          up += change.up;
          right += change.right;
          gap += h == 0 ? change.gap : 0.0;
          draw += h == 0 ? change.draw : 0.0;
        }
      }
      sum += start_.bows[h].weight * miss(up, right);
    }
    return sum + damage(gap, draw);
  }

  /// Every choice of up to three adjustments and their whole steps, cheapest first.
  void enumerate(const std::vector<std::size_t>& allowed, std::size_t from, int left, Steps& steps,
                 std::vector<std::pair<double, Steps>>& ranked) const {
    for (std::size_t k = from; k < allowed.size(); ++k) {
      const std::size_t i = allowed[k];
      for (int s = responses_[i].least; s <= responses_[i].most; ++s) {
        if (s == 0) {
          continue;
        }
        steps[i] = s;
        const double value = expected_cost(steps);
        if (ranked.size() < finalists || value < ranked.back().first) {
          const auto place = std::upper_bound(ranked.begin(), ranked.end(), value,
                                              [](double v, const auto& each) { return v < each.first; });
          ranked.insert(place, {value, steps});
          if (ranked.size() > finalists) {
            ranked.pop_back();
          }
        }
        if (left > 1) {
          enumerate(allowed, k + 1, left - 1, steps, ranked);
        }
      }
      steps[i] = 0;
    }
  }

  void consider(const std::vector<Steps>& tries) {
    const std::vector<Shot> answers = shots(tries);
    const auto bows = static_cast<std::ptrdiff_t>(start_.bows.size());
    for (std::size_t k = 0; k < tries.size(); ++k) {
      const auto first = answers.begin() + static_cast<std::ptrdiff_t>(k) * bows;
      const double value = cost(first, tries[k]);
      if (value < best_cost_) {
        best_cost_ = value;
        best_ = tries[k];
        end_.assign(first, first + bows);
      }
    }
  }

  /// One step more or less of each adjustment, until none of them helps.
  void polish(const std::vector<std::size_t>& allowed) {
    for (int round = 0; round < 4; ++round) {
      const double before = best_cost_;
      std::vector<Steps> tries;
      for (const std::size_t i : allowed) {
        for (const int side : {1, -1}) {
          Steps next = best_;
          next[i] += side;
          if (next[i] >= responses_[i].least && next[i] <= responses_[i].most) {
            tries.push_back(std::move(next));
          }
        }
      }
      consider(tries);
      if (!(best_cost_ < before - 1e-9)) {
        return;
      }
    }
  }

  void search(bool everything) {
    std::vector<std::size_t> allowed;
    for (std::size_t i = 0; i < candidates_.size(); ++i) {
      const AdjustmentGroup group = candidates_[i].group;
      const bool late = group == AdjustmentGroup::arrow || (group == AdjustmentGroup::sync && !start_.gap_known);
      if (everything || !late) {
        allowed.push_back(i);
      }
    }
    std::vector<std::pair<double, Steps>> ranked;
    Steps steps(candidates_.size(), 0);
    enumerate(allowed, 0, 3, steps, ranked);
    std::vector<Steps> tries;
    for (auto& each : ranked) {
      tries.push_back(each.second);
    }
    consider(tries);
    polish(allowed);
  }

  [[nodiscard]] bool within(const Shot& shot, double share) const {
    return shot.flew && std::fabs(shot.value[Output::tear_up]) <= share * start_.reading_error &&
           std::fabs(shot.value[Output::tear_right]) <= share * start_.reading_error;
  }
  [[nodiscard]] double confidence(double share) const {
    double sum = 0.0;
    for (std::size_t h = 0; h < end_.size(); ++h) {
      sum += within(end_[h], share) ? start_.bows[h].weight : 0.0;
    }
    return sum;
  }

  void finish() {
    moves_.end = end_.front();
    moves_.reached = within(end_.front(), 1.0);
    moves_.confidence = confidence(1.0);
    for (std::size_t i = 0; i < best_.size(); ++i) {
      if (best_[i] == 0) {
        continue;
      }
      moves_.adjustments.push_back(candidates_[i]);
      moves_.steps.push_back(best_[i]);
      if (!moves_.reached && !responses_.empty() &&
          (best_[i] == responses_[i].least || best_[i] == responses_[i].most)) {
        moves_.obstacles.push_back(candidates_[i].title + " is at its limit (" + candidates_[i].limit + ")");
      }
    }
    if (!moves_.reached && end_.front().vane_strike) {
      moves_.obstacles.emplace_back("the vanes strike the rest: clearance comes before tuning");
    }
  }

  const PlanStart& start_;
  PlanMoves moves_;
  std::vector<Adjustment> candidates_;
  std::vector<Response> responses_;
  std::vector<Shot> before_, end_;  // per bow
  Steps best_;
  double best_cost_ = 0.0;
};

}  // namespace

PlanMoves find_moves(const PlanStart& start) { return Search(start).run(); }

}  // namespace nockwise::detail
