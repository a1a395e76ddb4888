// nockwise_explain: a case file in; what explains its holes, what to look at next and what to do about it out.
#include "change.hpp"
#include "expected_time.hpp"

#include <CLI/CLI.hpp>
#include <nockwise/error.hpp>
#include <nockwise/explanation.hpp>
#include <nockwise/paper.hpp>
#include <nockwise/report.hpp>
#include <nockwise/text.hpp>

#include <iostream>
#include <string>
#include <vector>

namespace {

struct Arguments {
  std::string case_file;
  std::vector<std::string> reports;
  std::vector<std::string> hidden;
  bool json = false;
  bool no_arrow_steps = false;
  bool next = false;
  std::optional<int> threads;
  double ignorance = nockwise::ExplanationOptions{}.ignorance;
};

std::string tear_words(const nockwise::Shot& shot) {
  if (!shot.flew) {
    return "cannot be shot: " + shot.failure;
  }
  nockwise::PaperTear tear;
  tear.up = shot.value[nockwise::Output::tear_up];
  tear.right = shot.value[nockwise::Output::tear_right];
  return nockwise::describe_tear(tear);
}

nockwise::Setup with_hidden_faults(const Arguments& arguments, nockwise::Setup bow) {
  for (const std::string& change : arguments.hidden) {
    (void)apply_change("--hidden", change, bow);
  }
  return bow;
}

/// What somebody who knows the bow's faults sees: the plan, carried out on the bow with these faults.
void try_plan(const Arguments& arguments, const nockwise::Explanation& e) {
  nockwise::Setup bow = with_hidden_faults(arguments, e.observed.setup);
  std::cout << "\n## The plan on the bow with its hidden faults\n\n- as found: " << tear_words(nockwise::shoot(bow))
            << '\n';
  const auto all = nockwise::adjustments(e.observed.setup);
  for (const nockwise::WorkStep& done : e.observed.work) {
    bow = nockwise::adjusted(bow, nockwise::find_adjustment(all, done.adjustment), done.steps);
    std::cout << "- after the work on " << done.adjustment << ": " << tear_words(nockwise::shoot(bow)) << '\n';
  }
  for (const nockwise::PlanStep& step : e.plan.steps) {
    bow = nockwise::adjusted(bow, step.adjustment, step.steps);
    std::cout << "- " << step.instruction << ": " << tear_words(nockwise::shoot(bow)) << '\n';
  }
}

int run(const Arguments& arguments) {
  nockwise::ExplanationOptions options;
  options.threads = arguments.threads;
  options.ignorance = arguments.ignorance;
  options.arrow_steps = !arguments.no_arrow_steps;
  const nockwise::Case observed = nockwise::read_case(arguments.case_file);
  for (const std::string& file : arguments.reports) {
    nockwise::check_report_file(file);  // rather than after all the work
  }
  (void)with_hidden_faults(arguments, observed.setup);
  examples::tell_expected_time(nockwise::expected_launches(observed, options), observed.setup, arguments.threads);
  const nockwise::Explanation e = nockwise::explain(observed, options);
  for (const std::string& file : arguments.reports) {
    nockwise::write_report(e, file);
  }
  if (arguments.next) {
    std::cout << e.summary << "\n\n" << nockwise::next_step_markdown(e.next);
    return e.next.kind == nockwise::NextKind::nothing || e.next.kind == nockwise::NextKind::look_at_setup ? 3 : 0;
  }
  std::cout << (arguments.json ? nockwise::explanation_json(e) : nockwise::explanation_markdown(e));
  if (!arguments.hidden.empty() && !arguments.json) {
    try_plan(arguments, e);
  }
  return e.plan.possible || e.plan.rounds ? 0 : 3;
}

}  // namespace

int main(int argc, char** argv) {
  Arguments arguments;
  CLI::App app{
      "Explain the holes of a case file, say what to look at next, and plan the work.\n"
      "Ends with 0 if there is a plan, or its first round (or nothing to do), 3 if there is none, 2 for an error."};
  app.add_option("case", arguments.case_file, "case file (TOML)")->required();
  app.add_option("--report", arguments.reports, "also write a report: .html, .md or .json; repeatable")
      ->type_name("FILE");
  app.add_option("--hidden", arguments.hidden,
                 "for exercises: carry the plan out on the bow with this parameter changed, path=value; repeatable")
      ->type_name("PATH=VALUE");
  app.add_flag("--json", arguments.json, "print one JSON object, SI units, instead of Markdown");
  app.add_flag("--no-arrow-steps", arguments.no_arrow_steps, "plan without another arrow");
  app.add_flag("--next", arguments.next, "print the one next thing to do, and what each outcome would mean");
  app.add_option(
         "--ignorance", arguments.ignorance,
         "how little is known of the bow besides: factor on the widths of its numbers; 0 takes the setup for the bow")
      ->capture_default_str();
  app.add_option("--threads", arguments.threads,
                 "threads to launch on; as many as the machine runs at once, if not given")
      ->check(CLI::PositiveNumber);
  CLI11_PARSE(app, argc, argv);
  try {
    return run(arguments);
  } catch (const nockwise::Error& error) {
    std::cerr << nockwise::terminal_text(error.what()) << '\n';
    return 2;
  }
}
