#include "allocation.hpp"

#include <array>
#include <cstdlib>
#include <cstring>

namespace nockwise::testing {

namespace {
thread_local std::size_t count = 0;
thread_local std::size_t bytes = 0;
thread_local bool fill = false;
}  // namespace

std::size_t allocations() noexcept { return count; }
std::size_t allocated_bytes() noexcept { return bytes; }
FillWithNaN::FillWithNaN() noexcept { fill = true; }
FillWithNaN::~FillWithNaN() { fill = false; }

[[gnu::noinline]] void fill_stack(unsigned char byte) noexcept {
  std::array<unsigned char, 512 * 1024> room;  // NOLINT(cppcoreguidelines-pro-type-member-init): filled below
  std::memset(room.data(), byte, room.size());
  asm volatile("" : : "r"(room.data()) : "memory");  // the compiler must not leave the dead store out
}

namespace {
[[maybe_unused]] void* noted(void* block, std::size_t size) noexcept {
  ++count;
  bytes += size;
  if (fill && block != nullptr) {
    std::memset(block, 0xff, size);
  }
  return block;
}
}  // namespace

}  // namespace nockwise::testing

#if !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__) && defined(__GLIBC__)
extern "C" {
void* __libc_malloc(std::size_t size);                           // NOLINT(bugprone-reserved-identifier): glibc's name
void* __libc_memalign(std::size_t alignment, std::size_t size);  // NOLINT(bugprone-reserved-identifier)

void* malloc(std::size_t size) { return nockwise::testing::noted(__libc_malloc(size), size); }

void* aligned_alloc(std::size_t alignment, std::size_t size) {
  return nockwise::testing::noted(__libc_memalign(alignment, size), size);
}

int posix_memalign(void** block, std::size_t alignment, std::size_t size) {
  *block = nockwise::testing::noted(__libc_memalign(alignment, size), size);
  return *block == nullptr ? 12 : 0;  // ENOMEM
}
}
#endif
