// The one translation unit that holds toml++'s own code; see CMakeLists.txt.
//
// Some malformed texts, such as "[&" or an array that ends in a bare key, run into the parser's assertions: an abort in
// a debug build, undefined behaviour in a release build. Here both are an error like any other.
#undef NDEBUG  // which would take the assertions away

namespace {
[[noreturn]] void refuse_malformed_toml();
}

#define TOML_IMPLEMENTATION
#define TOML_ASSERT(condition) ((condition) ? static_cast<void>(0) : refuse_malformed_toml())
#include <toml++/toml.h>

namespace {
void refuse_malformed_toml() {
  throw toml::parse_error("a key, a value or a bracket is malformed", toml::source_region{});
}
}  // namespace
