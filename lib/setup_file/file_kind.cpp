#include "setup_file/file_kind.hpp"

#include "nockwise/error.hpp"
#include "nockwise/setup_file.hpp"
#include "setup_file/layout.hpp"
#include "setup_file/toml.hpp"

#include <algorithm>
#include <cstddef>
#include <vector>

namespace nockwise {

namespace {

using detail::names_in;
using detail::parse_document;

struct Kind {
  std::string_view name;
  const char* title;
  const char* reader;              ///< what reads it, in Python and on the command lines
  std::vector<std::string> names;  ///< at the top of such a file
};

const std::vector<Kind>& kinds() {
  static const std::vector<Kind> all = {
      {"setup", "a setup file", "read_setup() and `nockwise inspect`, `draw` and `shoot` read it", names_in("")},
      {"case",
       "a case file",
       "read_case() and `nockwise explain` read it",
       {"format", "setup", "bow", "tears", "work", "checks", "priors", "workshop"}},
      {"calibration",
       "a file of measurements for a calibration",
       "read_calibration_case() and `nockwise_calibrate` read it",
       {"format", "setup", "tears", "checks", "draw_board", "speeds"}},
      {"measurements",
       "a file of measurements of a bow",
       "read_measurements() and `nockwise build` read it",
       {"format", "measurements"}},
      {"readings",
       "a file of readings at a bow",
       "read_readings() and `nockwise build --readings` read it",
       {"format", "readings"}},
      {"sweep",
       "a sweep file",
       "`nockwise sweep` reads it",
       {"format", "setup", "outputs", "changes", "grid", "samples", "options"}},
  };
  return all;
}

std::size_t known_names(const Kind& kind, const toml::table& document) {
  return static_cast<std::size_t>(std::count_if(document.begin(), document.end(), [&](const auto& entry) {
    return std::find(kind.names.begin(), kind.names.end(), entry.first.str()) != kind.names.end();
  }));
}

}  // namespace

void check_file_kind(const toml::table& document, std::string_view expected, const std::string& file) {
  const auto own =
      std::find_if(kinds().begin(), kinds().end(), [&](const Kind& kind) { return kind.name == expected; });
  if (own == kinds().end()) {
    throw InputError("expected", std::string(expected),
                     "must be setup, case, calibration, measurements, readings or sweep");
  }
  const auto likeliest = std::max_element(kinds().begin(), kinds().end(), [&](const Kind& a, const Kind& b) {
    return known_names(a, document) < known_names(b, document);
  });
  if (known_names(*likeliest, document) > known_names(*own, document)) {
    throw InputError(
        "", "", "must be " + std::string(own->title) + ", but this is " + likeliest->title + "; " + likeliest->reader,
        Location{file, 1, 1});
  }
}

void check_file_kind(std::string_view toml, std::string_view expected, const std::string& source_name) {
  check_file_kind(parse_document(toml, source_name), expected, source_name);
}

}  // namespace nockwise
