// What would settle what a sheet leaves open (nockwise/ensemble.hpp).
#include "ensemble/ranges.hpp"
#include "ensemble/readings.hpp"
#include "nockwise/error.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace nockwise {

namespace {

/// Something that one might read, and what it would be on every member.
struct Candidate {
  SettlingTest test;
  std::vector<double> values;
};

/// What can be tried at once and taken back: no other arrow, no other hand, and no stop that lets the bow be drawn
/// farther.
bool can_be_tried(const Adjustment& adjustment) {
  return adjustment.plannable && adjustment.group != AdjustmentGroup::arrow &&
         adjustment.group != AdjustmentGroup::clearance && !adjustment.name.starts_with("stop.");
}

std::vector<Candidate> candidates(const EnsembleTears& tears) {
  std::vector<Candidate> all;
  const auto change = [&](const EnsembleRow& row, ReadingKind kind, const std::string& read,
                          const std::vector<double>& per_step) {
    const EnsembleReading reading{kind, row.adjustment.name, 1.0, 0.0, 0.0, detail::kind_of_reading(kind).error};
    all.push_back({{reading, describe_steps(row.adjustment, 1.0) + " and " + read, 1.0}, per_step});
  };
  const auto photograph = [&](ReadingKind kind, const std::string& instruction, const std::vector<double>& values) {
    all.push_back({{{kind, "", 1.0, 0.0, 0.0, detail::kind_of_reading(kind).error}, instruction, 1.0}, values});
  };
  for (const EnsembleRow& row : tears.rows) {
    if (!can_be_tried(row.adjustment)) {
      continue;
    }
    change(row, ReadingKind::tear_up_change, "shoot again: by how much does the hole change in height?", row.up_of);
    change(row, ReadingKind::tear_right_change, "shoot again: by how much does the hole change sideways?",
           row.right_of);
    change(row, ReadingKind::brace_height_change, "measure the brace height again: by how much has it changed?",
           row.brace_height_of);
  }
  photograph(ReadingKind::limb_travel,
             "photograph the bow from the side at brace and at full draw: by how much does the upper limb turn?",
             tears.limb_travel_of);
  photograph(ReadingKind::cam_turn,
             "photograph the bow from the side at brace and at full draw: by how much does the upper cam turn?",
             tears.cam_turn_of);
  photograph(ReadingKind::full_axle_to_axle, "measure from axle to axle at full draw, on a draw board",
             tears.full_axle_to_axle_of);
  return all;
}

}  // namespace

std::vector<SettlingTest> settling_tests(const BowEnsemble& ensemble, const EnsembleTears& tears,
                                         const std::string& adjustment) {
  const std::vector<double> weights = detail::weights_of(ensemble);
  std::vector<const std::vector<double>*> answers;
  for (const EnsembleRow& row : tears.rows) {
    if (adjustment.empty() || row.adjustment.name == adjustment) {
      answers.push_back(&row.up_of);
      answers.push_back(&row.right_of);
    }
  }
  if (answers.empty()) {
    throw InputError("adjustment", adjustment, "must be one of the rows that were shot");
  }
  std::vector<SettlingTest> tests;
  for (const Candidate& candidate : candidates(tears)) {
    SettlingTest test = candidate.test;
    const double noise = std::pow(test.reading.error / detail::deviations_per_error, 2.0);
    const double spread = detail::weighted_covariance(candidate.values, candidate.values, weights) + noise;
    // Spreads are added as lengths of tears: an answer that is known already counts for nothing.
    double before = 0.0;
    double after = 0.0;
    for (const std::vector<double>* answer : answers) {
      const double own = detail::weighted_covariance(*answer, *answer, weights);
      const double common = detail::weighted_covariance(*answer, candidate.values, weights);
      before += own;
      after += std::max(0.0, own - common * common / spread);
    }
    test.remaining = before > 0.0 ? std::sqrt(after / before) : 1.0;
    tests.push_back(std::move(test));
  }
  std::stable_sort(tests.begin(), tests.end(),
                   [](const SettlingTest& a, const SettlingTest& b) { return a.remaining < b.remaining; });
  return tests;
}

}  // namespace nockwise
