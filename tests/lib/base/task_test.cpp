#include "base/task.hpp"

#include <gtest/gtest.h>

#include <memory>
#include <stdexcept>
#include <vector>

namespace nockwise::detail {
namespace {

/// Lets a task wait until somebody goes on with it.
struct Door {
  std::coroutine_handle<> waiting;
  bool await_ready() { return false; }
  void await_suspend(std::coroutine_handle<> handle) { waiting = handle; }
  void await_resume() {}
};

Task<int> twice(int number, Door* door) {
  if (door != nullptr) {
    co_await *door;
  }
  if (number < 0) {
    throw std::invalid_argument("negative");
  }
  co_return 2 * number;
}

Task<int> sum_of_doubles(std::vector<int> numbers, Door* door) {
  int sum = 0;
  for (const int number : numbers) {
    const int doubled = co_await twice(number, door);
    sum += doubled;
  }
  co_return sum;
}

TEST(Task, RunsToItsEndWhereNothingWaits) {
  EXPECT_EQ(run_to_end(sum_of_doubles({1, 2, 3}, nullptr)), 12);
  EXPECT_THROW(run_to_end(sum_of_doubles({1, -2, 3}, nullptr)), std::invalid_argument);
}

TEST(Task, WaitsInsideOfWhatItCalled) {
  Door door;
  Task<int> task = sum_of_doubles({4, 5}, &door);
  task.start();
  EXPECT_FALSE(task.done());
  door.waiting.resume();
  EXPECT_FALSE(task.done());
  door.waiting.resume();
  ASSERT_TRUE(task.done());
  EXPECT_EQ(task.take(), 18);
}

TEST(Task, KeepsWhatWasThrownUntilItIsTaken) {
  Door door;
  Task<int> task = sum_of_doubles({-1}, &door);
  task.start();
  door.waiting.resume();
  ASSERT_TRUE(task.done());
  EXPECT_THROW((void)task.take(), std::invalid_argument);
}

/// A task that is given up while it waits takes what it called with it.
TEST(Task, MayBeGivenUp) {
  Door door;
  auto alive = std::make_shared<int>(1);
  const auto holding = [](std::shared_ptr<int> held, Door* at) -> Task<int> {
    co_await *at;
    co_return *held;
  };
  {
    Task<int> task = holding(alive, &door);
    task.start();
    EXPECT_EQ(alive.use_count(), 2);
  }
  EXPECT_EQ(alive.use_count(), 1);
}

}  // namespace
}  // namespace nockwise::detail
