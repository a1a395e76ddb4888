// Draws from the guesses until there are enough bows (nockwise/ensemble.hpp).
#include "bow_builder/build.hpp"

#include "base/threads.hpp"
#include "bow_builder/design.hpp"
#include "ensemble/members.hpp"
#include "nockwise/ensemble.hpp"
#include "nockwise/error.hpp"
#include "nockwise/launch.hpp"

#include <algorithm>
#include <optional>

namespace nockwise {

namespace {

/// What a member must meet; far within what a sheet's makers promise.
constexpr detail::Closeness member_closeness{3e-3, 4e-3, 5e-3, 2e-6, 9};
}  // namespace

namespace detail {

std::optional<Setup> member_at(const std::vector<double>& places, const BowMeasurements& m, const Setup& base) {
  try {
    const Guesses guesses = guesses_at(m, places);
    Setup around = base;
    set_hidden_parts(around, guesses);
    const auto builder = build_with(m, guesses, around, member_closeness);
    BuiltBow bow = report_on(m, *builder);
    validate(bow.setup);
    check_draws(bow.setup);
    const bool too_light = m.draw_curve.empty() && bow.report.virtual_mass.value_or(1.0) < lightest_virtual_mass;
    if (too_light || !meets_sheet(bow.report) || launch(Model(bow.setup)).ended_by != LaunchEnd::arrow_clear) {
      return std::nullopt;
    }
    return std::move(bow.setup);
  } catch (const Error&) {
    return std::nullopt;
  }
}

void check_member_count(int members) {
  constexpr int most_members = 1000;
  if (members < 2 || members > most_members) {
    throw InputError("members", std::to_string(members), "must be from 2 to 1000");
  }
}

void build_members(BowEnsemble& ensemble, const std::vector<std::vector<double>>& places,
                   const EnsembleOptions& options) {
  std::vector<std::optional<Setup>> drawn(places.size());
  for_each_index(drawn.size(), options.threads, [&](std::size_t i) {
    if (options.stop != nullptr && options.stop->load()) {
      throw Interrupted();
    }
    drawn[i] = member_at(places[i], ensemble.sheet, ensemble.base);
  });
  for (std::size_t i = 0; i < drawn.size(); ++i) {
    if (drawn[i]) {
      drawn[i]->name = ensemble.sheet.name + ", member " + std::to_string(ensemble.members.size() + 1);
      ensemble.members.push_back({std::move(*drawn[i]), 0.0, places[i]});
    } else {
      ++ensemble.refused;
    }
  }
}

}  // namespace detail

BowEnsemble build_ensemble(const BowMeasurements& measurements, const Setup& base, const EnsembleOptions& options) {
  detail::check_member_count(options.members);
  BowEnsemble ensemble;
  ensemble.sheet = measurements;
  ensemble.base = base;
  ensemble.central = build_bow(measurements, base);
  // Whole rounds, so that neither threads nor which of them is quicker decides which draws are taken.
  constexpr std::uint64_t most_rounds = 20;
  const auto wanted = static_cast<std::size_t>(options.members);
  std::uint64_t index = 0;
  for (std::uint64_t round = 0; round < most_rounds && ensemble.members.size() < wanted; ++round) {
    std::vector<std::vector<double>> places;
    for (std::size_t i = ensemble.members.size(); i < wanted; ++i) {
      places.push_back(detail::drawn_places(options.seed, index++));
    }
    detail::build_members(ensemble, places, options);
  }
  if (ensemble.members.size() < 2) {
    throw SolverError("building an ensemble", "of " + std::to_string(index) +
                                                  " plausible sets of limbs and cams fewer than two meet this sheet; "
                                                  "build_bow() gives the one that does");
  }
  for (EnsembleMember& member : ensemble.members) {
    member.weight = 1.0 / static_cast<double>(ensemble.members.size());
  }
  ensemble.effective_members = static_cast<double>(ensemble.members.size());
  return ensemble;
}

BowEnsemble build_ensemble(const BowMeasurements& measurements, const EnsembleOptions& options) {
  return build_ensemble(measurements, ordinary_setup(measurements), options);
}

}  // namespace nockwise
