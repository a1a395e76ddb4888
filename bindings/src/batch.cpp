#include "batch.hpp"

#include "convert.hpp"
#include "nockwise/parameters.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <thread>
#include <type_traits>
#include <utility>

namespace nockwise::python {

namespace {

const Documented& documented(const std::string& name) {
  for (const Documented& entry : header_docs) {
    if (entry.name == name) {
      return entry;
    }
  }
  static const Documented none{"", "", ""};
  return none;
}

/// Adds the numbers of a struct that `reach` finds in a result, and of the structs inside it.
template <class T, class Reach>
void add_outputs(std::vector<BatchOutput>& all, const std::string& prefix, OutputSource source, Reach reach) {
  for_each_field<T>([&](const auto& field) {
    using Value = std::remove_cvref_t<decltype(std::declval<T&>().*field.member)>;
    const auto member = field.member;
    const std::string name = prefix + "." + field.name;
    const Documented& about = documented(std::string(Fields<T>::type) + "." + field.name);
    BatchOutput output{name, std::string(about.unit), about.doc, source, {}, {}};
    if constexpr (std::is_arithmetic_v<Value>) {
      output.value = [=](LaunchResults& r) { return static_cast<double>(reach(r).*member); };
      all.push_back(output);
    } else if constexpr (std::is_enum_v<Value>) {
      for (const auto& named : Names<Value>::list) {
        output.words.emplace_back(named.name);
      }
      output.value = [=](LaunchResults& r) { return static_cast<double>(static_cast<int>(reach(r).*member)); };
      all.push_back(output);
    } else if constexpr (std::is_same_v<Value, std::optional<double>>) {
      output.value = [=](LaunchResults& r) {
        return (reach(r).*member).value_or(std::numeric_limits<double>::quiet_NaN());
      };
      all.push_back(output);
    } else if constexpr (std::is_same_v<Value, UpperLower<double>>) {
      for (const Side side : {Side::upper, Side::lower}) {
        output.name = name + (side == Side::upper ? ".upper" : ".lower");
        output.value = [=](LaunchResults& r) { return (reach(r).*member)[side]; };
        all.push_back(output);
      }
    } else if constexpr (Described<Value> && !std::is_same_v<Value, Trace>) {
      add_outputs<Value>(all, name, source, [=](LaunchResults& r) -> const Value& { return reach(r).*member; });
    }
  });
}

/// An output of the library's table.
BatchOutput converted(Output output) {
  const OutputDescription& about = output_descriptions()[static_cast<std::size_t>(output)];
  const std::string unit(si_unit(about.quantity));
  return {about.name,        unit, about.meaning + " [" + unit + "]",
          source_of(output), {},   [output](LaunchResults& r) { return value_of(output, r); }};
}

std::vector<BatchOutput> all_outputs() {
  std::vector<BatchOutput> all;
  using Source = OutputSource;
  const auto first_frequency = [](LaunchResults& r) {
    const std::vector<double>& all_of_them = r.arrow().frequencies;
    return all_of_them.empty() ? std::numeric_limits<double>::quiet_NaN() : all_of_them.front();
  };
  add_outputs<BraceState>(
      all, "brace", Source::brace, [](LaunchResults & r) -> auto& { return r.brace(); });
  add_outputs<ArrowProperties>(
      all, "arrow", Source::arrow, [](LaunchResults & r) -> auto& { return r.arrow(); });
  // Not a number of a struct: the modes are a list.
  all.push_back({"arrow.first_frequency",
                 "Hz",
                 "lowest bending frequency of the free arrow [Hz]",
                 Source::arrow,
                 {},
                 first_frequency});
  add_outputs<DrawCycle>(
      all, "draw_cycle", Source::draw_cycle, [](LaunchResults & r) -> auto& { return r.draw_cycle(); });
  all.push_back(converted(Output::stop_gap));
  all.push_back(converted(Output::nock_travel));
  add_outputs<Launch>(
      all, "launch", Source::launch, [](LaunchResults & r) -> auto& { return r.launch(); });
  add_outputs<PaperTear>(
      all, "paper_tear", Source::paper_tear, [](LaunchResults & r) -> auto& { return r.paper_tear(); });
  add_outputs<Impact>(
      all, "target_impact", Source::target_impact, [](LaunchResults & r) -> auto& { return r.target_impact(); });
  all.push_back(converted(Output::chronograph_speed));
  return all;
}

/// The positions in `outputs`, in the order of their sources.
std::vector<std::size_t> in_order_of_sources(const std::vector<const BatchOutput*>& outputs) {
  std::vector<std::size_t> order(outputs.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::ranges::stable_sort(order, {}, [&](std::size_t i) { return outputs[i]->source; });
  return order;
}

}  // namespace

const std::vector<BatchOutput>& batch_outputs() {
  static const std::vector<BatchOutput> all = all_outputs();
  return all;
}

BatchPlan make_batch_plan(const Setup& setup, std::vector<BatchColumn> columns, const std::vector<std::string>& outputs,
                          const DrawOptions& draw, const LaunchOptions& launch) {
  BatchPlan plan{setup, std::move(columns), {}, {}, draw, launch};
  plan.launch.trace = false;
  for (const BatchColumn& column : plan.columns) {
    Setup trial = setup;
    for (const std::string& word : column.words) {
      trial.set(column.path, word);
    }
    if (column.words.empty()) {
      (void)parameter(column.path);
    }
  }
  for (const std::string& name : outputs) {
    const auto found = std::ranges::find(batch_outputs(), name, &BatchOutput::name);
    if (found == batch_outputs().end()) {
      throw InputError("outputs", name, "must be one of nockwise.sweep_outputs()");
    }
    plan.outputs.push_back(&*found);
  }
  if (plan.outputs.empty()) {
    throw InputError("outputs", "[]", "must name at least one of nockwise.sweep_outputs()");
  }
  plan.order = in_order_of_sources(plan.outputs);
  sweep(0, {}, {}, {1, plan.launch, nullptr});  // checks the options
  return plan;
}

BlockRun::BlockRun(const BatchPlan& plan, std::span<const double> samples, std::span<double> values,
                   std::span<SampleStatus> status)
    : plan_(plan), samples_(samples), values_(values), status_(status) {}

void BlockRun::run(int threads) {
  const bool launches = std::ranges::any_of(
      plan_.outputs, [](const BatchOutput* output) { return output->source >= OutputSource::launch; });
  if (launches) {
    const SweepOptions options{threads, plan_.launch, &stopped_};
    sweep(
        status_.size(), [this](std::size_t index) { return setup_of(index); },
        [this](const SweepSample& sample) { store(sample); }, options);
    return;
  }
  std::vector<std::jthread> helpers;
  for (int i = 1; i < threads; ++i) {
    helpers.emplace_back([this] { compute_models(); });
  }
  compute_models();
}

void BlockRun::compute_models() {
  while (!stopped_) {
    const std::size_t index = next_++;
    if (index >= status_.size()) {
      return;
    }
    try {
      const Model model(setup_of(index));
      store({index, &model, nullptr, ""});
    } catch (const Error& error) {
      store({index, nullptr, nullptr, error.what()});
    }
  }
}

Setup BlockRun::setup_of(std::size_t index) const {
  Setup setup = plan_.setup;
  for (std::size_t c = 0; c < plan_.columns.size(); ++c) {
    const BatchColumn& column = plan_.columns[c];
    const double value = samples_[index * plan_.columns.size() + c];
    if (column.words.empty()) {
      setup.set(column.path, value);
    } else {
      setup.set(column.path, column.words.at(static_cast<std::size_t>(value)));
    }
  }
  return setup;
}

void BlockRun::store(const SweepSample& sample) {
  const std::span<double> values = values_.subspan(sample.index * plan_.outputs.size(), plan_.outputs.size());
  std::ranges::fill(values, std::numeric_limits<double>::quiet_NaN());
  std::string failure = sample.failure;
  try {
    if (sample.model != nullptr) {
      fill(sample, values);
    }
  } catch (const Error& error) {
    failure = error.what();
  }
  if (!failure.empty()) {
    const std::lock_guard lock(mutex_);
    messages_[sample.index] = std::move(failure);
    status_[sample.index] = SampleStatus::failed;
  } else {
    status_[sample.index] = SampleStatus::done;
  }
  ++done_count_;
}

void BlockRun::fill(const SweepSample& sample, std::span<double> values) const {
  LaunchResults results(*sample.model, sample.launch, plan_.draw);
  for (const std::size_t i : plan_.order) {
    if (plan_.outputs[i]->source >= OutputSource::launch && sample.launch == nullptr) {
      return;  // a failed sample keeps what could be computed
    }
    values[i] = plan_.outputs[i]->value(results);
  }
}

}  // namespace nockwise::python
