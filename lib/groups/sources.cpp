#include "groups/sources.hpp"

#include "nockwise/error.hpp"
#include "nockwise/parameters.hpp"
#include "numerics/random_numbers.hpp"

#include <cmath>
#include <numbers>

namespace nockwise::detail {

std::vector<ActiveSource> active_sources(const Scatter& scatter) {
  std::vector<ActiveSource> active;
  for (const ScatterSource& source : scatter_sources()) {
    for (const ScatterWidth& each : scatter.widths) {
      if (each.source == source.name && each.deviation > 0.0) {
        active.push_back({&source, each.deviation});
      }
    }
  }
  return active;
}

ShotErrors drawn_errors(const std::vector<ActiveSource>& sources, std::uint64_t seed, std::size_t shot,
                        std::size_t arrow) {
  ShotErrors errors;
  errors.normal.reserve(sources.size());
  errors.angle.reserve(sources.size());
  for (const ActiveSource& each : sources) {
    const ScatterSource& source = *each.source;
    errors.normal.push_back(random_numbers_of(seed, source.name, source.per_arrow ? arrow : shot).normal());
    errors.angle.push_back(
        source.any_way
            ? random_numbers_of(seed, source.name + " angle", arrow).between(-std::numbers::pi, std::numbers::pi)
            : 0.0);
  }
  errors.arrow = arrow;
  errors.gust_seed = random_numbers_of(seed, "gusts", shot).bits();
  return errors;
}

namespace {

/// How much a spine differs around the shaft, and where its stiff side is: the setup's and the arrow's own, which add
/// up as what they do to the planes of bending (lib/README.md, Eq. 26b).
struct Spine {
  double difference = 0.0, direction = 0.0;
};
Spine spine_with_error(const Arrow& arrow, double error, double angle) {
  const double twice = 2.0 * arrow.spine_direction;
  const double upright = arrow.spine_difference * std::cos(twice) + error * std::cos(angle);
  const double slanted = arrow.spine_difference * std::sin(twice) + error * std::sin(angle);
  return {std::hypot(upright, slanted), 0.5 * std::atan2(slanted, upright)};
}

/// What the parameter of a source is with this error.
double value_with_error(const Setup& setup, const ActiveSource& source, double normal, double angle) {
  const double error = source.deviation * normal;
  if (source.source->any_way) {
    return spine_with_error(setup.arrow, error, angle).difference;
  }
  const double value = setup.get(source.source->path);
  return source.source->relative ? value * std::exp(error) : value + error;
}

}  // namespace

Setup with_errors(const Setup& setup, const std::vector<ActiveSource>& sources, const ShotErrors& errors) {
  Setup shot = setup;
  for (std::size_t i = 0; i < sources.size(); ++i) {
    const ScatterSource& source = *sources[i].source;
    const double error = sources[i].deviation * errors.normal[i];
    if (source.path.empty() || error == 0.0) {
      continue;
    }
    shot.set(source.path, value_with_error(setup, sources[i], errors.normal[i], errors.angle[i]));
    if (source.any_way) {
      shot.set("arrow.spine_direction", spine_with_error(setup.arrow, error, errors.angle[i]).direction);
    }
  }
  return shot;
}

void check_ranges(const Setup& setup, const std::vector<ActiveSource>& sources, std::span<const ShotErrors> shots) {
  for (std::size_t k = 0; k < sources.size(); ++k) {
    const ScatterSource& source = *sources[k].source;
    if (source.path.empty()) {
      continue;
    }
    const Parameter& moved = parameter(source.path);
    std::size_t outside = 0;
    for (const ShotErrors& each : shots) {
      const double value = value_with_error(setup, sources[k], each.normal[k], each.angle[k]);
      outside += value >= moved.minimum && value <= moved.maximum ? 0 : 1;
    }
    if (outside > 0) {
      throw InputError("scatter." + source.name, format_quantity(sources[k].deviation, source.quantity, source.unit),
                       "puts " + moved.path + " out of its range in " + std::to_string(outside) + " of " +
                           std::to_string(shots.size()) + " shots: it " + moved.allowed());
    }
  }
}

double raised_with_errors(const std::vector<ActiveSource>& sources, const ShotErrors& errors) {
  for (std::size_t i = 0; i < sources.size(); ++i) {
    if (sources[i].source->name == "bow_height") {
      return sources[i].deviation * errors.normal[i];
    }
  }
  return 0.0;
}

TargetFlightOptions flight_with_errors(const std::vector<ActiveSource>& sources, const ShotErrors& errors) {
  TargetFlightOptions options;
  for (std::size_t i = 0; i < sources.size(); ++i) {
    const std::string& name = sources[i].source->name;
    const double error = sources[i].deviation * errors.normal[i];
    if (name == "cant") {
      options.aim.cant = error;
    } else if (name == "aim_up") {
      options.aim.up = error;
    } else if (name == "aim_right") {
      options.aim.right = error;
    } else if (name == "bend") {
      options.fault.bend = error;
      options.fault.bend_angle = errors.angle[i];
    } else if (name == "vane_cant") {
      options.fault.vane_cant = error;
    }
  }
  return options;
}

}  // namespace nockwise::detail
