#include "reference/blind_recovery.hpp"

#include <algorithm>
#include <array>
#include <iomanip>
#include <sstream>

namespace nockwise {

namespace {

std::string share(std::size_t part, std::size_t whole) {
  std::ostringstream text;
  text << part << " of " << whole;
  if (whole > 0) {
    text << " (" << std::fixed << std::setprecision(1) << 100.0 * static_cast<double>(part) / static_cast<double>(whole)
         << " %)";
  }
  return text.str();
}

/// How many of how many.
struct Share {
  std::size_t part = 0, whole = 0;
  void add(int more, int of) {
    part += static_cast<std::size_t>(more);
    whole += static_cast<std::size_t>(of);
  }
  [[nodiscard]] std::string text() const { return share(part, whole); }
};

}  // namespace

std::string blind_table(const std::string& heading, const std::vector<BlindCase>& cases) {
  std::size_t drawn = 0, repairable = 0, repaired = 0, promised = 0, kept = 0, single = 0, ranked = 0, covered = 0;
  std::size_t alike = 0, checks = 0, moves = 0, presses = 0, rounds = 0;
  Share joint, faults, pairs, ends_held, foretold, told, told_or_repaired, worse, sure_and_wrong, first_round;
  std::array<Share, 4> kept_by_confidence;
  std::array<double, 4> stated{};
  double confidence = 0.0;
  std::vector<double> ends;
  for (const BlindCase& each : cases) {
    if (!each.drawn) {
      continue;
    }
    ++drawn;
    repairable += each.repairable ? 1 : 0;
    repaired += each.repaired ? 1 : 0;
    promised += each.planned ? 1 : 0;
    kept += each.planned && each.repaired ? 1 : 0;
    single += each.faults.size() == 1 ? 1 : 0;
    ranked += each.ranked ? 1 : 0;
    covered += each.covered ? 1 : 0;
    alike += each.alike;
    checks += static_cast<std::size_t>(each.checks);
    joint.add(each.joint_covered, each.joint_stated);
    faults.add(each.fault_covered, each.fault_stated);
    pairs.add(each.pair_covered, each.pair_stated);
    ends_held.add(each.end_covered, each.end_stated);
    foretold.add(each.foretold_held, each.foretold);
    told.add(each.told ? 1 : 0, 1);
    told_or_repaired.add(each.told || each.repaired ? 1 : 0, 1);
    worse.add(each.worse ? 1 : 0, 1);
    const bool kept_at_once = each.first_end <= usual_reading_error;
    first_round.add(kept_at_once ? 1 : 0, 1);
    sure_and_wrong.add(each.confidence > 0.9 && !kept_at_once ? 1 : 0, 1);
    const std::size_t bin = each.confidence < 0.3 ? 0 : each.confidence < 0.6 ? 1 : each.confidence < 0.9 ? 2 : 3;
    kept_by_confidence[bin].add(kept_at_once ? 1 : 0, 1);
    stated[bin] += each.confidence;
    moves += static_cast<std::size_t>(each.moves);
    presses += static_cast<std::size_t>(each.presses);
    rounds += static_cast<std::size_t>(each.rounds);
    confidence += each.confidence;
    ends.push_back(each.end / 0.0254);
  }
  std::sort(ends.begin(), ends.end());
  std::ostringstream text;
  text << std::fixed << std::setprecision(2) << "## " << heading << "\n\n| what | result |\n|---|---|\n";
  text << "| cases | " << drawn << " |\n";
  text << "| can be repaired within limits | " << share(repairable, drawn) << " |\n";
  text << "| hidden bow within 1/8 in after the plan, of those | " << share(repaired, repairable) << " |\n";
  text << "| plan promises it | " << share(promised, drawn) << " |\n";
  text << "| and keeps the promise | " << share(kept, promised) << " |\n";
  if (single > 0) {
    text << "| true cause first or inseparable | " << share(ranked, single) << " |\n";
    text << "| its 90 % interval holds it | " << share(covered, single) << " |\n";
  }
  text << "| intervals of the hidden pair that hold its parts, where it is listed | " << pairs.text() << " |\n";
  text << "| intervals of the joint fit that hold the truth | " << joint.text() << " |\n";
  text << "| those of them for what is hidden | " << faults.text() << " |\n";
  text << "| intervals of the final tear that hold it | " << ends_held.text() << " |\n";
  text << "| confidence in the plan, on average | "
       << 100.0 * confidence / static_cast<double>(std::max<std::size_t>(1, drawn)) << " % |\n";
  const auto count = static_cast<double>(std::max<std::size_t>(1, drawn));
  text << "| causes declared inseparable, on average | " << static_cast<double>(alike) / count << " |\n";
  text << "| checks asked for, on average | " << static_cast<double>(checks) / count << " |\n";
  text << "| clean after the first plan or step | " << first_round.text() << " |\n";
  text << "| rounds, moves and presses, on average | " << static_cast<double>(rounds) / count << ", "
       << static_cast<double>(moves) / count << ", " << static_cast<double>(presses) / count << " |\n";
  text << "| foretold next holes that came | " << foretold.text() << " |\n";
  text << "| told that the setup is not this bow | " << told.text() << " |\n";
  text << "| told so, or repaired | " << told_or_repaired.text() << " |\n";
  text << "| left worse than it came in | " << worse.text() << " |\n";
  text << "| confident above 0.9, and not clean after the first plan or step | " << sure_and_wrong.text() << " |\n";
  for (std::size_t bin = 0; bin < stated.size(); ++bin) {
    static constexpr std::array names{"below 0.3", "0.3 to 0.6", "0.6 to 0.9", "above 0.9"};
    const auto whole = static_cast<double>(std::max<std::size_t>(1, kept_by_confidence[bin].whole));
    text << "| clean after it, confidence " << names[bin] << " (" << stated[bin] / whole << " on average) | "
         << kept_by_confidence[bin].text() << " |\n";
  }
  if (!ends.empty()) {
    text << "| final tear: median, 95 % [in] | " << ends[ends.size() / 2] << ", " << ends[ends.size() * 95 / 100]
         << " |\n";
  }
  return text.str();
}

}  // namespace nockwise
