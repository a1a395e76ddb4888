// Runs a fuzz target without libFuzzer: the files given, then so many mutations of them, the same ones every time.
// usage: TARGET MUTATIONS FILE...
#include "fuzz_target.hpp"

#include <algorithm>
#include <chrono>
#include <fstream>
#include <iterator>
#include <random>
#include <vector>

extern "C" {
// Of targets that read text.
std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t max_size, unsigned seed)
    __attribute__((weak));
}

namespace {

std::mt19937 bytes_random(1);  // LLVMFuzzerMutate has no argument to take it from

using Input = std::vector<std::uint8_t>;

Input read(const char* path) {
  std::ifstream stream(path, std::ios::binary);
  nockwise::fuzz::require(stream.good(), std::string("cannot read ") + path);
  Input bytes;
  for (std::string line; std::getline(stream, line);) {
    // Lines of comments only draw mutations away from what counts.
    if (LLVMFuzzerCustomMutator == nullptr || line.empty() || line.front() != '#') {
      bytes.insert(bytes.end(), line.begin(), line.end());
      if (!stream.eof()) {
        bytes.push_back('\n');
      }
    }
  }
  return bytes;
}

Input mutated(Input input, unsigned seed) {
  constexpr std::size_t room = 4096;
  const std::size_t size = input.size();
  const std::size_t most = size + room;
  input.resize(most);
  const std::size_t now = LLVMFuzzerCustomMutator != nullptr ? LLVMFuzzerCustomMutator(input.data(), size, most, seed)
                                                             : LLVMFuzzerMutate(input.data(), size, most);
  input.resize(now);
  return input;
}

}  // namespace

extern "C" std::size_t LLVMFuzzerMutate(std::uint8_t* data, std::size_t size, std::size_t max_size) {
  const std::size_t changes = 1 + bytes_random() % 8;
  for (std::size_t i = 0; i < changes; ++i) {
    const std::size_t at = size == 0 ? 0 : bytes_random() % size;
    const auto byte = static_cast<std::uint8_t>(bytes_random());
    const std::size_t kind = bytes_random() % 5;
    if (kind == 4) {
      for (std::size_t more = bytes_random() % 32; more > 0 && size < max_size; --more) {
        data[size++] = static_cast<std::uint8_t>(bytes_random());
      }
    } else if (kind == 0 && size < max_size) {
      std::copy_backward(data + at, data + size, data + size + 1);
      data[at] = byte;
      ++size;
    } else if (kind == 1 && size > 1) {
      std::copy(data + at + 1, data + size, data + at);
      --size;
    } else if (size > 0) {
      data[at] = byte;
    }
  }
  return size;
}

int main(int count, char** arguments) {
  nockwise::fuzz::require(count >= 3, "usage: TARGET MUTATIONS FILE...");
  const unsigned mutations = static_cast<unsigned>(std::strtoul(arguments[1], nullptr, 10));
  std::vector<Input> seeds;
  for (int i = 2; i < count; ++i) {
    seeds.push_back(read(arguments[i]));
    LLVMFuzzerTestOneInput(seeds.back().data(), seeds.back().size());
  }
  double slowest = 0.0;
  std::mt19937 random(7);
  Input input = seeds.front();
  for (unsigned i = 0; i < mutations; ++i) {
    // Now and then on top of the last mutation; most of the time from a seed, or soon nothing would be valid.
    input = mutated(random() % 4 != 0 ? seeds[random() % seeds.size()] : input, static_cast<unsigned>(random()));
    const auto start = std::chrono::steady_clock::now();
    LLVMFuzzerTestOneInput(input.data(), input.size());
    slowest = std::max(slowest, std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
  }
  std::printf("%zu files and %u mutations, the slowest took %.3f s\n", seeds.size(), mutations, slowest);
  return 0;
}
