// What was done to a bow, in a case file: work that stays, and trials before single holes.

#include "causes/case_file.hpp"
#include "nockwise/error.hpp"
#include "nockwise/explanation.hpp"

#include <algorithm>

namespace nockwise::detail {

WorkStep CaseReader::read_work(const FileEntry& entry) const {
  const std::vector<Adjustment> known = adjustments(case_.setup);
  const std::vector<FileEntry> steps = entries_of(entry.table(), "work", file_);
  if (steps.size() != 1) {
    throw InputError("work", std::to_string(steps.size()) + " steps",
                     "must be one step under each [[work]], in the order in which they were done: \"rest.height\" = -2",
                     entry.place);
  }
  const FileEntry& step = steps.front();
  if (std::none_of(known.begin(), known.end(), [&](const Adjustment& a) { return a.name == step.name; })) {
    throw unknown(step, names_of(known));
  }
  return {step.name, number_in("tears.trial", step)};
}

std::size_t CaseReader::steps_before(const FileEntry& entry) const {
  const auto given = entry.node->value_exact<std::int64_t>();
  if (!given || *given < 0 || *given > std::ssize(case_.work)) {
    throw entry.error("must be how many of the " + std::to_string(case_.work.size()) +
                      " steps under [[work]] were done before: 0 for the bow as it came in");
  }
  return static_cast<std::size_t>(*given);
}

std::vector<ParameterChange> CaseReader::read_trial(const FileEntry& entry) const {
  const std::vector<Adjustment> known = adjustments(case_.setup);
  std::vector<ParameterChange> changes;
  for (const FileEntry& each : entries_of(entry.table(), entry.path, file_)) {
    const auto found =
        std::find_if(known.begin(), known.end(), [&](const Adjustment& a) { return a.name == each.name; });
    if (found == known.end()) {
      throw unknown(each, names_of(known));
    }
    const double steps = number_in("tears.trial", each);
    try {
      (void)adjusted(case_.setup, *found, steps);
    } catch (const InputError& error) {
      throw each.error(error.allowed());
    }
    for (const ParameterStep& part : found->parameters) {
      changes.push_back({part.path, steps * part.per_step, true});
    }
  }
  check_length("tears.changes", entry, changes.size());
  return changes;
}

}  // namespace nockwise::detail
