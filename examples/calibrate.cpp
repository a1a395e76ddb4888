// nockwise_calibrate: a file of measurements in; the fit, and a setup file of the calibrated bow out.
#include "expected_time.hpp"

#include <CLI/CLI.hpp>
#include <nockwise/calibration.hpp>
#include <nockwise/error.hpp>
#include <nockwise/files.hpp>
#include <nockwise/setup_file.hpp>
#include <nockwise/text.hpp>

#include <iostream>
#include <optional>
#include <string>

int main(int argc, char** argv) {
  std::string measurements_file;
  std::string setup_file;
  std::optional<int> threads;
  CLI::App app{"Fit a bow's uncertain parameters to draw forces, speeds, holes and checks."};
  app.add_option("measurements", measurements_file, "file of measurements (TOML)")->required();
  app.add_option("--write", setup_file, "write the calibrated setup")->type_name("FILE");
  app.add_option("--threads", threads, "threads to launch on; as many as the machine runs at once, if not given")
      ->check(CLI::PositiveNumber);
  CLI11_PARSE(app, argc, argv);
  try {
    const auto measured = nockwise::read_calibration_case(measurements_file);
    if (!setup_file.empty()) {
      nockwise::check_writable(setup_file);  // rather than after all the work
    }
    examples::tell_expected_time(nockwise::expected_launches(measured), measured.setup, threads);
    const auto calibrated = nockwise::calibrate(measured.setup, measured.measurements, {}, threads);
    std::cout << nockwise::calibration_markdown(calibrated, measured.assumed);
    if (!setup_file.empty()) {
      nockwise::write_setup(calibrated.setup, setup_file);
    }
    return 0;
  } catch (const nockwise::Error& error) {
    std::cerr << nockwise::terminal_text(error.what()) << '\n';
    return 2;
  }
}
