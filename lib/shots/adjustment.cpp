#include "nockwise/adjustment.hpp"

#include "base/nearest_name.hpp"
#include "nockwise/error.hpp"
#include "shots/adjustment_table.hpp"

#include <array>
#include <cmath>
#include <cstdio>

namespace nockwise {

namespace {

using detail::nearest_name;

std::string decimal(double value, int places) {
  std::array<char, 32> text{};
  std::snprintf(text.data(), text.size(), "%.*f", places, value);
  return text.data();
}

/// "1 1/2", "3/4", "2": the value as a whole number and a fraction of `parts`, reduced; empty if it is not one.
std::string fraction_text(double value, int parts) {
  const double count = std::round(value * parts);
  if (std::fabs(value * parts - count) > 1e-6) {
    return "";
  }
  int over = static_cast<int>(count);
  int under = parts;
  while (over % 2 == 0 && under % 2 == 0 && under > 1) {
    over /= 2;
    under /= 2;
  }
  const int whole = over / under;
  const int rest = over % under;
  std::string text = whole > 0 || rest == 0 ? std::to_string(whole) : "";
  if (rest > 0) {
    text += (text.empty() ? "" : " ") + std::to_string(rest) + "/" + std::to_string(under);
  }
  return text;
}

std::string counted(double value, const char* noun) {
  if (std::fabs(value - 0.5) < 1e-6) {
    return std::string("half a ") + noun;
  }
  if (std::fabs(value - 0.25) < 1e-6) {
    return std::string("a quarter ") + noun;
  }
  const double tenths = std::round(10.0 * value) / 10.0;
  const bool whole = tenths >= 1.0 && tenths == std::floor(tenths);
  const std::string fraction = fraction_text(whole ? tenths : value, 4);
  const bool several = (whole ? tenths : value) > 1.0 + 1e-6;
  return (fraction.empty() ? decimal(value, value < 0.1 ? 2 : 1) : fraction) + " " + noun + (several ? "s" : "");
}

std::string amount_text(double value, TradeUnit unit) {
  switch (unit) {
    case TradeUnit::twist:
      return counted(value, "twist");
    case TradeUnit::turn:
      return counted(value, "turn");
    case TradeUnit::inch: {
      const std::string fraction = fraction_text(value, 32);
      return (fraction.empty() ? decimal(value, 2) : fraction) + " in";
    }
    case TradeUnit::grain:
      return decimal(value, 0) + " grains";
    case TradeUnit::spine:
      return decimal(value, 3) + " in";
    case TradeUnit::newton_metre:
      return decimal(value, 2) + " N·m";
    case TradeUnit::riser_flex:
      return decimal(value, 3) + " mrad per N·m";
    case TradeUnit::feet_per_second:
      return decimal(value, 1) + " ft/s";
    case TradeUnit::degree:
      return decimal(value, 0) + " degrees";
  }
  return "";
}

std::string filled(const std::string& words, const std::string& amount) {
  const std::size_t place = words.find("{}");
  return place == std::string::npos ? words : std::string(words).replace(place, 2, amount);
}

}  // namespace

const Adjustment& find_adjustment(std::span<const Adjustment> among, std::string_view name) {
  std::vector<std::string> names;
  for (const Adjustment& each : among) {
    if (each.name == name) {
      return each;
    }
    names.push_back(each.name);
  }
  throw InputError(std::string(name), "",
                   "there is no such adjustment of this bow; the nearest is " + nearest_name(name, names));
}

Setup adjusted(const Setup& setup, const Adjustment& adjustment, double steps) {
  Setup result = setup;
  for (const ParameterStep& each : adjustment.parameters) {
    result.set(each.path, result.get(each.path) + steps * each.per_step);
  }
  return result;
}

std::string describe_amount(const Adjustment& adjustment, double steps) {
  return amount_text(std::fabs(steps) * adjustment.amount_per_step, adjustment.unit);
}

std::string describe_steps(const Adjustment& adjustment, double steps) {
  if (steps == 0.0) {
    return "leave this alone: " + adjustment.title;
  }
  return filled(steps > 0.0 ? adjustment.positive : adjustment.negative, describe_amount(adjustment, steps));
}

std::string describe_cause(const Adjustment& adjustment, double steps) {
  // An amount that would be written as nothing is none.
  if (detail::written_as_nothing(describe_amount(adjustment, steps))) {
    return adjustment.title + " as it should be";
  }
  return filled(steps > 0.0 ? adjustment.cause_positive : adjustment.cause_negative,
                describe_amount(adjustment, steps));
}

const char* name_of(AdjustmentGroup group) {
  switch (group) {
    case AdjustmentGroup::sync:
      return "sync";
    case AdjustmentGroup::geometry:
      return "geometry";
    case AdjustmentGroup::timing:
      return "timing";
    case AdjustmentGroup::clearance:
      return "clearance";
    case AdjustmentGroup::height:
      return "height";
    case AdjustmentGroup::nocking_point:
      return "nocking_point";
    case AdjustmentGroup::lateral:
      return "lateral";
    case AdjustmentGroup::arrow:
      return "arrow";
    case AdjustmentGroup::technique:
      return "technique";
  }
  return "";
}

const std::vector<Caution>& general_cautions() {
  const auto say = [](const char* words) { return Caution{CautionKind::general, words}; };
  static const std::vector<Caution> cautions = {
      say("This is computed for the bow in the setup file. The maker's manual and a qualified technician who has the "
          "bow "
          "in hand come first wherever they differ."),
      say("Before anything else: flex and turn every arrow, and throw away any that is cracked, splintered or creaks. "
          "Look "
          "over strings, cables, limbs and cams."),
      say("Never dry-fire the bow, not even from a draw board."),
      say("Use a bow press that fits this bow, and only if you have learned it; otherwise take the bow to someone who "
          "has."),
      say("Never shoot an arrow that is lighter, or shorter, than the maker of the bow allows."),
      say("Grip, coaching and a second archer come before parts: shoot again with a relaxed, open hand."),
      say("After each change draw the bow slowly with an arrow on the string and look at stops, cables and rest before "
          "you "
          "shoot.")};
  return cautions;
}

}  // namespace nockwise
