// The bows that would show what was seen: what the plan starts from. Private.
#pragma once

#include "causes/fit.hpp"

namespace nockwise::detail {

/// One of them.
struct PlausibleBow {
  Setup bow;
  double weight = 1.0;  // its probability; bows that are left out make the sum less than one and count as failure
  TearSpread spread;    // of its tear
  std::array<double, 2> tear{};         // that it shows at the first hole, up and right [m]
  std::array<double, 2> unexplained{};  // part of the hole that stays whatever is adjusted: nothing explains it, or a
                                        // drawn bow's launch misses it [m]
  std::vector<std::string> off{};       // names of what deviates in it; empty for the joint fit
  std::optional<double> distance{};     // of the paper [m]; none: the plan's
  std::optional<std::array<double, 2>>
      believed{};  // of a bow drawn from what is not known: the hole that it is taken to shoot [m]
  std::optional<std::array<double, 2>>
      believed_relaxed{};                       // the same where another hand, or a relaxed one, has shot it [m]
  std::array<double, 2> unexplained_relaxed{};  // as `unexplained`, in a relaxed hand [m]
};

/// The bow in a hand that twists it no more than the setup says.
[[nodiscard]] PlausibleBow in_relaxed_hand(PlausibleBow bow, const Setup& supposed);

}  // namespace nockwise::detail
