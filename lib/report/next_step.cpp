// The one next thing as text, and the lines that a case file needs for what it shows.

#include "nockwise/parameters.hpp"
#include "nockwise/text.hpp"
#include "nockwise/units.hpp"
#include "report/words.hpp"

namespace nockwise {

namespace detail {

namespace {

std::string lines_of(const TearObservation& tear) {
  std::string text = "[[tears]]\nhigh = \"… in\"    # or low\nright = \"… in\"   # or left\n";
  if (tear.distance) {
    text += "distance = \"" + display(*tear.distance, Quantity::length, "ft", 1) + "\"\n";
  }
  if (tear.after > 0) {
    text += "after = " + std::to_string(tear.after) + "\n";
  }
  for (const ParameterChange& change : tear.changes) {
    text += change == bare_shaft()
                ? "bare_shaft = true\n"
                : (change.relative ? "changes_by = { \"" : "changes = { \"") + change.path + "\" = \"" +
                      format_quantity(change.value, parameter(change.path).quantity) + "\" }\n";
  }
  return text;
}

std::string line_of(const CheckObservation& check) {
  const Quantity quantity = check_quantity(check.what);
  const std::string unit(quantity == Quantity::length ? "in" : workshop_unit(quantity));
  const bool path = find_parameter(check.what) != nullptr;
  return (path ? '"' + check.what + '"' : check.what) + " = { value = \"… " + unit + "\", error = \"" +
         display(check.error, quantity, unit, 3) + "\"" +
         (check.after > 0 ? ", after = " + std::to_string(check.after) : "") + " }\n";
}

std::string lines_of(const std::vector<TearObservation>& tears, const std::vector<CheckObservation>& checks) {
  std::string text;
  for (const TearObservation& tear : tears) {
    text += lines_of(tear);
  }
  for (const CheckObservation& each : checks) {
    text += (text.empty() ? "[checks]\n" : "") + line_of(each);
  }
  return text;
}

}  // namespace

std::string lines_to_paste(const NextCheck& check) { return lines_of(check.tears, check.checks); }

std::string lines_to_paste(const NextStep& next) {
  std::string text;
  for (const WorkStep& each : next.work) {
    text += "[[work]]\n\"" + each.adjustment + "\" = " + display(each.steps, Quantity::dimensionless, "", 1) + "\n";
  }
  return text + lines_of(next.tears, next.checks);
}

std::string foretold_text(const ForetoldHole& hole) {
  const auto range = [](double low, double high, const char* positive, const char* negative) {
    const auto one = [&](double value) {
      return std::string(value < 0.0 ? negative : positive) + " " +
             display(value < 0.0 ? -value : value, Quantity::length, "in", 2);
    };
    return one(low) + " to " + one(high);
  };
  return tear_text(hole.up, hole.right) + " at " + distance_text(hole.distance) +
         " (90 %: " + range(hole.up_low, hole.up_high, "tail-high", "tail-low") + ", " +
         range(hole.right_low, hole.right_high, "tail-right", "tail-left") + "); clean with " +
         percent_text(hole.clean);
}

}  // namespace detail

std::string next_step_markdown(const NextStep& next) {
  std::string text = "**" + markdown_text(detail::capitalised(next.instruction)) + "**\n";
  if (next.effort > 0.0) {
    text += "\nAbout " + display(next.effort, Quantity::dimensionless, "", 0) + " min.";
  }
  text += next.reason.empty() ? "" : " " + markdown_text(detail::capitalised(next.reason)) + "\n";
  if (next.foretold) {
    text += "\nTo expect: " + detail::foretold_text(*next.foretold) + ".\n";
  }
  text += next.outcomes.empty() ? "" : "\nWhat it may show:\n\n";
  for (const NextOutcome& each : next.outcomes) {
    text += "- " + markdown_text(each.seen) +
            (each.probability > 0.0 ? " (" + detail::percent_text(each.probability) + ")" : "") + ": " +
            markdown_text(each.means) + "\n";
  }
  for (const std::string& each : detail::words_of(next.cautions)) {
    text += "- Caution: " + markdown_text(each) + "\n";
  }
  const std::string lines = detail::lines_to_paste(next);
  return text + (lines.empty() ? "" : "\nThen add to the case file and ask again:\n\n```toml\n" + lines + "```\n");
}

}  // namespace nockwise
