// Where the solution of one bow's statics posts the evaluation that it waits for, one at a time. Private.
#pragma once

#include "statics/evaluation_request.hpp"

#include <coroutine>
#include <utility>

namespace nockwise::detail {

template <int Links>
class EvaluationSlot {
 public:
  void post(const EvaluationRequest<Links>& request, std::coroutine_handle<> waiting) {
    request_ = request;
    waiting_ = waiting;
  }
  /// There is a request that waits for its answer.
  [[nodiscard]] bool occupied() const { return waiting_ != nullptr; }
  [[nodiscard]] const EvaluationRequest<Links>& request() const { return request_; }
  /// The request is answered: resume the solution, up to its next request or its end.
  void resume() { std::exchange(waiting_, {}).resume(); }

 private:
  EvaluationRequest<Links> request_;
  std::coroutine_handle<> waiting_;
};

}  // namespace nockwise::detail
