// The setting whose tear answers least to lines that are off (nockwise/least_sensitive.hpp).
#include "nockwise/least_sensitive.hpp"

#include "base/threads.hpp"
#include "groups/setting_search.hpp"
#include "nockwise/adjustment.hpp"
#include "nockwise/error.hpp"
#include "nockwise/parameters.hpp"
#include "shots/batch.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace nockwise {

namespace {

using detail::Steps;
using detail::Worth;

void check(const LeastSensitiveOptions& options) {
  const auto range = [](const char* name, double value, double low, double high, Quantity quantity, const char* unit) {
    if (!(value >= low && value <= high)) {
      throw InputError(
          name, format_quantity(value, quantity, unit),
          "must be from " + format_quantity(low, quantity, unit) + " to " + format_quantity(high, quantity, unit));
    }
  };
  range("twists", options.twists, 0.05, 2.0, Quantity::twists, "");
  range("within", options.within, 1e-4, 0.1, Quantity::length, "mm");
  range("most_steps", options.most_steps, 1.0, 20.0, Quantity::dimensionless, "");
  detail::check_threads(options.threads);
}

/// Every single line by default.
std::vector<Adjustment> lines_of(const Setup& setup, const LeastSensitiveOptions& options) {
  const std::vector<Adjustment> all = adjustments(setup);
  std::vector<Adjustment> lines;
  for (const std::string& name : options.lines) {
    lines.push_back(find_adjustment(all, name));
    if (lines.back().unit != TradeUnit::twist) {
      throw InputError("lines", name, "must be an adjustment that turns a line");
    }
  }
  if (options.lines.empty()) {
    std::copy_if(all.begin(), all.end(), std::back_inserter(lines),
                 [](const Adjustment& each) { return each.unit == TradeUnit::twist && each.parameters.size() == 1; });
  }
  return lines;
}

/// A setup shot as it is and with every line off either way.
struct Answer {
  double tear_up = 0.0, tear_right = 0.0;
  std::vector<LineAnswer> lines;
  std::set<CautionKind> cautions;
  std::string failure;  // of the first shot that failed

  [[nodiscard]] double sensitivity() const {
    double square = 0.0;
    for (const LineAnswer& each : lines) {
      square += each.up * each.up + each.right * each.right;
    }
    return std::sqrt(square);
  }
};

Answer answer_of(const Setup& setup, const std::vector<Adjustment>& lines, const LeastSensitiveOptions& options) {
  std::vector<detail::ShotRequest> requests{{.setup = setup, .statics = false}};
  for (const Adjustment& each : lines) {
    for (const double side : {1.0, -1.0}) {
      const double steps = side * options.twists / each.amount_per_step;
      requests.push_back({.setup = adjusted(setup, each, steps), .statics = false});
    }
  }
  struct Tear {
    double up = 0.0, right = 0.0;
  };
  std::vector<Tear> tears(requests.size());
  Answer answer;
  const auto read = [&](std::size_t i, LaunchResults& results) {
    const PaperTear& tear = results.paper_tear();
    tears[i] = {tear.up, tear.right};
    if (i == 0) {
      for (const Caution& each : results.launch().cautions) {
        answer.cautions.insert(each.kind);
      }
    }
  };
  for (const std::string& failure : detail::launch_many(requests, {options.threads, options.stop}, read)) {
    answer.failure = answer.failure.empty() ? failure : answer.failure;
  }
  answer.tear_up = tears[0].up;
  answer.tear_right = tears[0].right;
  for (std::size_t k = 0; k < lines.size(); ++k) {
    const Tear& more = tears[1 + 2 * k];
    const Tear& less = tears[2 + 2 * k];
    answer.lines.push_back({lines[k].name, 0.5 * (more.up - less.up), 0.5 * (more.right - less.right)});
  }
  return answer;
}

void check(const Setup& setup, const std::vector<FreeNumber>& free) {
  constexpr std::size_t most = 8;
  if (free.empty() || free.size() > most) {
    throw InputError("free", std::to_string(free.size()) + " numbers", "must be 1 to 8");
  }
  std::set<std::string> paths;
  for (const FreeNumber& each : free) {
    const Parameter& moved = parameter(each.path);
    if (!paths.insert(each.path).second) {
      throw InputError("free", each.path + " twice", "must name each once");
    }
    if (!(each.step > 0.0 && each.step <= moved.maximum - moved.minimum)) {
      throw InputError("free." + each.path + ".step", format_quantity(each.step, moved.quantity, moved.unit),
                       "must be above 0 and within the range of the parameter, which " + moved.allowed());
    }
    moved.check(moved.get(setup));
  }
}

std::vector<detail::StepRange> ranges_of(const Setup& setup, const std::vector<FreeNumber>& free, double most) {
  std::vector<detail::StepRange> ranges;
  for (const FreeNumber& each : free) {
    const Parameter& moved = parameter(each.path);
    const double here = moved.get(setup);
    ranges.push_back(
        {std::max(-most, (moved.minimum - here) / each.step), std::min(most, (moved.maximum - here) / each.step)});
  }
  return ranges;
}

Setup moved(const Setup& setup, const std::vector<FreeNumber>& free, const Steps& steps) {
  Setup there = setup;
  for (std::size_t i = 0; i < free.size(); ++i) {
    if (steps[i] != 0) {
      there.set(free[i].path, there.get(free[i].path) + steps[i] * free[i].step);
    }
  }
  return there;
}

}  // namespace

std::vector<LineAnswer> answers_of_lines(const Setup& setup, const LeastSensitiveOptions& options) {
  check(options);
  Answer answer = answer_of(setup, lines_of(setup, options), options);
  if (!answer.failure.empty()) {
    throw SolverError("answers of lines", answer.failure);
  }
  return answer.lines;
}

LeastSensitive least_sensitive(const Setup& setup, const std::vector<FreeNumber>& free,
                               const LeastSensitiveOptions& options) {
  check(options);
  check(setup, free);
  const std::vector<Adjustment> lines = lines_of(setup, options);
  const Answer before = answer_of(setup, lines, options);
  if (!before.failure.empty()) {
    throw SolverError("the setup as given", before.failure);
  }
  const auto look = [&](const Steps& steps) -> Worth {
    try {
      const Answer answer = answer_of(moved(setup, free, steps), lines, options);
      const bool more_cautions = !std::includes(before.cautions.begin(), before.cautions.end(), answer.cautions.begin(),
                                                answer.cautions.end());
      if (!answer.failure.empty() || more_cautions) {
        return {};
      }
      return {std::max(std::fabs(answer.tear_up), std::fabs(answer.tear_right)), answer.sensitivity()};
    } catch (const InputError&) {  // a number or a line out of its range: no such setting
      return {};
    }
  };
  detail::SettingSearch search(ranges_of(setup, free, options.most_steps), options.within, look);
  const Steps clean = search.cleanest();
  const Steps best = search.smallest_spread(clean);
  if (best.empty()) {
    throw SolverError("the least sensitive setting",
                      "of " + std::to_string(search.tried()) + " settings none tears within " +
                          display(options.within, Quantity::length, "in", 3) + "; the smallest hole is " +
                          display(search.worth(clean).tear, Quantity::length, "in", 3));
  }
  LeastSensitive result;
  result.setup = moved(setup, free, best);
  const Answer found = answer_of(result.setup, lines, options);
  for (std::size_t i = 0; i < free.size(); ++i) {
    result.paths.push_back(free[i].path);
    result.steps.push_back(best[i]);
    result.values.push_back(result.setup.get(free[i].path));
  }
  result.tear_up = found.tear_up;
  result.tear_right = found.tear_right;
  result.sensitivity = found.sensitivity();
  result.sensitivity_before = before.sensitivity();
  result.lines = found.lines;
  result.lines_before = before.lines;
  for (const detail::TriedSteps& each : search.frontier()) {
    result.frontier.push_back({{each.steps.begin(), each.steps.end()}, each.worth.tear, each.worth.spread});
  }
  result.tried = search.tried();
  result.cautions = general_cautions();
  return result;
}

}  // namespace nockwise
