// nockwise_launch: a setup file in, the whole shot out: brace, draw cycle, launch, flight, hole in the paper.
#include "change.hpp"
#include "launch_json.hpp"
#include "launch_report.hpp"

#include <CLI/CLI.hpp>
#include <nockwise/error.hpp>
#include <nockwise/setup_file.hpp>

#include <fstream>
#include <iostream>
#include <string>
#include <vector>

namespace {

struct Arguments {
  std::string setup_file;
  std::vector<std::string> changes;
  bool json = false;
  bool trace = false;
  bool draw_board = false;
};

int run(const Arguments& arguments) {
  nockwise::SetupFile file = nockwise::read_setup_file(arguments.setup_file);
  nockwise::Setup& setup = file.setup;
  for (const std::string& change : arguments.changes) {
    const std::string path = apply_change("--set", change, setup);
    std::erase_if(file.assumed, [&](const nockwise::AssumedValue& each) { return each.path == path; });
  }
  const nockwise::Model model(setup);
  examples::Shot shot;
  nockwise::DrawOptions draw_options;
  draw_options.hold = arguments.draw_board ? nockwise::DrawHold::draw_board : nockwise::DrawHold::archer;
  shot.draw = nockwise::draw_cycle(model, draw_options);
  nockwise::LaunchOptions options;
  options.trace = arguments.trace;
  shot.launch = nockwise::launch(model, options);
  if (shot.launch.ended_by == nockwise::LaunchEnd::arrow_clear) {
    shot.tear = nockwise::paper_tear(model, shot.launch);
    shot.impact = nockwise::target_impact(model, shot.launch);
    shot.chronograph = nockwise::chronograph_speed(model, shot.launch);
    shot.flew = true;
  }
  if (arguments.json) {
    std::cout << examples::to_text(examples::to_json(model, shot, file.assumed), arguments.trace ? -1 : 2) << '\n';
  } else {
    examples::print_report(std::cout, model, shot, file.assumed);
  }
  return shot.flew ? 0 : 3;
}

}  // namespace

int main(int argc, char** argv) {
  Arguments arguments;
  CLI::App app{"Shoot a compound bow from a setup file through paper."};
  app.add_option("setup", arguments.setup_file, "setup file (TOML)")->required();
  app.add_option("--set", arguments.changes, "change one parameter: path=value, with its unit; repeatable")
      ->type_name("PATH=VALUE");
  app.add_flag("--json", arguments.json, "print one JSON object, SI units");
  app.add_flag("--trace", arguments.trace, "with --json: the trajectory as well");
  app.add_flag("--draw-board", arguments.draw_board, "draw cycle on a draw board instead of in the hand");
  CLI11_PARSE(app, argc, argv);
  try {
    return run(arguments);
  } catch (const nockwise::Error& error) {
    std::cerr << nockwise::terminal_text(error.what()) << '\n';
    return 2;
  }
}
