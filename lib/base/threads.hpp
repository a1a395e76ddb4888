// Threads over whole tasks. Private.
#pragma once

#include <cstddef>
#include <functional>

namespace nockwise::detail {

/// How many threads to use for `count` tasks; `wanted` 0: as many as the machine runs at once.
std::size_t thread_count(int wanted, std::size_t count);

/// Runs task(0), …, task(count − 1) on so many threads (as thread_count); the first exception (by index) is thrown
/// again.
void for_each_index(std::size_t count, int threads, const std::function<void(std::size_t)>& task);

}  // namespace nockwise::detail
