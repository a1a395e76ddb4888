// Text → measurements → bow → tear. Arrow, riser and rest are the Larkspur's.
#include "nockwise/bow_builder.hpp"
#include "nockwise/setup_file.hpp"
#include "toml_mutation.hpp"
#include "whole_path.hpp"

#include <optional>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace nockwise;
  static const Setup base = read_setup(fuzz::setups + "/larkspur.toml");
  std::optional<BuiltBow> built;
  try {
    built = build_bow(parse_measurements(fuzz::text_of(data, size)), base);
  } catch (const Error& error) {
    fuzz::require_clear(error);
    return 0;
  }
  fuzz::require(std::isfinite(built->report.curve_rms), "the builder's report is not finite");
  fuzz::shoot_through_paper(built->setup);
  return 0;
}

NOCKWISE_FUZZ_TOML
