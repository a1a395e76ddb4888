#include "nockwise/text.hpp"
#include "nockwise/units.hpp"
#include "report/words.hpp"

#include <array>
#include <cmath>
#include <cstdio>

namespace nockwise {

namespace {

using detail::distance_text;
using detail::percent_text;
using detail::tear_text;

std::string list(const std::vector<std::string>& items) {
  std::string text;
  for (const std::string& each : items) {
    text += "- " + markdown_text(each) + "\n";
  }
  return text;
}

std::string holes(const Explanation& e) {
  std::string text = "## Holes\n\n| shot | paper | seen | as explained |\n|---|---|---|---|\n";
  for (std::size_t i = 0; i < e.observed.tears.size(); ++i) {
    const TearObservation& seen = e.observed.tears[i];
    const double distance = seen.distance.value_or(e.observed.setup.surroundings.paper_distance);
    text += "| " + markdown_text(seen.label) + " | " + distance_text(distance) + " | " +
            tear_text(seen.up, seen.right) + " | " +
            (i < e.predicted.size() ? tear_text(e.predicted[i].up, e.predicted[i].right) : "–") + " |\n";
  }
  for (const CheckObservation& each : e.observed.checks) {
    text += "\nChecked: " + markdown_text(detail::check_text(each)) + "\n";
  }
  return text + "\n";
}

std::string single_causes(const Explanation& e) {
  std::string text =
      "| if it were the only one | 90 % interval | size against what is usual | leaves | probability |\n"
      "|---|---|---|---|---|\n";
  for (const Cause& c : e.causes) {
    if (detail::worth_telling(c)) {
      text += "| " + markdown_text(c.words) + " | " + detail::interval_text(c) + " | " +
              (c.implausibility < detail::hardly_off ? "" : display(c.implausibility, Quantity::dimensionless, "", 1)) +
              " | " + display(c.unexplained, Quantity::length, "in", 2) + (c.explains ? "" : " (too much)") + " | " +
              percent_text(c.probability) + " |\n";
    }
  }
  return text + "\n";
}

std::string paired_causes(const Explanation& e) {
  std::string text;
  for (const CausePair& p : e.pairs) {
    if (p.explains && p.like_first && detail::pairs_matter(e)) {
      text += "- together: " + markdown_text(p.words) + " (" + percent_text(p.probability) + " among pairs)\n";
    }
  }
  return text.empty() ? "" : text + "\n";
}

std::string causes(const Explanation& e) {
  if (e.causes.empty()) {
    return "";
  }
  const std::string single = single_causes(e);
  const std::string paired = paired_causes(e);
  return "## Causes\n\n" +
         (e.causes.front().explains ? single + paired : paired + "None of these is enough alone:\n\n" + single);
}

std::string check_item(const NextCheck& n, bool told = false) {
  return (told ? "Of that check:" : markdown_text(n.instruction)) + " (about " +
         display(n.effort, Quantity::dimensionless, "", 0) + " min; " + detail::information_text(n) + ") " +
         markdown_text(n.expectation) + "\n\n```toml\n" + detail::lines_to_paste(n) + "```\n";
}

/// What is to be done before the first step; the next check stands under it with the lines it needs.
std::string first(const Explanation& e) {
  std::string text = list(e.plan.first);
  if (!e.next_checks.empty()) {
    text += (text.empty() ? "" : "\n") + (detail::told_first(e, e.next_checks.front())
                                              ? check_item(e.next_checks.front(), true)
                                              : "Next check: " + check_item(e.next_checks.front()));
  }
  return text.empty() ? "" : "## What to do first\n\n" + text + "\n";
}

/// The checks after the first.
std::string checks(const Explanation& e) {
  if (e.next_checks.size() < 2) {
    return "";
  }
  std::string text = "## Other checks\n\n";
  constexpr std::size_t most = 4;
  for (std::size_t i = 1; i < std::min(most, e.next_checks.size()); ++i) {
    text += std::to_string(i) + ". " + check_item(e.next_checks[i]) + "\n";
  }
  return text;
}

/// The one next thing, before all others.
std::string next(const Explanation& e) {
  return e.next.instruction.empty() ? "" : "## Next\n\n" + next_step_markdown(e.next) + "\n";
}

std::string plan(const Explanation& e) {
  const Plan& p = e.plan;
  std::string text = "## " + detail::plan_title(e) + "\n\n";
  if (!p.refusal.empty()) {
    text += markdown_text(p.refusal) + "\n\n";
  }
  for (std::size_t i = 0; i < p.steps.size(); ++i) {
    const PlanStep& s = p.steps[i];
    text += std::to_string(i + 1) + ". **" + markdown_text(s.instruction) + "** (`" + s.adjustment.name +
            "`): " + markdown_text(s.reason) +
            ". Then: " + tear_text(s.after[Output::tear_up], s.after[Output::tear_right]) + ".\n";
    for (const std::string& each : s.side_effects) {
      text += "   - " + markdown_text(each) + "\n";
    }
    for (const std::string& each : detail::words_of(s.cautions)) {
      text += "   - Caution: " + markdown_text(each) + "\n";
    }
  }
  if (!p.steps.empty()) {
    text += "\nExpected at the end, at " + distance_text(p.distance) + ": " +
            tear_text(p.end[Output::tear_up], p.end[Output::tear_right]) + ", give or take " +
            display(p.uncertainty_up, Quantity::length, "in", 2) + " vertically and " +
            display(p.uncertainty_right, Quantity::length, "in", 2) +
            " sideways (90 %). It ends clean with a probability of " + percent_text(p.confidence) + ".\n";
    const std::string elsewhere = detail::elsewhere_text(p);
    text += elsewhere.empty() ? "" : "\n" + elsewhere + "\n";
  }
  text += p.sight.empty() ? "" : "\n" + markdown_text(p.sight) + "\n";
  return text + (p.stop_rule.empty() ? "" : "\n" + markdown_text(p.stop_rule) + "\n") + "\n";
}

/// What the setup's file leaves to the defaults.
std::string assumed(const Explanation& e) {
  std::string text;
  for (const AssumedValue& each : e.observed.assumed) {
    text += "- " + markdown_text(each.path) + ": " + markdown_text(each.value) + "\n";
  }
  return text.empty() ? "" : detail::assumed_text() + "\n\n" + text + "\n";
}

}  // namespace

std::string explanation_markdown(const Explanation& e) {
  std::string text = "# What the paper says\n\n" + markdown_text(e.summary) + "\n\n" + list(e.findings) + "\n";
  for (const auto& [name, value] : detail::setup_rows(e.observed.setup)) {
    text.append("- ").append(name).append(": ").append(markdown_text(value)).append("\n");
  }
  text += "\n" + holes(e) + next(e) + first(e) + plan(e) + causes(e) + checks(e);
  const std::string disagreement = detail::disagreement_text(e);
  text += disagreement.empty() ? "" : markdown_text(disagreement) + "\n\n";
  text += "## Cautions\n\n" + list(detail::words_of(e.cautions)) + "\n## Assumptions\n\n" + list(e.assumptions) + "\n" +
          assumed(e) + detail::version_text() + ", " + std::to_string(e.launches) + " launches\n";
  return text;
}

}  // namespace nockwise
