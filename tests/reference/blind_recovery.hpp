/// @file
/// Blind recovery: hidden faults are put into a bow, its holes get reading error, and explain() must find and repair
/// them. The tool may ask for its own checks, one at a time; they are made on the hidden bow, with their error.
#pragma once

#include "nockwise/explanation.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace nockwise {

struct BlindFault {
  std::string adjustment;
  double steps = 0.0;
};

/// One hidden bow, and what became of it.
struct BlindCase {
  std::uint64_t seed = 0;
  std::vector<BlindFault> faults;
  bool drawn = false;       ///< a bow that shoots, with a tear that somebody would report
  bool repairable = false;  ///< knowing the faults, a plan within limits ends clean
  bool planned = false;     ///< the tool says that its plan ends clean
  bool repaired = false;    ///< the hidden bow ends clean
  bool ranked = false;      ///< single: the fault stands first, or is declared inseparable from the first
  bool covered = false;     ///< single: its stated 90 % interval holds it
  std::size_t alike = 0;    ///< how many causes are declared inseparable, the first included
  int checks = 0;           ///< that the tool asked for
  int joint_covered = 0;    ///< joint fit: intervals that hold the hidden amount
  int joint_stated = 0;     ///< joint fit: intervals
  int fault_covered = 0;    ///< those of them for a hidden fault
  int fault_stated = 0;
  int pair_covered = 0;  ///< two faults: intervals of the hidden pair that hold their part, if it is listed
  int pair_stated = 0;
  int end_covered = 0;  ///< intervals of the tear after the plan that hold the hidden bow's
  int end_stated = 0;
  double confidence = 0.0;  ///< in the plan, as the tool says
  double start = 0.0;       ///< largest part of the tear as found [m]
  double end = 0.0;         ///< and after the plan, of the hidden bow [m]
  double first_end = 0.0;   ///< after the first plan [m]
  int rounds = 0;           ///< of work, or things done one by one
  int moves = 0;            ///< steps of all plans
  int presses = 0;          ///< those of them that need a press
  int foretold = 0;         ///< parts of holes that the next step foretold
  int foretold_held = 0;    ///< those of them that its 90 % interval holds, as read
  bool told = false;        ///< that the setup is not this bow, in some round
  bool worse = false;       ///< the hidden bow tears farther at the end than as found, by more than a reading error
  std::string verdict;
  std::string plan;  ///< its steps in words
};

struct BlindOptions {
  int faults = 1;      ///< how many are hidden
  int checks = 3;      ///< how many the tool may ask for
  bool every = false;  ///< every suspected parameter is off, as the joint fit assumes
  int threads = 1;
  double unknown =
      0.0;  ///< how far the hidden bow differs besides, in what no workshop measures: factor on ignorance_of()'s widths
  bool otherwise = false;  ///< by another distribution than the tool assumes: Student's t with three degrees of
                           ///< freedom, and one number three widths off
  double assumed = 0.0;    ///< ExplanationOptions::ignorance
  int rounds = 1;          ///< of explanation, work and a hole after it
  /// Instead of plans in rounds: so many times the one next thing, until it says stop; 0: plans.
  int follow = 0;
  bool off_list = false;         ///< the fault is none that is suspected
  std::optional<Setup> other{};  ///< the hidden bow is this one, with its faults, and the file another's
};

/// One case, drawn by its seed.
[[nodiscard]] BlindCase blind_case(const Setup& bow, std::uint64_t seed, const BlindOptions& options);

/// The rows of the table for one kind of case.
[[nodiscard]] std::string blind_table(const std::string& heading, const std::vector<BlindCase>& cases);

}  // namespace nockwise
