// Where one bow's statics post the evaluations that they wait for, one at a time. Private.
#pragma once

#include "statics/evaluation_request.hpp"

#include <coroutine>
#include <utility>

namespace nockwise::detail {

template <int Links>
class EvaluationSlot {
 public:
  void post(const StaticJob<Links>& job, std::coroutine_handle<> waiting) {
    job_ = job;
    waiting_ = waiting;
  }
  [[nodiscard]] bool posted() const { return waiting_ != nullptr; }
  [[nodiscard]] const StaticJob<Links>& job() const { return job_; }
  /// The answer is there: go on, to the next job or to the end.
  void go_on() { std::exchange(waiting_, {}).resume(); }

 private:
  StaticJob<Links> job_;
  std::coroutine_handle<> waiting_;
};

}  // namespace nockwise::detail
