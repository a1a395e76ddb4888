// Numbers as a workshop writes them. Private.
#pragma once

#include <optional>
#include <string_view>

namespace nockwise::detail {

std::string_view without_leading_blanks(std::string_view text) noexcept;
std::string_view trimmed(std::string_view text) noexcept;

/// Take `prefix` from the start of the text; false, and the text as it was, where it does not begin so.
bool take(std::string_view& text, std::string_view prefix) noexcept;
/// Likewise "13/16", "6 3/4", "6-3/4" or "6¾"; nothing, and the text as it was, where there is none.
std::optional<double> take_fraction(std::string_view& text) noexcept;
/// Likewise a decimal number without a sign.
std::optional<double> take_decimal(std::string_view& text) noexcept;

}  // namespace nockwise::detail
