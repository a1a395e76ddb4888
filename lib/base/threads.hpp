// Threads over whole tasks. Private.
#pragma once

#include <cstddef>
#include <functional>
#include <optional>

namespace nockwise::detail {

/// \throws InputError with the path "threads" for a number below 1
void check_threads(std::optional<int> wanted);

/// How many threads to use for `count` tasks: as many as are wanted, or as the machine runs at once.
std::size_t thread_count(std::optional<int> wanted, std::size_t count);

/// Runs task(0), …, task(count − 1) on so many threads (as thread_count); the first exception (by index) is thrown
/// again.
void for_each_index(std::size_t count, std::optional<int> threads, const std::function<void(std::size_t)>& task);

}  // namespace nockwise::detail
