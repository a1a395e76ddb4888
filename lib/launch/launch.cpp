#include "nockwise/launch.hpp"

#include "launch/launch_alone.hpp"
#include "launch/step_size.hpp"
#include "nockwise/units.hpp"
#include "statics/lateral_balance.hpp"
#include "statics/model_access.hpp"
#include "statics/rest_cord.hpp"

namespace nockwise {

namespace {

/// Fly with this step, or with a shorter one where that does not hold or leaves the hole unsure.
template <int Links>
Launch fly_until_sure(const detail::Release<Links>& release, LaunchOptions options, const detail::StableStep& stable) {
  detail::StepSearch search(stable);
  while (true) {
    options.step = search.step();
    try {
      detail::FlownLaunch flown = detail::fly_alone(release, options);
      if (!detail::has_fixed_step(options.integrator) ||
          search.settled(release.constants.arrow, release.topology, flown)) {
        return std::move(flown.launch);
      }
    } catch (const detail::StepTooLong&) {
      if (!detail::has_fixed_step(options.integrator) || !search.shorten()) {
        throw;
      }
    }
  }
}

}  // namespace

namespace detail {

void check_options(const LaunchOptions& o) {
  const auto between = [](const char* path, double value, double low, double high, const char* allowed) {
    if (!(value >= low && value <= high)) {
      throw InputError(path, format_quantity(value, Quantity::dimensionless), allowed);
    }
  };
  between("step", o.step, 1e-7, 1e-3, "must be from 1e-7 to 1e-3 s");
  between("tolerance", o.tolerance, 1e-10, 1e-2, "must be from 1e-10 to 1e-2");
  between("time_limit", o.time_limit, 1e-4, 2.0, "must be from 1e-4 to 2 s");
  between("trace_interval", o.trace_interval, 0.0, 1.0, "must be from 0 to 1 s");
}

void add_cautions(double arrow_mass, double peak_force, Launch& result) {
  constexpr double five_grains_per_pound = 5.0 * 64.79891e-6 / 4.4482216152605;  // [kg/N]
  if (arrow_mass < five_grains_per_pound * peak_force) {
    result.cautions.push_back(
        {CautionKind::light_arrow,
         "The arrow is lighter than 5 grains per pound of peak draw force. Shooting it is close to a dry fire: it can "
         "break limbs, string and cams and injure people. Use a heavier arrow; follow the bow maker's manual."});
  }
  if (result.rest.fletching_contact) {
    result.cautions.push_back(
        {CautionKind::vane_strikes_rest,
         "A vane strikes the rest. Check for contact marks with powder or lipstick on the vanes; turn "
         "the nock, time the rest to drop sooner, or use lower vanes, as the maker's manual and a "
         "qualified technician allow."});
  }
  if (result.cable_strike || result.cable_clearance.value_or(0.0) < 0.0) {
    result.cautions.push_back({CautionKind::cable_strike,
                               "A vane, or the shaft, would strike a cable. Do not shoot it so: bring the rest out or "
                               "the cables farther off. "
                               "See that they clear through the whole draw, as the maker's manual says."});
  }
  if (result.rest.cord_force > most_cord_force) {
    result.cautions.push_back(cord_caution(result.rest.cord_force, "at full draw"));
  }
  const std::string lean = lean_caution(result.lean_full_draw);
  if (!lean.empty()) {
    result.cautions.push_back({CautionKind::cam_lean, lean});
  }
  if (result.efficiency > 1.0) {
    result.cautions.push_back(
        {CautionKind::impossible_result,
         "The arrow leaves with more energy than the draw stored, which no bow gives it: do not trust this launch, and "
         "look for a mistyped number in the setup."});
  }
  if (result.ended_by == LaunchEnd::time_limit) {
    result.cautions.push_back(
        {CautionKind::arrow_stays,
         "The arrow did not leave the bow within the time limit: treat this like a dry fire and do not shoot such a "
         "setup."});
  }
}

}  // namespace detail

Launch launch(const Model& model, const LaunchOptions& options) {
  detail::check_options(options);
  const detail::ModelData& data = detail::data_of(model);
  return detail::with_constants(data, [&]<int Links>(const kernel::Constants<double, Links>& c) {
    const detail::Release<Links> release = detail::prepare_release(data, c);
    detail::StableStep stable{.step = options.step};
    if (detail::has_fixed_step(options.integrator)) {
      stable = detail::stable_step(c.arrow, data.topology.modes, release.rates, options.integrator, options.step);
    }
    if (release.chain.pieces > 1) {
      const double in_pieces = detail::step_in_pieces(release.chain, stable.step);
      stable = {in_pieces, stable.usual || in_pieces < 0.25 * stable.step};  // which follows any other part
    }
    stable.usual = stable.usual && data.tried;
    Launch result = fly_until_sure(release, options, stable);
    detail::add_cautions(c.arrow.total_mass, release.peak_force, result);
    return result;
  });
}

const char* name_of(LaunchEnd end) {
  switch (end) {
    case LaunchEnd::arrow_clear:
      return "arrow_clear";
    case LaunchEnd::time_limit:
      return "time_limit";
    case LaunchEnd::track_ended:
      return "track_ended";
  }
  return "unknown";
}

const char* name_of(EventKind kind) {
  switch (kind) {
    case EventKind::upper_stop_open:
      return "upper_stop_open";
    case EventKind::lower_stop_open:
      return "lower_stop_open";
    case EventKind::rest_contact_lost:
      return "rest_contact_lost";
    case EventKind::rest_contact_made:
      return "rest_contact_made";
    case EventKind::drop_started:
      return "drop_started";
    case EventKind::drop_ended:
      return "drop_ended";
    case EventKind::nock_left_string:
      return "nock_left_string";
    case EventKind::tail_passed_rest:
      return "tail_passed_rest";
    case EventKind::upper_cable_slack:
      return "upper_cable_slack";
    case EventKind::upper_cable_taut:
      return "upper_cable_taut";
    case EventKind::lower_cable_slack:
      return "lower_cable_slack";
    case EventKind::lower_cable_taut:
      return "lower_cable_taut";
  }
  return "unknown";
}

}  // namespace nockwise
