// A computation that can wait in its middle: a coroutine awaited by the one that called it. Private.
//
// Statics are written as such (statics/statics.hpp), so that a sweep can make the evaluations of several bows at once,
// in the lanes of a pack, while each bow's solution goes its own way. Alone, nothing waits, and
// `run_to_end` does all of it.
#pragma once

#include <coroutine>
#include <exception>
#include <optional>
#include <utility>

namespace nockwise::detail {

/// The result of a task that returns nothing.
struct Done {};

template <class T>
class [[nodiscard]] Task {
 public:
  struct promise_type;
  using Handle = std::coroutine_handle<promise_type>;

  struct promise_type {
    std::optional<T> value;
    std::exception_ptr failure;
    std::coroutine_handle<> caller = std::noop_coroutine();

    Task get_return_object() { return Task(Handle::from_promise(*this)); }
    std::suspend_always initial_suspend() noexcept { return {}; }
    auto final_suspend() noexcept {
      struct BackToCaller {
        bool await_ready() noexcept { return false; }
        std::coroutine_handle<> await_suspend(Handle done) noexcept { return done.promise().caller; }
        void await_resume() noexcept {}
      };
      return BackToCaller{};
    }
    void return_value(T result) { value.emplace(std::move(result)); }
    void unhandled_exception() { failure = std::current_exception(); }
  };

  Task(Task&& other) noexcept : handle_(std::exchange(other.handle_, {})) {}
  Task(const Task&) = delete;
  Task& operator=(Task&& other) noexcept {
    std::swap(handle_, other.handle_);
    return *this;
  }
  Task& operator=(const Task&) = delete;
  ~Task() {
    if (handle_) {
      handle_.destroy();
    }
  }

  /// Run to where it waits first, or to its end.
  void start() { handle_.resume(); }
  [[nodiscard]] bool done() const { return handle_.done(); }
  /// Its result, once done. \throws what it threw
  T take() {
    if (handle_.promise().failure) {
      std::rethrow_exception(handle_.promise().failure);
    }
    return std::move(*handle_.promise().value);
  }

  /// To be awaited by another coroutine, which goes on when this one is done.
  auto operator co_await() noexcept {
    struct Call {
      Task& task;
      bool await_ready() noexcept { return false; }
      std::coroutine_handle<> await_suspend(std::coroutine_handle<> caller) noexcept {
        task.handle_.promise().caller = caller;
        return task.handle_;
      }
      T await_resume() { return task.take(); }
    };
    return Call{*this};
  }

 private:
  explicit Task(Handle handle) : handle_(handle) {}

  Handle handle_;
};

/// Run a task that never waits; its result.
template <class T>
T run_to_end(Task<T> task) {
  task.start();
  return task.take();
}

}  // namespace nockwise::detail
