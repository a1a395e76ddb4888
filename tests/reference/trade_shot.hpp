/// @file
/// One shot in the trade's units, and what a change does to it: for the facts of the trade (common practice, no
/// source).
#pragma once

#include "check_table.hpp"
#include "demo_bows.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/paper.hpp"

#include <string>
#include <utility>
#include <vector>

namespace nockwise::trade {

inline const Source practice{"common practice, no source", "T"};
inline constexpr double inch = 0.0254;

/// Parameters and what is added to them [SI].
using Change = std::vector<std::pair<std::string, double>>;

struct Shot {
  double up = 0.0;              // [in]
  double right = 0.0;           // [in]
  double gap = 0.0;             // upper stop's less lower stop's as the first one touches [in]: + the upper cam is late
  double lean[2] = {};          // at full draw [rad]
  double drop_start = 0.0;      // [s]
  double drop_x = 0.0;          // place of the nock as the rest starts to drop [m]
  double last_contact = 0.0;    // of shaft and launcher [s]
  double launcher_angle = 0.0;  // of the drop-away's arm at full draw [rad]
  double nock_rise = 0.0;       // of the nock over the launcher, from brace to full draw [in]
};

inline Shot shoot(Setup setup, const Change& change) {
  for (const auto& [path, value] : change) {
    setup.set(path, setup.get(path) + value);
  }
  const Model model(setup);
  const DrawCycle cycle = draw_cycle(model);
  LaunchOptions options;
  options.trace = true;
  const Launch shot = launch(model, options);
  const PaperTear tear = paper_tear(model, shot);
  const DrawPoint& touch = cycle.points[cycle.touch_index];
  const auto nock_at = [&](double time) {
    const auto& t = shot.trace.time;
    std::size_t i = 0;
    while (i + 1 < t.size() && t[i] < time) {
      ++i;
    }
    return shot.trace.nock_x[i];
  };
  Shot result;
  result.up = tear.up / inch;
  result.right = tear.right / inch;
  result.gap = (touch.stop_gap.upper.value() - touch.stop_gap.lower.value()) / inch;
  result.lean[0] = shot.lean_full_draw[0];
  result.lean[1] = shot.lean_full_draw[1];
  result.drop_start = shot.rest.drop_start.value_or(0.0);
  result.drop_x = nock_at(result.drop_start);
  result.last_contact = shot.rest.last_contact.value();
  result.launcher_angle = shot.trace.rest_arm.front();
  result.nock_rise = (shot.trace.nock_y.front() - model.brace().nock_height) / inch;
  return result;
}

inline Shot shoot(const std::string& bow, const Change& change = {}) { return shoot(testing::demo_bow(bow), change); }

/// What `change` changes.
inline Shot response(const Setup& setup, const Change& change) {
  const Shot before = shoot(setup, {});
  Shot after = shoot(setup, change);
  after.up -= before.up;
  after.right -= before.right;
  after.gap -= before.gap;
  after.drop_start -= before.drop_start;
  after.drop_x -= before.drop_x;
  after.last_contact -= before.last_contact;
  after.launcher_angle -= before.launcher_angle;
  after.lean[0] -= before.lean[0];
  after.lean[1] -= before.lean[1];
  return after;
}

inline Shot response(const std::string& bow, const Change& change) { return response(testing::demo_bow(bow), change); }

inline Change half_twist(const std::string& cable, double sign = 1.0) {
  return {{"cables." + cable + ".twists", 0.5 * sign}};
}

}  // namespace nockwise::trade
