// What can be read at a bow, as people read it. Private.
#pragma once

#include "nockwise/draw.hpp"
#include "nockwise/ensemble.hpp"
#include "nockwise/units.hpp"

#include <span>

namespace nockwise::detail {

/// What is read in that way is one of these, and written in files in this unit.
struct KindOfReading {
  ReadingKind kind;
  const char* name;
  Quantity quantity;
  const char* unit;
  double error;  // in 19 of 20 readings, as people commonly have it [SI]
};

/// By the value of the enumeration.
const KindOfReading& kind_of_reading(ReadingKind kind);
std::span<const KindOfReading> kinds_of_reading();

/// Standard deviations in an error of 19 of 20 readings.
inline constexpr double deviations_per_error = 1.96;

/// Whether a reading compares a bow after an adjustment with the bow before.
bool is_change(ReadingKind kind);

/// Change of brace height by so many steps of an adjustment [m].
double brace_height_change(const Setup& setup, const Adjustment& adjustment, double steps);

/// A draw as a photographer sees it: brace and the wall.
DrawCycle photographed_draw(const Setup& setup);

double limb_travel(const DrawCycle& cycle);  // of the upper limb, brace to the wall [rad]
double cam_turn(const DrawCycle& cycle);     // of the upper cam, likewise [rad]

/// Half the square of what the readings are off by on every member from `first` on, in standard deviations.
/// @throws InputError for a reading that cannot be meant, and with `first` = 0 for one that no member comes near
std::vector<double> misfits(const BowEnsemble& ensemble, std::size_t first, std::span<const EnsembleReading> readings,
                            const EnsembleOptions& options);

/// Errors that let at least three members count, as a multiple of those given.
double widening_of(const std::vector<double>& misfit, const std::vector<double>& weights);

/// Gives the members these weights times their likelihood, and tells how many count.
void weigh(BowEnsemble& ensemble, const std::vector<double>& misfit, const std::vector<double>& before);

}  // namespace nockwise::detail
