// Ensembles of bows from their sheets: how long they take, and whether they contain the bow that a sheet came from.
//
// usage: nockwise_ensemble_study [members] [threads] [rows]
//
// For the demo bows: a sheet as a maker would print it is taken from the setup, an ensemble is built around what the
// sheet does not speak of, and every tear per step of the bow itself is looked up between the 5 % and the 95 % of the
// ensemble's. `rows` prints every one of them. Then the times for Coppice's sheet.
#include "nockwise/bow_builder.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/ensemble.hpp"
#include "nockwise/error.hpp"
#include "nockwise/flight.hpp"
#include "nockwise/setup_file.hpp"
#include "nockwise/units.hpp"
#include "sheet_of_setup.hpp"
#include "source_folder.hpp"

#include <chrono>
#include <cstdlib>
#include <ctime>
#include <iostream>
#include <string>

namespace {

using nockwise::EnsembleRange;
using nockwise::Output;
using nockwise::Quantity;

const std::string setups = nockwise::source_folder("examples/setups/");

/// Time of the wall, and of all processors together, which a busy machine lengthens less.
class Watch {
 public:
  [[nodiscard]] std::string read() const {
    const double wall = std::chrono::duration<double>(std::chrono::steady_clock::now() - start_).count();
    const double processors = static_cast<double>(std::clock() - clock_) / CLOCKS_PER_SEC;
    return nockwise::display(wall, Quantity::time, "s", 2) + " (" +
           nockwise::display(processors, Quantity::time, "s", 2) + " of processors)";
  }

 private:
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
  std::clock_t clock_ = std::clock();
};

std::string inches(double length) { return nockwise::display(length, Quantity::length, "in", 3); }

/// Tears per step that lie inside; prints the others, or all.
int count_inside(const nockwise::EnsembleTears& tears, const nockwise::TearMatrix& truth, bool all_rows) {
  int inside = 0;
  for (std::size_t i = 0; i < truth.rows.size(); ++i) {
    const auto look = [&](const char* side, const EnsembleRange& range, double value) {
      const bool within = nockwise::contains(range, value);
      inside += within ? 1 : 0;
      if (!within || all_rows) {
        std::cout << "    " << truth.rows[i].adjustment.name << ' ' << side << ": " << inches(value)
                  << (within ? "" : " outside") << " of " << inches(range.low) << " to " << inches(range.high) << '\n';
      }
    };
    look("up", tears.rows[i].up, truth.rows[i].per_step[Output::tear_up]);
    look("right", tears.rows[i].right, truth.rows[i].per_step[Output::tear_right]);
  }
  return inside;
}

}  // namespace

int main(int argc, char** argv) {
  try {
    const int members = argc > 1 ? std::atoi(argv[1]) : nockwise::EnsembleOptions{}.members;
    const int threads = argc > 2 ? std::atoi(argv[2]) : 2;
    const bool all_rows = argc > 3;
    const nockwise::EnsembleOptions options{.members = members, .threads = threads};
    int inside = 0;
    int all = 0;
    for (const char* name : {"larkspur.toml", "alder.toml", "wheelwright.toml"}) {
      const nockwise::Setup truth = nockwise::read_setup(setups + name);
      const nockwise::BowEnsemble ensemble =
          nockwise::build_ensemble(nockwise::sheet_of_setup(truth), nockwise::around_of_setup(truth), options);
      const nockwise::TearMatrix matrix = nockwise::tear_matrix(truth, {.threads = threads, .statics = false});
      const int own = count_inside(nockwise::ensemble_tears(ensemble, {}, options), matrix, all_rows);
      const int of_own = static_cast<int>(2 * matrix.rows.size());
      std::cout << name << ": " << own << " of " << of_own << " inside; " << ensemble.refused << " draws refused\n";
      inside += own;
      all += of_own;
    }
    std::cout << "together " << inside << " of " << all << " tears per step within the nine tenths of the members\n";
    const nockwise::BowMeasurements sheet = nockwise::read_measurements(setups + "coppice-sheet.toml");
    const Watch building;
    const nockwise::BowEnsemble ensemble = nockwise::build_ensemble(sheet, options);
    std::cout << "Coppice's sheet: " << ensemble.members.size() << " members in " << building.read() << ", "
              << ensemble.refused << " draws refused; ";
    const Watch shooting;
    (void)nockwise::ensemble_tears(ensemble, {}, options);
    std::cout << "their tears in " << shooting.read() << '\n';
  } catch (const nockwise::Error& error) {
    std::cerr << error.what() << '\n';
    return 1;
  }
  return 0;
}
