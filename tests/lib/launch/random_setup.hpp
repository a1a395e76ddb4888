#pragma once

/// @file
/// Setups with every field changed at random, for tests of what must hold for any setup.

#include "nockwise/parameters.hpp"
#include "nockwise/setup.hpp"

#include <algorithm>
#include <cmath>
#include <random>
#include <string>

namespace nockwise {

/// Every number drawn from around its default and inside its range, every choice drawn, tracks of all kinds. The setup
/// is one that `validate` accepts, which does not make it a bow.
inline Setup random_setup(unsigned seed) {
  std::mt19937 generator{seed};
  std::uniform_real_distribution<double> between{-1.0, 1.0};
  Setup setup;
  for (const Parameter& parameter : parameters()) {
    if (!parameter.alias_of.empty()) {
      continue;
    }
    const double start = parameter.default_value();
    const double room = std::min(parameter.maximum - start, start - parameter.minimum);
    double value = start + 0.05 * between(generator) * (room > 0.0 ? room : 0.5 * (parameter.maximum - start));
    value = std::min(std::max(value, parameter.minimum), parameter.maximum);
    parameter.set(setup, parameter.whole ? std::round(value) : value);
  }
  for (const ChoiceParameter& choice : choice_parameters()) {
    choice.set(setup, choice.choices[generator() % choice.choices.size()]);
  }
  SplineTrack spline{-0.5 + between(generator), 0.1 + 0.01 * between(generator), {}};
  for (int knot = 0; knot < 40; ++knot) {
    spline.distance.push_back(0.04 + 0.002 * std::cos(0.1 * knot) + 1e-6 * between(generator));
  }
  GrooveTrack groove;
  for (int point = 0; point < 60; ++point) {
    const double angle = 2.0 * 3.14159265358979 * point / 60.0;
    groove.points.push_back({0.035 * std::cos(angle) + 0.002 * between(generator), 0.03 * std::sin(angle)});
  }
  setup.cams.upper.string_track = spline;
  setup.cams.lower.string_track = CircleTrack{0.04 + 0.01 * between(generator), 0.01, between(generator)};
  setup.cams.upper.take_up_track = spline;
  if (seed % 10 == 0) {  // fitting one takes its time
    setup.cams.upper.take_up_track = groove;
  }
  setup.cams.upper.let_out_track = CircleTrack{0.03 + 0.01 * between(generator), 0.0, 0.0};
  setup.cams.lower.let_out_track = CircleTrack{0.03 + 0.01 * between(generator), 0.005, 1.0};
  setup.name = "random \"" + std::to_string(seed) + "\" \\ Fichtenmühle\tα";
  setup.provenance = "invented\nby a test";
  return setup;
}

/// A value from the whole range of a parameter; logarithmically even where that is wide and of one sign, or reaches
/// down to zero.
inline double anywhere(const Parameter& parameter, std::mt19937& generator) {
  std::uniform_real_distribution<double> share{0.0, 1.0};
  const double low = parameter.minimum;
  const double high = parameter.maximum;
  double value = low + (high - low) * share(generator);
  if (low > 0.0 && high > 20.0 * low) {
    value = low * std::pow(high / low, share(generator));
  } else if (low == 0.0 && high > 0.0) {
    const double exponent = -6.0 * share(generator);
    value = share(generator) < 0.1 ? 0.0 : high * std::pow(10.0, exponent);
  }
  value = std::clamp(parameter.whole ? std::round(value) : value, low, high);
  return value;
}

/// `bow` with `moved` of its parameters and, as often, choices drawn anew from all that is allowed; `changes` receives
/// what has been changed.
inline Setup setup_of_whole_ranges(const Setup& bow, int moved, unsigned seed, std::string& changes) {
  std::mt19937 generator{seed};
  Setup setup = bow;
  const auto& all = parameters();
  const auto& choices = choice_parameters();
  for (int i = 0; i < moved; ++i) {
    const std::size_t drawn = generator() % (all.size() + choices.size());
    if (drawn >= all.size()) {
      const ChoiceParameter& choice = choices[drawn - all.size()];
      const std::string& word = choice.choices[generator() % choice.choices.size()];
      choice.set(setup, word);
      changes += choice.path + " = " + word + "; ";
      continue;
    }
    const Parameter& parameter = all[drawn];
    const double value = anywhere(parameter, generator);
    parameter.set(setup, value);
    changes += parameter.path + " = " + std::to_string(value) + "; ";
  }
  return setup;
}

}  // namespace nockwise
