// In what ranges the numbers of a case and of a calibration are believed. Private.
#pragma once

#include "nockwise/explanation.hpp"
#include "nockwise/units.hpp"

#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace nockwise::detail {

/// The range of `path` ("tears.distance").
[[nodiscard]] const CaseRange& case_range(std::string_view path);
/// The range of a check's value: of its own, or that of the parameter. \throws InputError for an unknown check
[[nodiscard]] CaseRange range_of_check(const std::string& what);
/// The range of a check's error, from the range of its value.
[[nodiscard]] CaseRange range_of_error(const CaseRange& of_value);

/// How many differently changed bows shot these holes.
[[nodiscard]] std::size_t different_bows(std::span<const TearObservation> tears);

/// Everything that explain() and calibrate() look at, before the first launch.
/// \throws InputError with the path of the first that is wrong
void check_tears(const Setup& setup, std::span<const TearObservation> tears);
void check_checks(std::span<const CheckObservation> checks);
void check_changes(const Setup& setup, std::span<const ParameterChange> changes, const std::string& path);
void check_workshop(const Case& observed);
void check_priors(const Setup& setup, std::span<const PriorWidth> priors);

}  // namespace nockwise::detail
