// Tears of all members (nockwise/ensemble.hpp).
#include "base/threads.hpp"
#include "ensemble/ranges.hpp"
#include "ensemble/readings.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/ensemble.hpp"
#include "nockwise/error.hpp"
#include "nockwise/flight.hpp"
#include "nockwise/model.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <optional>

namespace nockwise {

namespace {

/// The adjustments of one member, all or those named.
std::vector<Adjustment> chosen(const Setup& setup, const std::vector<std::string>& names) {
  std::vector<Adjustment> all = adjustments(setup);
  if (names.empty()) {
    return all;
  }
  std::vector<Adjustment> some;
  for (const std::string& name : names) {
    some.push_back(find_adjustment(all, name));
  }
  return some;
}

/// One member, shot with every adjustment; nothing where it cannot be.
struct MemberTears {
  double up = 0.0, right = 0.0;
  double limb_travel = 0.0, cam_turn = 0.0, full_axle_to_axle = 0.0;
  std::vector<double> up_per_step, right_per_step, brace_height_per_step;
};

std::optional<MemberTears> shoot_member(const Setup& setup, const std::vector<std::string>& names,
                                        const EnsembleOptions& options) {
  const std::vector<Adjustment> rows = chosen(setup, names);
  const TearMatrixOptions how{.distance = options.distance, .threads = 1, .statics = false, .stop = options.stop};
  try {
    const TearMatrix matrix = tear_matrix(setup, rows, how);
    MemberTears tears;
    tears.up = matrix.base.value[Output::tear_up];
    tears.right = matrix.base.value[Output::tear_right];
    const DrawCycle cycle = detail::photographed_draw(setup);
    tears.limb_travel = detail::limb_travel(cycle);
    tears.cam_turn = detail::cam_turn(cycle);
    tears.full_axle_to_axle = cycle.full_axle_to_axle;
    for (const TearMatrixRow& row : matrix.rows) {
      tears.up_per_step.push_back(row.per_step[Output::tear_up]);
      tears.right_per_step.push_back(row.per_step[Output::tear_right]);
      tears.brace_height_per_step.push_back(detail::brace_height_change(setup, row.adjustment, 1.0));
    }
    return tears;
  } catch (const SolverError&) {
    return std::nullopt;
  }
}

}  // namespace

EnsembleTears ensemble_tears(const BowEnsemble& ensemble, const std::vector<std::string>& names,
                             const EnsembleOptions& options) {
  EnsembleTears result;
  const std::vector<Adjustment> rows = chosen(ensemble.central.setup, names);
  for (const Adjustment& row : rows) {
    result.rows.push_back({row, {}, {}, {}, {}, {}});
  }
  std::vector<std::optional<MemberTears>> shot(ensemble.members.size());
  detail::for_each_index(shot.size(), options.threads,
                         [&](std::size_t k) { shot[k] = shoot_member(ensemble.members[k].setup, names, options); });
  for (std::size_t k = 0; k < shot.size(); ++k) {
    if (!shot[k]) {
      throw SolverError("tears of an ensemble", ensemble.members[k].setup.name + " cannot be shot");
    }
    const MemberTears& tears = *shot[k];
    result.up_of.push_back(tears.up);
    result.right_of.push_back(tears.right);
    result.limb_travel_of.push_back(tears.limb_travel);
    result.cam_turn_of.push_back(tears.cam_turn);
    result.full_axle_to_axle_of.push_back(tears.full_axle_to_axle);
    for (std::size_t i = 0; i < rows.size(); ++i) {
      result.rows[i].up_of.push_back(tears.up_per_step[i]);
      result.rows[i].right_of.push_back(tears.right_per_step[i]);
      result.rows[i].brace_height_of.push_back(tears.brace_height_per_step[i]);
    }
  }
  const std::vector<double> weights = detail::weights_of(ensemble);
  result.up = detail::range_of(result.up_of, weights);
  result.right = detail::range_of(result.right_of, weights);
  for (EnsembleRow& row : result.rows) {
    row.up = detail::range_of(row.up_of, weights);
    row.right = detail::range_of(row.right_of, weights);
  }
  return result;
}

}  // namespace nockwise
