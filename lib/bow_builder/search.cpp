#include "bow_builder/search.hpp"

#include "bow_builder/build.hpp"
#include "bow_builder/design.hpp"
#include "nockwise/error.hpp"
#include "nockwise/units.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace nockwise::detail {

namespace {

/// What a bow with this energy and another virtual mass would show of the speed that the sheet asks for [m/s].
double speed_with(double virtual_mass, const BowMeasurements& measurements, const BowBuilder& builder) {
  if (measurements.rated_speed) {
    return rated_speed(builder.cycle(), virtual_mass);
  }
  return std::sqrt(2.0 * builder.cycle().stored_energy / (builder.shot_arrow() + virtual_mass));
}

struct Found {
  BuiltBow bow;
  bool ordinary = false;  // its moving parts
};

/// One set of guesses; nothing where the sheet is not met. \throws InputError, SolverError as build_with()
std::optional<Found> try_one(const BowMeasurements& measurements, const Setup& base, std::uint64_t trial) {
  // A quick bow has light parts or a full curve; lighter ones than are ordinary only where no cams are found for the
  // curve.
  constexpr double ordinarily_light = 0.15;
  constexpr double least_virtual_mass = 0.0047;  // [kg]
  constexpr std::uint64_t seed = 1;
  const Guesses guesses = trial == 0 ? central_guesses(measurements) : drawn_guesses(measurements, seed, trial);
  const auto builder = build_with(measurements, guesses, base, {});
  BuiltBow bow = report_on(measurements, *builder);
  validate(bow.setup);
  check_draws(bow.setup);
  const bool designed = measurements.draw_curve.empty();
  if (designed && !meets_sheet(bow.report)) {
    return std::nullopt;
  }
  if (designed && builder->speed() > 0.0 && builder->virtual_mass() < lightest_virtual_mass) {
    throw SpeedUnmet(measurements, speed_with(lightest_virtual_mass, measurements, *builder));
  }
  const bool ordinary = builder->speed() == 0.0 || (builder->guesses().heaviness > ordinarily_light &&
                                                    builder->virtual_mass() > least_virtual_mass);
  return Found{std::move(bow), ordinary};
}

/// Whether such a bow can be at this speed; not where a refusal says so.
bool can_be(BowMeasurements measurements, const Setup& base, const UnmetSpeed& unmet, double speed) {
  (measurements.rated_speed ? *measurements.rated_speed : measurements.chronograph->speed) = speed;
  try {
    const auto found = try_one(measurements, base, unmet.trial);
    return found && found->ordinary;
  } catch (const Error&) {
    return false;
  }
}

}  // namespace

Trials try_guesses(const BowMeasurements& measurements, const Setup& base, std::uint64_t most) {
  Trials trials;
  constexpr std::uint64_t enough_for_light = 20;
  for (std::uint64_t trial = 0; trial < most; ++trial) {
    try {
      auto found = try_one(measurements, base, trial);
      if (!found) {
        continue;
      }
      const std::size_t cautions = found->bow.report.cautions.size();
      if (!trials.bow || cautions < trials.bow->report.cautions.size() ||
          (cautions == trials.bow->report.cautions.size() && found->ordinary && !trials.ordinary)) {
        trials.bow = std::move(found->bow);
        trials.ordinary = found->ordinary;
      }
      if (trials.bow->report.cautions.empty() && (trials.ordinary || trial >= enough_for_light)) {
        break;
      }
    } catch (const SpeedUnmet& error) {
      trials.unmet.push_back({error.nearest(), trial});
    } catch (const Error&) {
      if (!trials.refusal) {
        trials.refusal = std::current_exception();
      }
    }
  }
  return trials;
}

void refuse_speed(const BowMeasurements& measurements, const Setup& base, const Trials& trials) {
  // The most promising sets of guesses, each from what it can about reach away from what was asked.
  constexpr std::size_t promising = 6;
  constexpr int most_steps = 12;
  constexpr double step = 0.015;
  const double asked = speed_asked(measurements);
  const auto off = [asked](double speed) { return std::fabs(speed / asked - 1.0); };
  std::vector<UnmetSpeed> unmet = trials.unmet;
  std::sort(unmet.begin(), unmet.end(),
            [&](const UnmetSpeed& a, const UnmetSpeed& b) { return off(a.nearest) < off(b.nearest); });
  std::optional<double> nearest;
  for (std::size_t i = 0; i < std::min(promising, unmet.size()) && measurements.draw_curve.empty(); ++i) {
    const double change = unmet[i].nearest < asked ? 1.0 - step : 1.0 + step;
    double speed = unmet[i].nearest;
    for (int k = 0; k < most_steps && (!nearest || off(speed) < off(*nearest)); ++k, speed *= change) {
      if (can_be(measurements, base, unmet[i], speed)) {
        nearest = speed;
      }
    }
  }
  throw SpeedUnmet(measurements, nearest.value_or(unmet.front().nearest));
}

void refuse_let_off(const BowMeasurements& measurements, const Setup& base) {
  constexpr std::uint64_t few = 6;
  constexpr double step = 0.02;
  constexpr double least = 0.4;
  BowMeasurements gentler = measurements;
  gentler.rated_speed.reset();
  gentler.chronograph.reset();
  for (double let_off = *measurements.let_off - step; let_off > least; let_off -= step) {
    gentler.let_off = let_off;
    if (try_guesses(gentler, base, few).bow) {
      throw InputError(
          "measurements.let_off", format_quantity(*measurements.let_off, Quantity::percent),
          "must be at most about " + display(let_off, Quantity::percent, "%", 0) +
              (measurements.cabling == Cabling::yoke
                   ? ": with yokes nothing ties the cams together, and in a deeper valley they turn apart; "
                     "with crossed cables (measurements.cabling) more is possible"
                   : " for a bow of this length, brace height and draw: in a deeper valley a cable goes "
                     "slack or the cams are lost"));
    }
  }
  throw InputError(
      "measurements.draw_length", format_quantity(measurements.draw_length, Quantity::length, "in"),
      "does not go with the axle-to-axle length and the brace height: no limbs and cams were found for them");
}

}  // namespace nockwise::detail
