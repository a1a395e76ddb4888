/// @file
/// The heap as the tests of the hot path want it: counted, and filled with bytes that read as NaN.
///
/// allocation.cpp takes malloc's place in the whole executable, because Eigen allocates by malloc and not by new. The
/// sanitizers bring their own malloc: under them `watched` is false and these tests are skipped.
#pragma once

#include <cstddef>

namespace nockwise::testing {

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__) || !defined(__GLIBC__)
inline constexpr bool heap_is_watched = false;
#else
inline constexpr bool heap_is_watched = true;
#endif

/// Allocations of this thread since it began.
[[nodiscard]] std::size_t allocations() noexcept;
/// Bytes of all of them, whether freed since or not: never less than what was held at a time.
[[nodiscard]] std::size_t allocated_bytes() noexcept;

/// While it lives, every block that this thread allocates is filled with 0xff: doubles in it are NaN, integers −1.
class FillWithNaN {
 public:
  FillWithNaN() noexcept;
  ~FillWithNaN();
  FillWithNaN(const FillWithNaN&) = delete;
  FillWithNaN& operator=(const FillWithNaN&) = delete;
};

/// Leaves `byte` all over the stack that the next call will use.
void fill_stack(unsigned char byte) noexcept;

}  // namespace nockwise::testing
