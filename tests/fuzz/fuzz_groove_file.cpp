// Text → groove points → a fitted groove: a clear error, or finite points and a convex groove that scatters finitely.
#include "fuzz_target.hpp"
#include "nockwise/groove.hpp"

#include <cmath>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace nockwise;
  constexpr std::size_t most_points = 40;  // a fit of more takes too long for many inputs
  try {
    const GrooveTrack groove = parse_groove(fuzz::text_of(data, size), "groove", "mm");
    for (const auto& [x, y] : groove.points) {
      fuzz::require(std::isfinite(x) && std::isfinite(y), "a point that is not finite");
    }
    if (groove.points.size() <= most_points) {
      const GrooveFit fit = fit_groove(groove);
      fuzz::require(fit.smallest_radius > 0.0, "a groove that is not convex");
      fuzz::require(std::isfinite(fit.scatter) && fit.scatter <= fit.farthest, "a scatter beyond the farthest point");
    }
  } catch (const Error& error) {
    fuzz::require_clear(error);
  }
  return 0;
}
