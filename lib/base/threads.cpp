#include "base/threads.hpp"

#include "nockwise/error.hpp"

#include <algorithm>
#include <atomic>
#include <exception>
#include <string>
#include <thread>
#include <vector>

namespace nockwise::detail {

void check_threads(std::optional<int> wanted) {
  if (wanted && *wanted < 1) {
    throw InputError("threads", std::to_string(*wanted), "must be at least 1");
  }
}

std::size_t thread_count(std::optional<int> wanted, std::size_t count) {
  const std::size_t available = std::max(1U, std::thread::hardware_concurrency());
  return std::min(wanted ? static_cast<std::size_t>(*wanted) : available, count);
}

void for_each_index(std::size_t count, std::optional<int> threads, const std::function<void(std::size_t)>& task) {
  std::atomic<std::size_t> next{0};
  std::vector<std::exception_ptr> failures(count);
  const auto work = [&] {
    for (std::size_t i = next++; i < count; i = next++) {
      try {
        task(i);
      } catch (...) {
        failures[i] = std::current_exception();
      }
    }
  };
  {
    std::vector<std::jthread> helpers;
    for (std::size_t k = 1; k < thread_count(threads, count); ++k) {
      helpers.emplace_back(work);
    }
    work();
  }
  for (const std::exception_ptr& failure : failures) {
    if (failure) {
      std::rethrow_exception(failure);
    }
  }
}

}  // namespace nockwise::detail
