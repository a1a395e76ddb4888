#pragma once

/// @file
/// How the table of parameters is put together: a Section adds the fields of one struct under one path.

#include "nockwise/error.hpp"
#include "nockwise/parameters.hpp"

#include <algorithm>
#include <string>
#include <type_traits>
#include <utility>
#include <vector>

namespace nockwise::detail {

struct ParameterTable {
  std::vector<Parameter> numbers;
  std::vector<ChoiceParameter> choices;
  std::vector<TextParameter> texts;
  std::vector<TrackParameter> tracks;
};

/// Built at the first call, constant from then on.
[[nodiscard]] const ParameterTable& parameter_table();
/// Every path of every kind, in the order of the table.
[[nodiscard]] const std::vector<std::string>& parameter_paths();

/// Unit and range of a number. The range is in SI.
struct Measure {
  Quantity quantity;
  const char* unit;
  double minimum;
  double maximum;
  double tried = 0.0;  // see Parameter::tried
};

/// The way from a setup to a part of it: `member<&Setup::cams, &UpperLower<Cam>::upper, &Cam::stop>`.
template <auto... Members>
struct MemberPath {};
template <auto... Members>
inline constexpr MemberPath<Members...> member{};

/// The two ways to reach a part of a setup.
template <class Part>
struct Access {
  const Part& (*read)(const Setup&);
  Part& (*write)(Setup&);

  template <auto... Members>
  Access(MemberPath<Members...> /*path*/)
      : read([](const Setup& setup) -> const Part& { return (setup.*....*Members); }),
        write([](Setup& setup) -> Part& { return (setup.*....*Members); }) {}
};

/// In which mirror a number changes its sign, or two words change places: left to right, upside down, or in both.
enum class Reflection { none, lateral, vertical, both };

/// One word of a choice and the value that it stands for.
template <class Value>
using Word = std::pair<const char*, Value>;

/// Adds the fields of one part of the setup to a table.
template <class Part>
class Section {
 public:
  Section(ParameterTable& table, std::string prefix, Access<Part> access)
      : table_(&table), prefix_(std::move(prefix)), access_(access) {}

  template <class Field>
  void number(Field Part::*field, const char* name, const Measure& measure, const char* doc) {
    number(field, name, measure, Reflection::none, doc);
  }
  template <class Field>
  void number(Field Part::*field, const char* name, const Measure& measure, Reflection reflection, const char* doc) {
    Parameter entry;
    entry.path = prefix_ + name;
    entry.quantity = measure.quantity;
    entry.unit = measure.unit;
    entry.minimum = measure.minimum;
    entry.maximum = measure.maximum;
    entry.tried = measure.tried;
    entry.whole = std::is_integral_v<Field>;
    mark(reflection, entry);
    entry.doc = doc;
    entry.get = [read = access_.read, field](const Setup& setup) { return static_cast<double>(read(setup).*field); };
    entry.set = [write = access_.write, field](Setup& setup, double value) {
      write(setup).*field = static_cast<Field>(value);
    };
    table_->numbers.push_back(std::move(entry));
  }

  template <class Value>
  void choice(Value Part::*field, const char* name, std::vector<Word<Value>> words, const char* doc) {
    choice(field, name, std::move(words), Reflection::none, doc);
  }
  template <class Value>
  void choice(Value Part::*field, const char* name, std::vector<Word<Value>> words, Reflection reflection,
              const char* doc) {
    ChoiceParameter entry;
    entry.path = prefix_ + name;
    mark(reflection, entry);
    entry.doc = doc;
    for (const Word<Value>& word : words) {
      entry.choices.emplace_back(word.first);
    }
    entry.get = [read = access_.read, field, words](const Setup& setup) -> std::string {
      const auto word = std::find_if(words.begin(), words.end(),
                                     [&](const Word<Value>& each) { return each.second == read(setup).*field; });
      return word == words.end() ? "" : word->first;
    };
    entry.set = [write = access_.write, field, words, path = entry.path, allowed = entry.allowed()](
                    Setup& setup, const std::string& text) {
      const auto word =
          std::find_if(words.begin(), words.end(), [&](const Word<Value>& each) { return each.first == text; });
      if (word == words.end()) {
        throw InputError(path, text, allowed);
      }
      write(setup).*field = word->second;
    };
    table_->choices.push_back(std::move(entry));
  }

  /// Words of the choice added last: see ChoiceParameter::untried.
  void untried(std::vector<std::string> words) { table_->choices.back().untried = std::move(words); }

  void text(std::string Part::*field, const char* name, const char* doc) {
    table_->texts.push_back(
        {prefix_ + name, doc, [read = access_.read, field](const Setup& setup) { return read(setup).*field; },
         [write = access_.write, field](Setup& setup, const std::string& value) { write(setup).*field = value; }});
  }

  void track(Track Part::*field, const char* name, const char* doc) {
    table_->tracks.push_back(
        {prefix_ + name,
         false,
         false,
         {},
         doc,
         [read = access_.read, field](const Setup& setup) -> std::optional<Track> { return read(setup).*field; },
         [write = access_.write, field](Setup& setup, const std::optional<Track>& value) {
           if (value) {
             write(setup).*field = *value;
           }
         }});
  }

  void track(std::optional<Track> Part::*field, const char* name, const char* doc) {
    table_->tracks.push_back({prefix_ + name,
                              true,
                              false,
                              {},
                              doc,
                              [read = access_.read, field](const Setup& setup) { return read(setup).*field; },
                              [write = access_.write, field](Setup& setup, const std::optional<Track>& value) {
                                write(setup).*field = value;
                              }});
  }

 private:
  template <class Entry>
  static void mark(Reflection reflection, Entry& entry) {
    entry.lateral = reflection == Reflection::lateral || reflection == Reflection::both;
    entry.vertical = reflection == Reflection::vertical || reflection == Reflection::both;
  }

  ParameterTable* table_;
  std::string prefix_;
  Access<Part> access_;
};

/// One source file each, in the order of the table.
void add_bow_parameters(ParameterTable& table);    // head of the file, riser, grip, hold, limbs
void add_line_parameters(ParameterTable& table);   // cams, string, cables, cable guard
void add_arrow_parameters(ParameterTable& table);  // arrow, rest, surroundings

/// "limbs.*.pivot_y" of "limbs.upper.pivot_y".
[[nodiscard]] std::string without_half(std::string path);

/// Says of every entry where it is used, and whether a file must give it.
void mark_required(ParameterTable& table);
/// Says of every number how well it is known.
void mark_knowledge(ParameterTable& table);
/// @throws InputError for what `setup.known` cannot mean
void check_known(const Setup& setup);
/// The same for one of them.
void check_known(const KnownValue& known);

}  // namespace nockwise::detail
