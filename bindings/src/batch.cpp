#include "batch.hpp"

#include "convert.hpp"
#include "nockwise/parameters.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
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
void add_outputs(std::vector<SweepOutput>& all, const std::string& prefix, Stage stage, Reach reach) {
  for_each_field<T>([&](const auto& field) {
    using Value = std::remove_cvref_t<decltype(std::declval<T&>().*field.member)>;
    const auto member = field.member;
    const std::string name = prefix + "." + field.name;
    const Documented& about = documented(std::string(Fields<T>::type) + "." + field.name);
    SweepOutput output{name, std::string(about.unit), about.doc, stage, {}, {}};
    if constexpr (std::is_arithmetic_v<Value>) {
      output.get = [=](const SampleResult& r) { return static_cast<double>(reach(r).*member); };
      all.push_back(output);
    } else if constexpr (std::is_enum_v<Value>) {
      for (const auto& named : Names<Value>::list) {
        output.words.emplace_back(named.name);
      }
      output.get = [=](const SampleResult& r) { return static_cast<double>(static_cast<int>(reach(r).*member)); };
      all.push_back(output);
    } else if constexpr (std::is_same_v<Value, double[2]>) {
      for (const int half : {0, 1}) {
        output.name = name + (half == 0 ? ".upper" : ".lower");
        output.get = [=](const SampleResult& r) { return (reach(r).*member)[half]; };
        all.push_back(output);
      }
    } else if constexpr (Described<Value> && !std::is_same_v<Value, Trace>) {
      add_outputs<Value>(all, name, stage, [=](const SampleResult& r) -> const Value& { return reach(r).*member; });
    }
  });
}

std::vector<SweepOutput> all_outputs() {
  std::vector<SweepOutput> all;
  add_outputs<BraceState>(
      all, "brace", Stage::brace, [](const SampleResult& r) -> auto& { return r.brace; });
  add_outputs<ArrowProperties>(
      all, "arrow", Stage::arrow, [](const SampleResult& r) -> auto& { return r.arrow; });
  // Not an output of a struct: the modes are a list.
  all.push_back({"arrow.first_frequency",
                 "Hz",
                 "lowest bending frequency of the free arrow [Hz]",
                 Stage::arrow,
                 {},
                 [](const SampleResult& r) {
                   return r.arrow.frequencies.empty() ? std::numeric_limits<double>::quiet_NaN()
                                                      : r.arrow.frequencies.front();
                 }});
  add_outputs<DrawCycle>(
      all, "draw_cycle", Stage::draw_cycle, [](const SampleResult& r) -> auto& { return r.draw_cycle; });
  add_outputs<Launch>(
      all, "launch", Stage::launch, [](const SampleResult& r) -> auto& { return *r.launch; });
  add_outputs<PaperTear>(
      all, "paper_tear", Stage::paper_tear, [](const SampleResult& r) -> auto& { return r.paper_tear; });
  add_outputs<Impact>(
      all, "target_impact", Stage::target_impact, [](const SampleResult& r) -> auto& { return r.target_impact; });
  all.push_back({"chronograph_speed",
                 "m/s",
                 "speed of the mass centre 36 in ahead of the grip [m/s]",
                 Stage::chronograph_speed,
                 {},
                 [](const SampleResult& r) { return r.chronograph_speed; }});
  return all;
}

bool needs(const BatchPlan& plan, Stage stage) {
  return std::ranges::any_of(plan.outputs, [&](const SweepOutput* output) {
    return output->stage == stage || (stage == Stage::launch && output->stage > Stage::launch);
  });
}

void compute(const BatchPlan& plan, const Model& model, Stage stage, SampleResult& result) {
  switch (stage) {
    case Stage::brace:
      result.brace = model.brace();
      return;
    case Stage::arrow:
      result.arrow = model.arrow();
      return;
    case Stage::draw_cycle:
      result.draw_cycle = draw_cycle(model, plan.draw);
      return;
    case Stage::launch:
      return;  // the sweep has done it
    case Stage::paper_tear:
      result.paper_tear = paper_tear(model, *result.launch, -1.0, 2);  // no output is about the sections between
      return;
    case Stage::target_impact:
      result.target_impact = target_impact(model, *result.launch);
      return;
    case Stage::chronograph_speed:
      result.chronograph_speed = chronograph_speed(model, *result.launch);
      return;
  }
}

constexpr Stage stages[] = {Stage::brace,      Stage::arrow,         Stage::draw_cycle,       Stage::launch,
                            Stage::paper_tear, Stage::target_impact, Stage::chronograph_speed};

}  // namespace

const std::vector<SweepOutput>& batch_outputs() {
  static const std::vector<SweepOutput> all = all_outputs();
  return all;
}

BatchPlan make_batch_plan(const Setup& setup, std::vector<BatchColumn> columns, const std::vector<std::string>& outputs,
                          const DrawOptions& draw, const LaunchOptions& launch) {
  BatchPlan plan{setup, std::move(columns), {}, draw, launch};
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
    const auto found = std::ranges::find(batch_outputs(), name, &SweepOutput::name);
    if (found == batch_outputs().end()) {
      throw InputError("outputs", name, "must be one of nockwise.sweep_outputs()");
    }
    plan.outputs.push_back(&*found);
  }
  if (plan.outputs.empty()) {
    throw InputError("outputs", "[]", "must name at least one of nockwise.sweep_outputs()");
  }
  sweep(0, {}, {}, {1, plan.launch, nullptr});  // checks the options
  return plan;
}

Batch::Batch(const BatchPlan& plan, std::span<const double> samples, std::span<double> values,
             std::span<SampleStatus> status)
    : plan_(plan), samples_(samples), values_(values), status_(status) {}

void Batch::run(int threads) {
  if (needs(plan_, Stage::launch)) {
    const SweepOptions options{threads, plan_.launch, &stopped_};
    sweep(
        status_.size(), [this](std::size_t index) { return setup_of(index); },
        [this](const SweepShot& shot) { take(shot); }, options);
    return;
  }
  std::vector<std::jthread> helpers;
  for (int i = 1; i < threads; ++i) {
    helpers.emplace_back([this] { compute_models(); });
  }
  compute_models();
}

void Batch::compute_models() {
  while (!stopped_) {
    const std::size_t index = next_++;
    if (index >= status_.size()) {
      return;
    }
    try {
      const Model model(setup_of(index));
      take({index, &model, nullptr, ""});
    } catch (const Error& error) {
      take({index, nullptr, nullptr, error.what()});
    }
  }
}

Setup Batch::setup_of(std::size_t index) const {
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

void Batch::take(const SweepShot& shot) {
  const std::span<double> row = values_.subspan(shot.index * plan_.outputs.size(), plan_.outputs.size());
  std::ranges::fill(row, std::numeric_limits<double>::quiet_NaN());
  std::string failure = shot.failure;
  try {
    if (shot.model != nullptr) {
      fill(shot, row);
    }
  } catch (const Error& error) {
    failure = error.what();
  }
  if (!failure.empty()) {
    const std::lock_guard lock(mutex_);
    messages_[shot.index] = std::move(failure);
    status_[shot.index] = SampleStatus::failed;
  } else {
    status_[shot.index] = SampleStatus::done;
  }
  ++finished_;
}

void Batch::fill(const SweepShot& shot, std::span<double> row) const {
  SampleResult result;
  result.launch = shot.launch;
  for (const Stage stage : stages) {
    if (!needs(plan_, stage)) {
      continue;
    }
    if (stage == Stage::launch && result.launch == nullptr) {
      return;  // with what failed
    }
    compute(plan_, *shot.model, stage, result);
    for (std::size_t i = 0; i < row.size(); ++i) {
      if (plan_.outputs[i]->stage == stage) {
        row[i] = plan_.outputs[i]->get(result);
      }
    }
  }
}

}  // namespace nockwise::python
