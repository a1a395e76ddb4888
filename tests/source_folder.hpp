/// @file
/// Where the sources are, for tests and benchmarks that read files of theirs. Told to one source alone
/// (source_folder.cpp), so that the compiler's cache serves every clone.
#pragma once

#include <string>

namespace nockwise {

/// "/somewhere/nockwise", and below it `path`.
std::string source_folder(const std::string& path = {});

}  // namespace nockwise
