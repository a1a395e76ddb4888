/// @file
/// Comparisons with outside sources that also leave a row in a table.
///
/// Each check is an ordinary expectation of GoogleTest. When the environment variable NOCKWISE_CHECK_TABLE names a
/// file, it appends one JSON object per line there, from which `tests/reference/make_table.py` writes
/// tests/checks.md.
#pragma once

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <cstdlib>
#include <fstream>
#include <string>

namespace nockwise {

/// Where a number comes from. Status as in the list of check values: S read in the source, S2 read in a page about it,
/// M from memory (ranges only), C computed from a stated formula, C×2 by two independent methods, O our own oracle.
struct Source {
  std::string name;
  std::string status;
};

/// The same source where the model contradicts it: the row then holds what the model is known to say.
inline Source disagreement(Source source) {
  source.status += ", disagrees";
  return source;
}

inline void append_check_row(const nlohmann::json& row) {
  if (const char* path = std::getenv("NOCKWISE_CHECK_TABLE")) {
    std::ofstream(path, std::ios::app) << row.dump() + "\n";
  }
}

inline nlohmann::json check_row(const std::string& what, const Source& source, double computed,
                                const std::string& unit) {
  return {{"what", what}, {"source", source.name}, {"status", source.status}, {"computed", computed}, {"unit", unit}};
}

/// |computed − expected| / |expected| must not exceed `tolerance`.
inline void check_relative(const std::string& what, const Source& source, double expected, double computed,
                           double tolerance, const std::string& unit = "") {
  const double deviation = std::fabs(computed - expected) / std::fabs(expected);
  nlohmann::json row = check_row(what, source, computed, unit);
  row.update({{"kind", "relative"}, {"expected", expected}, {"deviation", deviation}, {"tolerance", tolerance}});
  append_check_row(row);
  EXPECT_LE(deviation, tolerance) << what << " (" << source.name << "): expected " << expected << ", computed "
                                  << computed;
}

/// |computed − expected| must not exceed `tolerance`, in the unit given.
inline void check_absolute(const std::string& what, const Source& source, double expected, double computed,
                           double tolerance, const std::string& unit = "") {
  const double deviation = std::fabs(computed - expected);
  nlohmann::json row = check_row(what, source, computed, unit);
  row.update({{"kind", "absolute"}, {"expected", expected}, {"deviation", deviation}, {"tolerance", tolerance}});
  append_check_row(row);
  EXPECT_LE(deviation, tolerance) << what << " (" << source.name << "): expected " << expected << ", computed "
                                  << computed;
}

/// `computed` must lie from `low` to `high`: for values that are only second-hand, remembered, or a spread.
inline void check_range(const std::string& what, const Source& source, double low, double high, double computed,
                        const std::string& unit = "") {
  nlohmann::json row = check_row(what, source, computed, unit);
  row.update({{"kind", "range"}, {"expected", {low, high}}});
  append_check_row(row);
  EXPECT_GE(computed, low) << what << " (" << source.name << ")";
  EXPECT_LE(computed, high) << what << " (" << source.name << ")";
}

}  // namespace nockwise
