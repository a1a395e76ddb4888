// The constants of launches, one to a lane of the scalar. Private; lanes/constants.hpp has those of a pack.
#pragma once

#include "kernel/constants.hpp"

namespace nockwise::detail {

template <class S, int Links>
class LaneConstants;

/// A launch alone reads its constants where they are.
template <int Links>
class LaneConstants<double, Links> {
 public:
  explicit LaneConstants(int /*modes*/) {}

  [[nodiscard]] const kernel::Constants<double, Links>& all() const { return *all_; }
  void load(int /*lane*/, const kernel::Constants<double, Links>& from) { all_ = &from; }
  void copy(int /*from*/, int /*to*/) {}

 private:
  const kernel::Constants<double, Links>* all_ = nullptr;
};

}  // namespace nockwise::detail
