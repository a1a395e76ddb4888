// Builds bows from spec sheets drawn over what exists, and counts what could not be built and why.
//
// usage: nockwise_sheet_study [sheets] [seed] [threads]
//
// The distribution (no maker's data; bands as anybody sees them in shops and at clubs):
//   cabling   crossed 45 %, hybrid 30 %, two yokes 25 %
//   let-off   crossed 65 to 92 %, most often 82; hybrid 60 to 92, 80; two yokes 60 to 92, 75
//   stops     limb 50 %, cable 35 %, both 15 %
//   draw      24 to 32 in, most often 28.5
//   peak      20 to 90 lbf, most often 40 at 24 in to 70 at 32 in
//   axles     24 to 44 in, most often 32; never less than the draw less 2 in
//   brace     4 to 9 in, around 6 1/2 in at 32 in of axle to axle and 0.06 in more per inch
//   speed     rated (60 %), by chronograph with 5 to 8 gr/lbf (20 %), none (20 %); of bows that store 66 to 80 % of
//             peak force times power stroke, less by 0.4 points per point of let-off above 75, with virtual masses of
//             4.8 to 7.5 g
#include "nockwise/bow_builder.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/units.hpp"
#include "numerics/random_numbers.hpp"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <iostream>
#include <map>
#include <string>
#include <thread>
#include <vector>

namespace {

using nockwise::Quantity;
using nockwise::to_si;

/// Triangular: between `low` and `high`, most often `mode`.
double triangular(nockwise::detail::RandomNumbers& random, double low, double mode, double high) {
  const double u = random.between(0.0, 1.0);
  const double at = (mode - low) / (high - low);
  return u < at ? low + std::sqrt(u * (high - low) * (mode - low))
                : high - std::sqrt((1.0 - u) * (high - low) * (high - mode));
}

nockwise::BowMeasurements draw_sheet(std::uint64_t seed, std::uint64_t index) {
  nockwise::detail::RandomNumbers random(seed * 1000003 + index);
  const auto inch = [](double x) { return to_si(x, Quantity::length, "in"); };
  nockwise::BowMeasurements m;
  m.name = "sheet " + std::to_string(index);
  const double kind = random.between(0.0, 1.0);
  m.cabling = kind < 0.45   ? nockwise::Cabling::crossed
              : kind < 0.75 ? nockwise::Cabling::hybrid
                            : nockwise::Cabling::yoke;
  const double let_off = m.cabling == nockwise::Cabling::crossed  ? triangular(random, 65.0, 82.0, 92.0)
                         : m.cabling == nockwise::Cabling::hybrid ? triangular(random, 60.0, 80.0, 92.0)
                                                                  : triangular(random, 60.0, 75.0, 92.0);
  m.let_off = 0.01 * std::round(let_off);
  const double peg = random.between(0.0, 1.0);
  m.stop = peg < 0.5 ? nockwise::StopPegs::limb : peg < 0.85 ? nockwise::StopPegs::cable : nockwise::StopPegs::both;
  const double draw = triangular(random, 24.0, 28.5, 32.0);
  m.draw_length = inch(draw);
  m.peak_force =
      to_si(std::round(triangular(random, 20.0, 40.0 + 30.0 * (draw - 24.0) / 8.0, 90.0)), Quantity::force, "lbf");
  const double axles = std::max(triangular(random, 24.0, 32.0, 44.0), draw - 2.0);
  m.axle_to_axle = inch(axles);
  const double brace = std::clamp(triangular(random, -2.0, 0.0, 2.0) + 6.5 + 0.06 * (axles - 32.0), 4.0, 9.0);
  m.brace_height = inch(brace);
  const double asked = random.between(0.0, 1.0);
  const double fullness = random.between(0.66, 0.80) - 0.4 * std::max(0.0, *m.let_off - 0.75);
  const double virtual_mass = random.between(0.0048, 0.0075);
  const double grains_per_pound = random.between(5.0, 8.0);
  if (asked < 0.6) {
    const double energy = fullness * to_si(70.0, Quantity::force, "lbf") * inch(30.0 - 1.75 - brace);
    m.rated_speed = std::sqrt(2.0 * energy / (to_si(350.0, Quantity::mass, "gr") + virtual_mass));
  } else if (asked < 0.8) {
    const double energy = fullness * *m.peak_force * inch(draw - 1.75 - brace);
    const double arrow =
        to_si(std::max(220.0, grains_per_pound * nockwise::from_si(*m.peak_force, Quantity::force, "lbf")),
              Quantity::mass, "gr");
    m.chronograph = nockwise::ChronographReading{std::sqrt(2.0 * energy / (arrow + virtual_mass)), arrow};
  }
  return m;
}

struct Outcome {
  bool built = false, cautioned = false;
  std::string reason;
  double milliseconds = 0.0, virtual_mass = 0.0, efficiency = 0.0, speed_off = 0.0;
};

Outcome build(const nockwise::BowMeasurements& m) {
  Outcome outcome;
  const auto start = std::chrono::steady_clock::now();
  try {
    const nockwise::BuiltBow bow = nockwise::build_bow(m);
    outcome.built = true;
    outcome.cautioned = !bow.report.cautions.empty();
    outcome.reason = outcome.cautioned ? "caution: " + bow.report.cautions.front().words : "";
    outcome.virtual_mass = bow.report.virtual_mass.value_or(0.0);
    outcome.efficiency = bow.report.efficiency.value_or(0.0);
    for (const auto& check : bow.report.checks) {
      if (check.path.find("speed") != std::string::npos) {
        outcome.speed_off = std::fabs(check.achieved / check.wanted - 1.0);
      }
    }
  } catch (const nockwise::InputError& error) {
    outcome.reason = error.path() + " " + error.value() + " " + error.allowed();
  } catch (const nockwise::SolverError& error) {
    outcome.reason = error.where().substr(0, 10) + ": " + error.why();
  }
  outcome.milliseconds = std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count();
  return outcome;
}

std::string sheet_in_words(const nockwise::BowMeasurements& m) {
  using nockwise::display;
  const char* cabling[] = {"yokes", "hybrid", "crossed"};
  const char* stop[] = {"limb", "cable", "both"};
  return std::string(cabling[static_cast<int>(m.cabling)]) + "/" + stop[static_cast<int>(m.stop)] + " ata " +
         display(m.axle_to_axle, Quantity::length, "in", 1) + " brace " +
         display(m.brace_height, Quantity::length, "in", 2) + " draw " +
         display(m.draw_length, Quantity::length, "in", 1) + " " + display(*m.peak_force, Quantity::force, "lbf", 0) +
         " " + display(*m.let_off, Quantity::percent, "%", 0) +
         (m.rated_speed   ? " rated " + display(*m.rated_speed, Quantity::speed, "ft/s", 0)
          : m.chronograph ? " shoots " + display(m.chronograph->speed, Quantity::speed, "ft/s", 0) + " with " +
                                display(m.chronograph->arrow_mass, Quantity::mass, "gr", 0)
                          : "");
}

double quantile(std::vector<double> values, double share) {
  if (values.empty()) {
    return 0.0;
  }
  std::sort(values.begin(), values.end());
  return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))];
}

}  // namespace

int main(int argc, char** argv) {
  const auto argument = [&](int index, long fallback) { return argc > index ? std::atol(argv[index]) : fallback; };
  const auto count = static_cast<std::size_t>(argument(1, 500));
  const auto seed = static_cast<std::uint64_t>(argument(2, 1));
  const auto threads = static_cast<std::size_t>(argument(3, 2));
  std::vector<Outcome> outcomes(count);
  std::atomic<std::size_t> next{0};
  std::vector<std::thread> workers;
  for (std::size_t i = 0; i < threads; ++i) {
    workers.emplace_back([&] {
      for (std::size_t k = next++; k < count; k = next++) {
        outcomes[k] = build(draw_sheet(seed, k));
      }
    });
  }
  for (std::thread& worker : workers) {
    worker.join();
  }
  std::map<std::string, std::vector<std::size_t>> reasons;
  std::map<std::string, std::pair<int, int>> by_cabling;
  std::vector<double> times;
  std::vector<double> masses;
  std::vector<double> efficiencies;
  std::vector<double> off;
  std::size_t built = 0;
  std::size_t clean = 0;
  for (std::size_t k = 0; k < count; ++k) {
    const Outcome& outcome = outcomes[k];
    built += outcome.built ? 1 : 0;
    clean += outcome.built && !outcome.cautioned ? 1 : 0;
    times.push_back(outcome.milliseconds);
    if (outcome.virtual_mass > 0.0) {
      masses.push_back(1e3 * outcome.virtual_mass);
      efficiencies.push_back(outcome.efficiency);
      off.push_back(outcome.speed_off);
    }
    if (!outcome.reason.empty()) {
      reasons[outcome.reason.substr(0, outcome.reason.find_first_of("0123456789"))].push_back(k);
    }
    const auto sheet = sheet_in_words(draw_sheet(seed, k));
    auto& tally = by_cabling[sheet.substr(0, sheet.find('/'))];
    ++tally.first;
    tally.second += outcome.built ? 1 : 0;
  }
  std::cout << count << " sheets, seed " << seed << ": " << built << " built, " << clean
            << " of them without a caution\n";
  for (const auto& [cabling, tally] : by_cabling) {
    std::cout << "  " << cabling << ": " << tally.second << " of " << tally.first << '\n';
  }
  std::cout << "time [ms]: median " << quantile(times, 0.5) << ", nine tenths below " << quantile(times, 0.9)
            << ", largest " << quantile(times, 1.0) << "\nvirtual mass [g]: " << quantile(masses, 0.05) << " to "
            << quantile(masses, 0.95) << " (nine tenths), efficiency " << quantile(efficiencies, 0.05) << " to "
            << quantile(efficiencies, 0.95) << "\nspeed off by [%]: " << 100.0 * quantile(off, 0.5)
            << " in the middle, " << 100.0 * quantile(off, 1.0) << " at most\n";
  for (const auto& [reason, which] : reasons) {
    std::cout << which.size() << " × " << outcomes[which.front()].reason << '\n';
    for (const std::size_t k : which) {
      std::cout << "    " << k << "  " << sheet_in_words(draw_sheet(seed, k)) << '\n';
    }
  }
  return 0;
}
