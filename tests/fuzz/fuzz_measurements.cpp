// Text → measurements: a clear error, or measurements that are written and read again without a bit of difference.
#include "nockwise/bow_builder.hpp"
#include "toml_mutation.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace nockwise;
  try {
    const BowMeasurements read = parse_measurements(fuzz::text_of(data, size));
    fuzz::require(parse_measurements(format_measurements(read)) == read, "measurements changed by being written");
  } catch (const Error& error) {
    fuzz::require_clear(error);
  }
  return 0;
}

NOCKWISE_FUZZ_TOML
