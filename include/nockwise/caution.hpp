/// @file
/// What could hurt or break something, as a sentence for people and as a kind for programs.
#pragma once

#include "nockwise/export.hpp"

#include <string>
#include <string_view>

namespace NOCKWISE_EXPORT nockwise {

/// What a caution is about.
enum class CautionKind {
  general,            ///< holds for every work on a bow
  bow_press,          ///< a bow press is needed, and someone who knows it
  overdraw,           ///< pulled, or allowed to be pulled, farther than the cams were made for
  limb_bolt,          ///< a limb bolt out too far lets the limb leave its pocket
  cam_lean,           ///< a cam leans so far that a line can leave its groove
  rest_cord,          ///< a cord that carries the limb's or the cable's load, or lifts the arm too late
  light_arrow,        ///< an arrow so light that the shot is close to a dry fire
  short_arrow,        ///< an arrow that can fall off the rest inside the draw
  vane_strikes_rest,  ///< a vane strikes the launcher
  cable_strike,       ///< a vane or the shaft would strike a cable
  arrow_stays,        ///< the arrow did not leave the bow in time
  impossible_result,  ///< numbers that no bow can have: a mistyped entry, or a case beyond the model
  unmet_measurement,  ///< the bow that was built differs from what was measured
};

/// One caution.
struct Caution {
  CautionKind kind = CautionKind::general;  ///< what it is about
  std::string words;                        ///< one or two sentences for people
  bool operator==(const Caution&) const = default;
};

/// "general", "light_arrow", …
[[nodiscard]] std::string_view name_of(CautionKind kind) noexcept;

}  // namespace nockwise
