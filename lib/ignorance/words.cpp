// Predictions for people (nockwise/prediction.hpp).
#include "nockwise/prediction.hpp"
#include "nockwise/text.hpp"
#include "nockwise/units.hpp"

#include <cmath>
#include <cstddef>

namespace nockwise {

namespace {

const OutputDescription& description_of(Output output) {
  return output_descriptions()[static_cast<std::size_t>(output)];
}

std::string shown(double value, const OutputDescription& what) {
  const bool fine = what.quantity == Quantity::length;
  return display(value, what.quantity, what.unit, fine ? 2 : 1);
}

std::string percent(double fraction) { return display(fraction, Quantity::percent, "%", 0); }

/// What is worth a line.
constexpr double worth_telling = 0.02;
constexpr std::size_t most_lines = 8;

std::string table_of(const Prediction& prediction) {
  std::string text =
      "| output | setup as it stands | 90 % of the bows that it may be | middle | straight lines give |\n"
      "|---|---|---|---|---|\n";
  for (const PredictedOutput& each : prediction.outputs) {
    const OutputDescription& what = description_of(each.output);
    constexpr double per_side = 1.644854;  // standard deviations that hold 90 %
    text += "| " + what.title + " | " + shown(each.value, what) + " | " + shown(each.low, what) + " to " +
            shown(each.high, what) + " | " + shown(each.median, what) + " | ± " +
            shown(per_side * each.linear_deviation, what) + (each.linear ? "" : ", which is not it") + " |\n";
  }
  return text;
}

std::string shares_of(const PredictedOutput& one) {
  std::string text;
  std::size_t lines = 0;
  double rest = 1.0;
  for (const PredictionShare& each : one.shares) {
    if (each.share < worth_telling || lines == most_lines) {
      break;
    }
    text += "- " + percent(each.share) + " " + markdown_text(each.title) + " (" + name_of(each.by) + ")\n";
    rest -= each.share;
    ++lines;
  }
  return text + "- " + percent(rest) + " all else\n";
}

std::string narrowing_of(const PredictedOutput& one) {
  std::string text;
  std::size_t lines = 0;
  for (const NarrowingMeasurement& each : one.narrowing) {
    constexpr double worth_while = 0.97;
    constexpr std::size_t most = 3;
    if (each.remaining > worth_while || lines == most) {
      break;
    }
    text += "- " + markdown_text(each.instruction) + ": leaves " + percent(each.remaining) + " of the interval\n";
    ++lines;
  }
  return text.empty() ? "- No single measurement narrows it by more than 3 %.\n" : text;
}

}  // namespace

std::string prediction_markdown(const Prediction& prediction) {
  std::string text = "# What " + markdown_text(prediction.name) + " will do, as far as it is known\n\n" +
                     table_of(prediction) + "\nBy " + std::to_string(prediction.bows - prediction.failed) +
                     " bows drawn from what is not known; paper at " +
                     display(prediction.distance, Quantity::length, "ft", 1) + ".\n";
  for (const PredictedOutput& each : prediction.outputs) {
    const OutputDescription& what = description_of(each.output);
    text += "\n## " + what.title + "\n\nWhere the interval comes from" +
            (each.linear ? ":" : " (the bows do not answer in straight lines; take these for an order):") + "\n\n" +
            shares_of(each) + "\nWhat would narrow it most:\n\n" + narrowing_of(each);
  }
  if (!prediction.notes.empty()) {
    text += "\n## Notes\n\n";
  }
  for (const std::string& each : prediction.notes) {
    text += "- " + markdown_text(each) + "\n";
  }
  return text;
}

}  // namespace nockwise
