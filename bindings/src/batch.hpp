/// @file
/// Samples that differ in some parameters, and numbers picked from their results: what Python's sweep() adds to the
/// library's. Nothing here knows Python, and batch_module.cpp knows only this header.
#pragma once

#include "nockwise/outputs.hpp"
#include "nockwise/sweep.hpp"

#include <atomic>
#include <cstdint>
#include <functional>
#include <map>
#include <mutex>
#include <span>
#include <string>
#include <vector>

namespace nockwise::python {

/// A number that a sweep can give: a field of a result struct, "paper_tear.up", or an output of the library's table
/// that is no such field, "stop_gap".
struct BatchOutput {
  std::string name;
  std::string unit;
  std::string doc;
  OutputSource source;
  std::vector<std::string> words;  ///< what the numbers 0, 1, … stand for; empty for a quantity
  std::function<double(LaunchResults&)> value;
};

/// Every output, in the order of the sources.
[[nodiscard]] const std::vector<BatchOutput>& batch_outputs();

/// A parameter that differs between samples.
struct BatchColumn {
  std::string path;
  std::vector<std::string> words;  ///< for a choice: samples hold indices into this list; empty for a number
};

/// What all samples of a sweep have in common: Python's `_core._Batch`.
struct BatchPlan {
  Setup setup;
  std::vector<BatchColumn> columns;
  std::vector<const BatchOutput*> outputs;
  std::vector<std::size_t> order;  ///< of the outputs by source: how they are computed
  DrawOptions draw;
  LaunchOptions launch;
};

/// @throws InputError for an unknown path, choice or output, or none; or an option out of range
[[nodiscard]] BatchPlan make_batch_plan(const Setup& setup, std::vector<BatchColumn> columns,
                                        const std::vector<std::string>& outputs, const DrawOptions& draw,
                                        const LaunchOptions& launch);

enum class SampleStatus : std::uint8_t { not_run = 0, done = 1, failed = 2 };

/// One run over a block of samples. Every sample is computed on its own and stored by its index in the block, so that
/// neither the number of threads nor the cut into blocks changes a bit.
class BlockRun {
 public:
  /// @param samples row-major, samples × columns
  /// @param values  row-major, samples × outputs; NaN where there is no answer
  BlockRun(const BatchPlan& plan, std::span<const double> samples, std::span<double> values,
           std::span<SampleStatus> status);

  /// Computes the samples on so many threads until there are no more or stop() was called.
  void run(int threads);
  void stop() { stopped_ = true; }
  /// How many samples have their status.
  [[nodiscard]] std::size_t done_count() const { return done_count_; }
  /// Why samples failed, by index; to be read when run() is done.
  [[nodiscard]] const std::map<std::size_t, std::string>& messages() const { return messages_; }

 private:
  [[nodiscard]] Setup setup_of(std::size_t index) const;
  /// Models without launches, one after another; to be run by any number of threads at once.
  void compute_models();
  /// Stores the outputs of a sample, from its model and, if it was shot, its launch.
  void store(const SweepSample& sample);
  void fill(const SweepSample& sample, std::span<double> values) const;

  const BatchPlan& plan_;
  std::span<const double> samples_;
  std::span<double> values_;
  std::span<SampleStatus> status_;
  std::atomic<std::size_t> next_{0};
  std::atomic<std::size_t> done_count_{0};
  std::atomic<bool> stopped_{false};
  std::mutex mutex_;
  std::map<std::size_t, std::string> messages_;
};

}  // namespace nockwise::python
