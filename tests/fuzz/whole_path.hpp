/// @file
/// The whole path from a setup to the hole in the paper: finite numbers, or a clear error.
#pragma once

#include "fuzz_target.hpp"
#include "shot_check.hpp"

namespace nockwise::fuzz {

inline void require_finite(const std::string& first) { require(first.empty(), first + " is not finite"); }

/// How far inputs came; printed at the end of the run.
struct Tally {
  unsigned long braced = 0, drawn = 0, shot = 0, flew = 0, all = 0;
  Tally() = default;
  Tally(const Tally&) = delete;
  Tally& operator=(const Tally&) = delete;
  ~Tally() {
    std::fprintf(stderr, "%lu setups: %lu braced, %lu drawn, %lu shot, %lu flew through the paper\n", all, braced,
                 drawn, shot, flew);
  }
};
inline Tally tally;

/// @returns whether the arrow flew
inline bool shoot_through_paper(const Setup& setup) {
  ++tally.all;
  try {
    const Model model(setup);
    ++tally.braced;
    require_finite(testing::not_finite(draw_cycle(model, {.positions = 8})));
    ++tally.drawn;
    const Launch shot = launch(model);
    require_finite(testing::not_finite(shot));
    ++tally.shot;
    require(std::string(name_of(shot.ended_by)) != "unknown", "a launch ended without a named reason");
    if (shot.ended_by != LaunchEnd::arrow_clear) {
      return false;
    }
    const PaperTear tear = paper_tear(model, shot);
    require_finite(testing::not_finite(tear));
    require(!describe_tear(tear).empty(), "a tear without words");
    require_finite(testing::not_finite(target_impact(model, shot)));
    ++tally.flew;
    return true;
  } catch (const Error& error) {
    require_clear(error);
    return false;
  }
}

}  // namespace nockwise::fuzz
