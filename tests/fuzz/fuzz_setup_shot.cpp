// Text → setup → tear.
#include "nockwise/setup_file.hpp"
#include "toml_mutation.hpp"
#include "whole_path.hpp"

#include <optional>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace nockwise;
  std::optional<Setup> setup;
  try {
    setup = parse_setup(fuzz::text_of(data, size));
  } catch (const Error& error) {
    fuzz::require_clear(error);
    return -1;  // no use for the corpus: fuzz_setup_reader sees to these
  }
  fuzz::shoot_through_paper(*setup);
  return 0;
}

NOCKWISE_FUZZ_TOML
