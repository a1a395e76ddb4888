// From a setup file to the tear, and a tear matrix row for the threads behind it, with nothing but the public headers.
#include <nockwise/nockwise.hpp>

#include <cmath>
#include <exception>
#include <iostream>

int main(int count, char** arguments) {
  try {
    if (count != 2) {
      std::cerr << "usage: consumer SETUP\n";
      return 2;
    }
    const nockwise::Setup setup = nockwise::read_setup(arguments[1]);
    const nockwise::Model model(setup);
    const nockwise::Launch shot = nockwise::launch(model);
    const nockwise::PaperTear tear = nockwise::paper_tear(model, shot);
    const auto all = nockwise::adjustments(setup);
    nockwise::TearMatrixOptions options;
    options.threads = 2;
    const auto matrix = nockwise::tear_matrix(setup, std::span(all).first(1), options);
    std::cout << nockwise::describe_tear(tear) << ", " << shot.exit_speed << " m/s\n";
    const bool good = shot.ended_by == nockwise::LaunchEnd::arrow_clear && std::isfinite(tear.up) &&
                      matrix.rows.size() == 1 && matrix.base.flew &&
                      matrix.base.value[nockwise::Output::tear_up] == tear.up;
    return good ? 0 : 1;
  } catch (const std::exception& error) {
    std::cerr << error.what() << '\n';
    return 1;
  }
}
