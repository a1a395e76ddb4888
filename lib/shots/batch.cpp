#include "shots/batch.hpp"

#include "nockwise/error.hpp"
#include "nockwise/sweep.hpp"

#include <algorithm>
#include <iterator>

namespace nockwise::detail {

namespace {

constexpr int draw_positions = 32;  // peak and valley are refined by a parabola
constexpr int curve_positions = 120;

/// Why the sample's launch is no ordinary one, or the Error of `read`; empty when all is well.
std::string failure_of(const ShotRequest& request, const SweepSample& sample, std::size_t index,
                       const ReadResults& read) {
  if (sample.launch == nullptr) {
    return sample.failure;
  }
  if (sample.launch->ended_by != LaunchEnd::arrow_clear) {
    return std::string("the launch ended with ") + name_of(sample.launch->ended_by);
  }
  try {
    const DrawOptions draw{.positions = request.draw_curve ? curve_positions : draw_positions};
    LaunchResults results(*sample.model, sample.launch, draw, request.distance);
    read(index, results);
  } catch (const Error& error) {
    return error.what();
  }
  return "";
}

Shot evaluate(const ShotRequest& request, LaunchResults& results) {
  Shot shot;
  for (const OutputDescription& each : output_descriptions()) {
    const OutputSource source = source_of(each.output);
    const bool statics = source == OutputSource::draw_cycle || source == OutputSource::target_impact;
    if (request.statics || !statics) {
      shot.value[each.output] = value_of(each.output, results);
    }
  }
  shot.flew = true;
  shot.vane_strike = results.launch().rest.fletching_contact;
  shot.cautions = results.launch().cautions;
  if (request.statics) {
    const auto& drawn = results.draw_cycle().cautions;
    const auto of_cord = [](const Caution& each) { return each.kind == CautionKind::rest_cord; };
    const auto cord = std::find_if(drawn.begin(), drawn.end(), of_cord);
    if (cord != drawn.end() && std::none_of(shot.cautions.begin(), shot.cautions.end(), of_cord)) {
      shot.cautions.push_back(*cord);  // a limb's cord pulls at brace, before a launch begins
    }
  }
  return shot;
}

}  // namespace

double draw_force_at(const DrawCycle& cycle, double draw_length) {
  const double x = draw_length_allowance - draw_length;
  const auto& p = cycle.points;
  const auto beyond = std::find_if(p.begin(), p.end(), [&](const DrawPoint& point) { return point.nock_x <= x; });
  if (beyond == p.end()) {
    return p.back().draw_force;
  }
  if (beyond == p.begin()) {
    return 0.0;
  }
  const DrawPoint& a = *std::prev(beyond);
  const DrawPoint& b = *beyond;
  return a.draw_force + (b.draw_force - a.draw_force) * (x - a.nock_x) / (b.nock_x - a.nock_x);
}

std::vector<std::string> launch_many(std::span<const ShotRequest> requests, const Execution& execution,
                                     const ReadResults& read) {
  std::vector<std::string> failures(requests.size());
  std::vector<std::size_t> launched;  // those not known to fail beforehand
  for (std::size_t i = 0; i < requests.size(); ++i) {
    failures[i] = requests[i].failure;
    if (requests[i].failure.empty()) {
      launched.push_back(i);
    }
  }
  sweep(
      launched.size(), [&](std::size_t k) { return requests[launched[k]].setup; },
      [&](const SweepSample& sample) {
        const std::size_t i = launched[sample.index];
        failures[i] = failure_of(requests[i], sample, i, read);
        if (execution.launched != nullptr) {
          ++*execution.launched;
        }
      },
      {.threads = execution.threads, .stop = execution.stop});
  if (execution.stop != nullptr && *execution.stop) {
    throw Interrupted();
  }
  return failures;
}

std::vector<Shot> shoot_many(std::span<const ShotRequest> requests, const Execution& execution) {
  std::vector<Shot> shots(requests.size());
  const std::vector<std::string> failures = launch_many(
      requests, execution, [&](std::size_t i, LaunchResults& results) { shots[i] = evaluate(requests[i], results); });
  for (std::size_t i = 0; i < shots.size(); ++i) {
    shots[i].failure = failures[i];
  }
  return shots;
}

}  // namespace nockwise::detail
