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
  for (const ActiveSource& each : sources) {
    errors.normal.push_back(random_numbers_of(seed, each.source->name, each.source->per_arrow ? arrow : shot).normal());
  }
  errors.arrow = arrow;
  errors.bend_angle = random_numbers_of(seed, "bend angle", arrow).between(-std::numbers::pi, std::numbers::pi);
  errors.gust_seed = random_numbers_of(seed, "gusts", shot).bits();
  return errors;
}

Setup with_errors(const Setup& setup, const std::vector<ActiveSource>& sources, const ShotErrors& errors) {
  Setup shot = setup;
  for (std::size_t i = 0; i < sources.size(); ++i) {
    const ScatterSource& source = *sources[i].source;
    const double error = sources[i].deviation * errors.normal[i];
    if (source.path.empty() || error == 0.0) {
      continue;
    }
    const double value = shot.get(source.path);
    shot.set(source.path, source.relative ? value * std::exp(error) : value + error);
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
    const double middle = moved.get(setup);
    std::size_t outside = 0;
    for (const ShotErrors& each : shots) {
      const double error = sources[k].deviation * each.normal[k];
      const double value = source.relative ? middle * std::exp(error) : middle + error;
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
  options.fault.bend_angle = errors.bend_angle;
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
    } else if (name == "vane_cant") {
      options.fault.vane_cant = error;
    }
  }
  return options;
}

}  // namespace nockwise::detail
