#include "bow_builder/cam_draw.hpp"

#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/units.hpp"
#include "statics/draw_continuation.hpp"
#include "statics/model_access.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

namespace nockwise::detail {

namespace {

void widen(NormalRange& range, double normal, bool first) {
  range.lowest = first ? normal : std::min(range.lowest, normal);
  range.highest = first ? normal : std::max(range.highest, normal);
}

/// What the lines do where the draw has come to.
template <int Links>
void look(DrawContinuation<Links>& walk, bool first, UpperLower<CamDraw>& cams) {
  using L = kernel::Layout<Links>;
  kernel::HalfMotion<double, Links> m[2];
  const auto& now = walk.now();
  const auto lines = walk.statics().loads(now.q, m);
  for (int h = 0; h < 2; ++h) {
    CamDraw& cam = cams[h];
    widen(cam.string, lines.string[h].normal_a, first);
    widen(cam.take_up, lines.cable[h].normal_a, first);
    // The other's cable comes in at π/2 − u − α, with u in the other's side frame.
    const auto& d = lines.cable[1 - h].direction;
    double u = std::atan2(d.y, d.x);
    u -= u > 0.5 * std::numbers::pi ? 2.0 * std::numbers::pi : 0.0;
    widen(cam.let_out, 0.5 * std::numbers::pi - u - now.q[L::cam(h)], first);
    cam.stop_gap = now.stop_gap[h];
    cam.cable_normal = lines.cable[h].normal_a;
    cam.cable_lever = lines.cable[h].p_a;
  }
}

std::string millimetres(double length) { return display(length, Quantity::length, "mm", 1); }

}  // namespace

UpperLower<CamDraw> draw_to(const Model& model, double wall) {
  constexpr double stride = 0.008;  // between looks at the lines [m]
  const ModelData& data = data_of(model);
  UpperLower<CamDraw> cams;
  with_constants(data, [&]<int Links>(const kernel::Constants<double, Links>& c) {
    DrawContinuation<Links> walk(data, c, DrawHold::draw_board);
    look(walk, true, cams);
    try {
      while (walk.nock_x() > wall) {
        run_to_end(walk.advance_to(std::max(wall, walk.nock_x() - stride)));
        look(walk, false, cams);
      }
    } catch (const SolverError& error) {
      const double reached = draw_length_allowance - walk.nock_x();
      throw SolverError("draw with these cams", "they can be drawn to a draw length of " + millimetres(reached) + ", " +
                                                    millimetres(walk.nock_x() - wall) + " short: " + error.why());
    }
  });
  return cams;
}

}  // namespace nockwise::detail
