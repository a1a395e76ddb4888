// Text → case: a clear error, or a case whose observations are finite.
#include "nockwise/explanation.hpp"
#include "toml_mutation.hpp"

#include <cmath>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace nockwise;
  try {
    const Case read = parse_case(fuzz::text_of(data, size), fuzz::setups);
    for (const TearObservation& tear : read.tears) {
      fuzz::require(std::isfinite(tear.up) && std::isfinite(tear.right) && tear.reading_error > 0.0, "a tear");
    }
    for (const CheckObservation& check : read.checks) {
      fuzz::require(std::isfinite(check.value) && check.error > 0.0, "a check");
    }
  } catch (const Error& error) {
    fuzz::require_clear(error);
  }
  return 0;
}

NOCKWISE_FUZZ_TOML
