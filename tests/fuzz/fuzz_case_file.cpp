// Text → case: a clear error, or a case whose observations are finite.
#include "nockwise/explanation.hpp"
#include "nockwise/text.hpp"
#include "toml_mutation.hpp"

#include <cmath>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace nockwise;
  try {
    const Case read = parse_case(fuzz::text_of(data, size), fuzz::setups);
    // What is read is what explain() takes, and no more than it can do in a minute.
    for (const TearObservation& tear : read.tears) {
      fuzz::require(std::hypot(tear.up, tear.right) < 1.0 && tear.reading_error >= 1e-4 && tear.reading_error <= 0.05,
                    "a tear");
      fuzz::require(tear.distance < 0.0 || (tear.distance >= 0.5 && tear.distance <= 50.0), "a distance");
    }
    for (const CheckObservation& check : read.checks) {
      fuzz::require(std::isfinite(check.value) && check.error > 1e-12, "a check");
    }
    for (const PriorWidth& prior : read.priors) {
      fuzz::require(prior.steps == 0.0 || (prior.steps >= 0.01 && prior.steps <= 100.0), "a prior");
    }
    fuzz::require(read.tears.size() <= 30 && read.checks.size() <= 30 && expected_launches(read) < 10000, "a case");
    for (const std::string& text : {markdown_text(read.setup.name), html_text(read.setup.name)}) {
      fuzz::require(text.find_first_of("<\n\x1b") == std::string::npos, "a name that a report obeys");
    }
  } catch (const Error& error) {
    fuzz::require_clear(error);
  }
  return 0;
}

NOCKWISE_FUZZ_TOML
