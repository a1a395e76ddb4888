// Text → setup: a clear error, or a setup that is written and read again without a bit of difference.
#include "nockwise/setup_file.hpp"
#include "toml_mutation.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace nockwise;
  try {
    const Setup setup = parse_setup(fuzz::text_of(data, size));
    fuzz::require(parse_setup(format_setup(setup)) == setup, "a setup changed by being written and read");
  } catch (const Error& error) {
    fuzz::require_clear(error);
  }
  return 0;
}

NOCKWISE_FUZZ_TOML
