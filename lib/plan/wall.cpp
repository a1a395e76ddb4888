#include "plan/wall.hpp"

#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/units.hpp"

#include <algorithm>
#include <optional>

namespace nockwise::detail {

namespace {

struct Wall {
  double give = 0.0;                     // draw past the first touch under `usual_pull` [m]
  std::optional<double> second_touch{};  // draw between the stops' touches [m]; none: not in reach
};

constexpr double usual_pull = 44.48222;  // [N] 10 lbf, a firm pull into the wall
constexpr double far_pull = 0.008;       // [m] past the first touch

/// Draw at which a value that rises from one point of the draw to the next passes `level`; none if it does not.
template <class Value>
std::optional<double> draw_where(const DrawCycle& cycle, double level, const Value& value) {
  for (std::size_t i = cycle.touch_index + 1; i < cycle.points.size(); ++i) {
    const double a = value(cycle.points[i - 1]);
    const double b = value(cycle.points[i]);
    if (b >= level) {
      const double share = b > a ? std::clamp((level - a) / (b - a), 0.0, 1.0) : 0.0;
      const double x = cycle.points[i - 1].nock_x + share * (cycle.points[i].nock_x - cycle.points[i - 1].nock_x);
      return cycle.points[cycle.touch_index].nock_x - x;
    }
  }
  return {};
}

std::optional<Wall> wall_of(Setup setup) {
  setup.hold.wall_pull = far_pull;
  try {
    const DrawCycle cycle = draw_cycle(Model(setup), {.positions = 600});
    const DrawPoint& touch = cycle.points[cycle.touch_index];
    const auto force = [&](const DrawPoint& p) { return p.draw_force - touch.draw_force; };
    const auto pressed = [&](const DrawPoint& p) {
      return -std::max(p.stop_gap.upper.value_or(1.0), p.stop_gap.lower.value_or(1.0));
    };
    Wall wall;
    const auto give = draw_where(cycle, usual_pull, force);
    if (!give) {
      return {};
    }
    wall.give = *give;
    wall.second_touch = pressed(touch) >= 0.0 ? 0.0 : draw_where(cycle, 0.0, pressed);
    return wall;
  } catch (const Error&) {
    return {};  // a wall that cannot be pulled so far has no number
  }
}

}  // namespace

std::string wall_words(const Setup& before, const Setup& after) {
  const auto was = wall_of(before);
  const auto is = wall_of(after);
  if (!was || !is) {
    return "";
  }
  const auto inches = [](double length) { return display(length, Quantity::length, "in", 2); };
  return "the wall gives " + inches(is->give) + " under 10 lbf more, where it gave " + inches(was->give) +
         (is->second_touch ? ", and the second stop knocks " + inches(*is->second_touch) + " of draw after the first"
                           : ", and the second stop is not reached within " + inches(far_pull) +
                                 " of draw: one stop "
                                 "carries the wall alone");
}

}  // namespace nockwise::detail
