// What a cam that is set late on purpose does to the wall. Private.
#pragma once

#include "nockwise/setup.hpp"

#include <string>

namespace nockwise::detail {

/// "the wall gives 0.06 in under 10 lbf more instead of 0.03 in, and the second stop knocks 0.11 in of draw after the
/// first": the walls of both bows, in words; empty where one of them cannot be drawn so far.
[[nodiscard]] std::string wall_words(const Setup& before, const Setup& after);

}  // namespace nockwise::detail
