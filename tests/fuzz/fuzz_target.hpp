/// @file
/// What every fuzz target needs: a way to say what broke, and the text of the demo files.
///
/// A target defines LLVMFuzzerTestOneInput and, for text, the mutation of toml_mutation.hpp. Built with Clang's
/// libFuzzer (`sh tests/run fuzz`), or with the driver of standalone_main.cpp for a short run as an ordinary test.
#pragma once

#include "nockwise/error.hpp"
#include "source_folder.hpp"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);
extern "C" std::size_t LLVMFuzzerMutate(std::uint8_t* data, std::size_t size, std::size_t max_size);

namespace nockwise::fuzz {

/// Ends the run as a finding if `good` is false.
inline void require(bool good, const std::string& what) {
  if (!good) {
    std::fprintf(stderr, "fuzz finding: %s\n", what.c_str());
    std::abort();
  }
}

/// An error is clear if it says something, to a person, in a few lines.
inline void require_clear(const Error& error) {
  const std::string_view said = error.what();
  require(!said.empty() && said.size() < 20000, "an error that says nothing, or too much");
  const auto controls = [](char c) { return (c >= 0 && c < 0x20) || c == 0x7F; };
  require(std::none_of(said.begin(), said.end(), controls), "an error that a terminal obeys");
  if (const auto* input = dynamic_cast<const InputError*>(&error)) {
    require(!input->allowed().empty(), "an InputError that does not say what is allowed: " + std::string(said));
  } else if (const auto* solver = dynamic_cast<const SolverError*>(&error)) {
    require(!solver->where().empty() && !solver->why().empty(),
            "a SolverError without where or why: " + std::string(said));
  }
  require(said.find("nan") == std::string_view::npos || dynamic_cast<const InputError*>(&error) != nullptr,
          "a number that is not one, in a message: " + std::string(said));
}

inline std::string_view text_of(const std::uint8_t* data, std::size_t size) {
  return {reinterpret_cast<const char*>(data), size};
}

inline const std::string setups = nockwise::source_folder("examples/setups");

}  // namespace nockwise::fuzz
