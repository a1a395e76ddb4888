#include "groups/shooter.hpp"

#include "base/threads.hpp"
#include "nockwise/error.hpp"
#include "nockwise/paper.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/sweep.hpp"
#include "numerics/random_numbers.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>
#include <optional>
#include <utility>

namespace nockwise::detail {

namespace {

const GroupOptions& checked(const GroupOptions& options, const Scatter& scatter) {
  const auto whole = [](const char* name, std::size_t value, std::size_t low, std::size_t high) {
    if (value < low || value > high) {
      throw InputError(name, std::to_string(value),
                       "must be from " + std::to_string(low) + " to " + std::to_string(high));
    }
  };
  whole("shots", options.shots, 12, 1000000);
  whole("arrows", options.arrows, 1, 144);
  if (options.face && !(*options.face >= 0.1 && *options.face <= 2.0)) {
    throw InputError("face", format_quantity(*options.face, Quantity::length, "m"), "must be from 0.1 to 2 m");
  }
  check_threads(options.threads);
  validate(options.conditions);
  validate(scatter);
  return options;
}

Launch ordinary_launch(const Model& model) {
  Launch shot = launch(model);
  if (shot.ended_by != LaunchEnd::arrow_clear) {
    throw SolverError("the shot without error", std::string("the launch ended with ") + name_of(shot.ended_by));
  }
  return shot;
}

/// Change of the impact by one standard deviation, from both sides where both arrived.
struct Change {
  double up = 0.0, right = 0.0;
  bool known = false, both = false, straight = false;
};
Change change_between(const Strike& middle, const Strike& plus, const Strike& minus) {
  Change change;
  change.both = plus.failure.empty() && minus.failure.empty();
  change.known = plus.failure.empty() || minus.failure.empty();
  if (change.both) {
    change.up = 0.5 * (plus.up - minus.up);
    change.right = 0.5 * (plus.right - minus.right);
    const double bent =
        0.5 * std::hypot(plus.up - 2.0 * middle.up + minus.up, plus.right - 2.0 * middle.right + minus.right);
    change.straight = bent <= 0.2 * std::hypot(change.up, change.right);
  } else if (change.known) {
    const Strike& side = plus.failure.empty() ? plus : minus;
    const double sign = plus.failure.empty() ? 1.0 : -1.0;
    change.up = sign * (side.up - middle.up);
    change.right = sign * (side.right - middle.right);
  }
  return change;
}

void share_out(Forgiveness& result) {
  double up = 0.0;
  double right = 0.0;
  for (const SourceEffect& each : result.sources) {
    up += each.deviation_up * each.deviation_up;
    right += each.deviation_right * each.deviation_right;
  }
  for (SourceEffect& each : result.sources) {
    const double own = each.deviation_up * each.deviation_up + each.deviation_right * each.deviation_right;
    each.share = up + right > 0.0 ? own / (up + right) : 0.0;
  }
  result.deviation_up = std::sqrt(up);
  result.deviation_right = std::sqrt(right);
  std::stable_sort(result.sources.begin(), result.sources.end(),
                   [](const SourceEffect& a, const SourceEffect& b) { return a.share > b.share; });
}

}  // namespace

Shooter::Shooter(const Setup& setup, const Scatter& scatter, const GroupOptions& options)
    : options_(checked(options, scatter)),
      sources_(active_sources(scatter)),
      model_(setup),
      bare_(setup),
      launch_(ordinary_launch(model_)),
      distance_(options.distance.value_or(setup.surroundings.target_distance)) {
  bare_.name.clear();
  bare_.provenance.clear();
  bare_.known.clear();
  FlightConditions calm = options.conditions;
  calm.gust = 0.0;
  sight_ = sight_in(model_, launch_, distance_, calm);
}

Strike Shooter::strike(const Model& model, const Launch& launch, const ShotErrors& errors) const {
  Strike strike;
  FlightConditions conditions = options_.conditions;
  conditions.gust_seed = errors.gust_seed;
  conditions.eye_height -= raised_with_errors(sources_, errors);
  const Arrival arrival = fly_to(model, launch, distance_, sight_, conditions, flight_with_errors(sources_, errors));
  strike.up = arrival.up;
  strike.right = arrival.right;
  strike.touches = launch.rest.fletching_contact || launch.cable_strike || launch.cable_clearance.value_or(1.0) < 0.0;
  strike.bounces = std::any_of(launch.events.begin(), launch.events.end(),
                               [](const Event& each) { return each.kind == EventKind::rest_contact_made; });
  strike.clearance = launch.rest.fletching_clearance;
  return strike;
}

std::vector<Strike> Shooter::shoot(std::span<const ShotErrors> shots) const {
  std::vector<Strike> strikes(shots.size());
  // Arrow by arrow, since shots of one arrow that follow each other share its modes.
  std::vector<std::size_t> order(shots.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return shots[a].arrow < shots[b].arrow; });
  sweep(
      shots.size(), [&](std::size_t i) { return with_errors(bare_, sources_, shots[order[i]]); },
      [&](const SweepSample& sample) {
        const ShotErrors& shot = shots[order[sample.index]];
        Strike& own = strikes[order[sample.index]];
        if (sample.launch == nullptr) {
          own.failure = sample.failure;
          return;
        }
        if (sample.launch->ended_by != LaunchEnd::arrow_clear) {
          own.failure = std::string("the launch ended with ") + name_of(sample.launch->ended_by);
          return;
        }
        try {
          own = strike(*sample.model, *sample.launch, shot);
        } catch (const Error& error) {
          own.failure = error.what();
        }
      },
      {.threads = options_.threads, .stop = options_.stop});
  if (options_.stop != nullptr && *options_.stop) {
    throw Interrupted();
  }
  return strikes;
}

std::vector<Strike> Shooter::in_gusts(std::size_t count) const {
  std::vector<Strike> strikes(count);
  ShotErrors errors;
  errors.normal.assign(sources_.size(), 0.0);
  errors.angle.assign(sources_.size(), 0.0);
  for (std::size_t i = 0; i < count; ++i) {
    errors.gust_seed = random_numbers_of(options_.seed, "gusts", i).bits();
    try {
      strikes[i] = strike(model_, launch_, errors);
    } catch (const Error& error) {
      strikes[i].failure = error.what();
    }
  }
  return strikes;
}

std::optional<SourceEffect> effect_of_gusts(const Shooter& shooter) {
  SourceEffect effect;
  effect.name = effect.title = "gusts";
  double count = 0.0;
  double up = 0.0, right = 0.0, up_up = 0.0, right_right = 0.0;
  for (const Strike& each : shooter.in_gusts(gust_flights)) {
    if (each.failure.empty()) {
      count += 1.0;
      up += each.up;
      right += each.right;
      up_up += each.up * each.up;
      right_right += each.right * each.right;
    }
  }
  if (count < 2.0) {
    return std::nullopt;
  }
  effect.deviation_up = std::sqrt(std::max(0.0, up_up - up * up / count) / (count - 1.0));
  effect.deviation_right = std::sqrt(std::max(0.0, right_right - right * right / count) / (count - 1.0));
  effect.straight = false;
  return effect;
}

Forgiveness forgiveness_of(const Shooter& shooter, const GroupOptions& options, Slopes& slopes) {
  const std::vector<ActiveSource>& sources = shooter.sources();
  // Every source one standard deviation either way, what points any way in two directions whose effects add up to any
  // other: a bend that bulges up and one that bulges to the right; all in the same gusts.
  std::vector<ShotErrors> shots(1);
  shots[0].normal.assign(sources.size(), 0.0);
  shots[0].angle.assign(sources.size(), 0.0);
  const auto any_way = [&](std::size_t i) { return sources[i].source->any_way; };
  for (std::size_t i = 0; i < sources.size(); ++i) {
    for (int angle = 0; angle < (any_way(i) ? 2 : 1); ++angle) {
      for (const double side : {1.0, -1.0}) {
        ShotErrors& each = shots.emplace_back(shots[0]);
        each.normal[i] = side;
        each.angle[i] = 0.5 * std::numbers::pi * angle;
      }
    }
  }
  Forgiveness result;
  result.name = shooter.setup().name;
  result.distance = shooter.distance();
  result.sight = shooter.sight();
  const PaperTear tear = paper_tear(shooter.model(), shooter.launch(), {}, 2);
  result.tear_up = tear.up;
  result.tear_right = tear.right;
  const std::vector<Strike> strikes = shooter.shoot(shots);
  std::size_t next = 1;
  for (std::size_t i = 0; i < sources.size(); ++i) {
    const ScatterSource& source = *sources[i].source;
    const Change change = change_between(strikes[0], strikes[next], strikes[next + 1]);
    const std::string& why = strikes[next].failure.empty() ? strikes[next + 1].failure : strikes[next].failure;
    next += 2;
    Change level;
    if (any_way(i)) {
      level = change_between(strikes[0], strikes[next], strikes[next + 1]);
      next += 2;
    }
    if (!change.known) {
      result.notes.push_back("what this does is not known, since neither way can be shot: " + source.title + " (" +
                             why + ")");
    } else if (!change.both) {
      result.notes.push_back("this could be shot one way only: " + source.title + " (" + why + ")");
    }
    slopes.up.push_back(change.up);
    slopes.right.push_back(change.right);
    slopes.up_level.push_back(level.up);
    slopes.right_level.push_back(level.right);
    SourceEffect effect;
    effect.name = source.name;
    effect.title = source.title;
    effect.per_arrow = source.per_arrow;
    effect.deviation = sources[i].deviation;
    effect.up_per_unit = change.up / sources[i].deviation;
    effect.right_per_unit = change.right / sources[i].deviation;
    const double part = any_way(i) ? std::numbers::sqrt2 / 2.0 : 1.0;  // its angle is any
    effect.deviation_up = part * std::hypot(change.up, level.up);
    effect.deviation_right = part * std::hypot(change.right, level.right);
    effect.straight = change.straight;
    result.sources.push_back(std::move(effect));
  }
  if (options.conditions.gust > 0.0) {
    if (std::optional<SourceEffect> gusts = effect_of_gusts(shooter)) {
      result.sources.push_back(std::move(*gusts));
    } else {
      result.notes.emplace_back("no arrow arrives in such gusts");
    }
  }
  share_out(result);
  return result;
}

}  // namespace nockwise::detail
