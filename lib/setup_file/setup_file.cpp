#include "nockwise/setup_file.hpp"

#include "nockwise/files.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/track.hpp"
#include "setup_file/file_kind.hpp"
#include "setup_file/known.hpp"
#include "setup_file/layout.hpp"
#include "setup_file/text.hpp"
#include "setup_file/toml.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <type_traits>

namespace nockwise {

namespace {

using detail::entries_of;
using detail::FileEntry;
using detail::is_halved;
using detail::names_in;
using detail::no_such_name;
using detail::parent_path;
using detail::parse_document;
using detail::parse_number;
using detail::parse_track;
using detail::table_paths;

bool is_table_path(const std::string& path) {
  const std::vector<std::string>& tables = table_paths();
  return std::find(tables.begin(), tables.end(), path) != tables.end();
}

/// Fills a setup from a document and remembers where every value was given.
class SetupReader {
 public:
  /// \param folder of the file; none for a text
  explicit SetupReader(std::string file, std::optional<std::filesystem::path> folder = {})
      : file_(std::move(file)), folder_(std::move(folder)) {}

  SetupFile read(const toml::table& document) {
    check_file_kind(document, "setup", file_);
    check_format(document);
    read_table(document, "", {""});
    check_aliases();
    for (const FileEntry& entry : entries_of(document, "", file_)) {
      if (entry.name == "known") {  // behind all values, wherever it stands
        setup_.known = detail::parse_known(entry, setup_, file_);
      }
    }
    try {
      validate(setup_);
    } catch (const InputError& error) {
      throw error.with_path(error.path(), place_for(error.path()));
    }
    check_complete();
    return {setup_, assumed()};
  }

 private:
  /// First of all, because a file of another version need not make sense otherwise.
  void check_format(const toml::table& document) const {
    const std::string wanted = "format = " + std::to_string(setup_file_format);
    for (const FileEntry& entry : entries_of(document, "", file_)) {
      if (entry.name == "format") {
        if (entry.node->value_exact<std::int64_t>() != setup_file_format) {
          throw entry.error("must be " + std::to_string(setup_file_format) + ", the version that is read here");
        }
        return;
      }
    }
    throw InputError("format", "", "must be given: begin the file with " + wanted, Location{file_, 1, 1});
  }

  /// `targets` are the paths of the tables that the file's table stands for: one, or the two halves of `both`.
  void read_table(const toml::table& table, const std::string& path, const std::vector<std::string>& targets) {
    std::vector<FileEntry> entries = entries_of(table, path, file_);
    std::stable_partition(entries.begin(), entries.end(), [](const FileEntry& entry) { return entry.name == "both"; });
    for (const FileEntry& entry : entries) {
      if (entry.path != "format" && entry.path != "known") {
        read_entry(entry, targets);
      }
    }
  }

  void read_entry(const FileEntry& entry, const std::vector<std::string>& parents) {
    std::vector<std::string> targets;
    for (const std::string& parent : parents) {
      if (entry.name == "both" && is_halved(parent)) {
        targets.push_back(parent + ".upper");
        targets.push_back(parent + ".lower");
      } else {
        targets.push_back(parent.empty() ? entry.name : parent + '.' + entry.name);
      }
    }
    for (const std::string& target : targets) {
      places_[target] = entry.place;
    }
    if (is_table_path(targets.front())) {
      read_table(entry.table(), entry.path, targets);
      return;
    }
    for (const std::string& target : targets) {
      if (!read_value(entry, target)) {
        throw InputError(entry.path, "", no_such_name(entry.name, names_in(parents.front())), entry.place);
      }
    }
  }

  /// @returns false if there is no such parameter
  bool read_value(const FileEntry& entry, const std::string& target) {
    try {
      if (const Parameter* number = find_parameter(target)) {
        const double value = parse_number(entry, number->quantity, number->unit);
        number->check(value);
        number->set(setup_, value);
      } else if (const ChoiceParameter* choice = find_choice_parameter(target)) {
        choice->set(setup_, entry.text());
      } else if (const TextParameter* text = find_text_parameter(target)) {
        text->set(setup_, entry.text());
      } else if (const TrackParameter* track = find_track_parameter(target)) {
        const Track shape = parse_track(entry, file_, folder_);
        check_shape(shape, entry);
        track->set(setup_, shape);
      } else {
        return false;
      }
    } catch (const InputError& error) {
      if (error.line()) {
        throw;  // already knows its place, and names what is written there
      }
      throw entry.error(error.allowed());
    }
    return true;
  }

  /// Once for each track in the file, since a fit to many points takes its time.
  void check_shape(const Track& track, const FileEntry& entry) {
    if (!checked_tracks_.insert(entry.node).second) {
      return;
    }
    try {
      (void)CompiledTrack(track, entry.path);
    } catch (const InputError& error) {
      throw error.with_path(error.path(), entry.place);
    }
  }

  void check_aliases() const {
    for (const Parameter& parameter : parameters()) {
      if (!parameter.alias_of.empty() && places_.contains(parameter.path) && places_.contains(parameter.alias_of)) {
        throw InputError(parameter.path, "", "must not be given along with " + parameter.alias_of,
                         places_.at(parameter.path));
      }
    }
  }

  [[nodiscard]] bool is_given(const Parameter& parameter) const {
    return std::any_of(parameters().begin(), parameters().end(), [&](const Parameter& each) {
      return (each.path == parameter.path || each.alias_of == parameter.path) && places_.contains(each.path);
    });
  }
  template <class Entry>
  [[nodiscard]] bool is_given(const Entry& entry) const {
    return places_.contains(entry.path);
  }

  /// Calls `visit` with every parameter that this bow makes use of and the file does not give.
  template <class Visit>
  void for_each_missing(const Visit& visit) const {
    const auto look_at = [&](const auto& entry) {
      if ((!entry.used || entry.used(setup_)) && !is_given(entry)) {
        visit(entry);
      }
    };
    for (const ChoiceParameter& choice : choice_parameters()) {
      look_at(choice);
    }
    for (const Parameter& number : parameters()) {
      if (number.alias_of.empty()) {
        look_at(number);
      }
    }
    for (const TrackParameter& track : track_parameters()) {
      look_at(track);
    }
  }

  void check_complete() const {
    std::vector<std::string> missing;
    for_each_missing([&](const auto& entry) {
      if (entry.required) {
        missing.push_back(entry.path);
      }
    });
    if (missing.empty()) {
      return;
    }
    std::string others;
    for (std::size_t i = 1; i < missing.size(); ++i) {
      others += (i == 1 ? ", and so must " : ", ") + missing[i];
    }
    throw InputError(missing.front(), "", "must be given, because the tear depends on it" + others,
                     place_for(missing.front()));
  }

  [[nodiscard]] std::vector<AssumedValue> assumed() const {
    std::vector<AssumedValue> list;
    for_each_missing([&](const auto& entry) {
      using Entry = std::decay_t<decltype(entry)>;
      if constexpr (std::is_same_v<Entry, Parameter>) {
        list.push_back({entry.path, detail::plain_value_text(entry, setup_)});
      } else if constexpr (std::is_same_v<Entry, ChoiceParameter>) {
        list.push_back({entry.path, entry.get(setup_)});
      }  // a track that is used is required
    });
    return list;
  }

  /// Where the parameter was given, or else the table in which it could have been, or else the file.
  [[nodiscard]] Location place_for(const std::string& path) const {
    for (std::string name = path; !name.empty(); name = parent_path(name)) {
      const auto found = places_.find(name);
      if (found != places_.end()) {
        return found->second;
      }
    }
    return {file_, 1, 1};
  }

  std::string file_;
  std::optional<std::filesystem::path> folder_;  // of the file; none for a text
  Setup setup_;
  std::map<std::string, Location> places_;
  std::set<const toml::node*> checked_tracks_;
};

}  // namespace

SetupFile parse_setup_file(std::string_view toml, const std::string& source_name) {
  return SetupReader(source_name).read(parse_document(toml, source_name));
}

SetupFile read_setup_file(const std::filesystem::path& file) {
  return SetupReader(file.string(), file.parent_path()).read(parse_document(read_text_file(file), file.string()));
}

Setup parse_setup(std::string_view toml, const std::string& source_name) {
  return parse_setup_file(toml, source_name).setup;
}

Setup read_setup(const std::filesystem::path& file) { return read_setup_file(file).setup; }

void write_setup(const Setup& setup, const std::filesystem::path& file) { write_text_file(file, format_setup(setup)); }

}  // namespace nockwise
