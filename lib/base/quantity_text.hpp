#pragma once

/// @file
/// Quantities in the unit that makes them friendliest.

#include "nockwise/units.hpp"

#include <string>
#include <string_view>

namespace nockwise::detail {

/// The value in `unit`, or in another unit that is usual for the quantity if it has clearly fewer digits there;
/// parse_quantity gives the same bits.
[[nodiscard]] std::string quantity_text(double value, Quantity quantity, const std::string& unit);

/// parse_quantity(), which proposes this unit where none is written.
[[nodiscard]] double parse_quantity_in(std::string_view text, Quantity quantity, std::string_view proposed);

/// The number in front of the unit.
[[nodiscard]] std::string number_of(const std::string& text);

}  // namespace nockwise::detail
