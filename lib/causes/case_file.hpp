// What case files and calibration files share: the setup, holes, and checks. Private.
#pragma once

#include "nockwise/explanation.hpp"
#include "setup_file/file_kind.hpp"
#include "setup_file/toml.hpp"

#include <cstddef>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace nockwise::detail {

/// Reads the entries of a file one by one. \throws InputError with file, line and column from every function
class CaseReader {
 public:
  /// `kind` is the file's, for check_file_kind().
  CaseReader(std::string file, std::filesystem::path folder, std::string_view kind)
      : file_(std::move(file)), folder_(std::move(folder)), kind_(kind) {}

  /// Reads the whole document; `other` takes the entries that are not known here, or returns false.
  template <class Other>
  Case read(const toml::table& document, const std::vector<std::string>& other_names, const Other& other) {
    check_file_kind(document, kind_, file_);
    for (const FileEntry& entry : entries_of(document, "", file_)) {
      if (!read_entry(entry) && !other(entry, *this)) {
        std::vector<std::string> names = {"format", "setup", "bow", "tears", "work", "checks"};
        names.insert(names.end(), other_names.begin(), other_names.end());
        throw unknown(entry, names);
      }
    }
    read_rest();
    return case_;
  }

  /// `{ "cables.upper.twists" = "0.5 twist" }`: paths are quoted names.
  [[nodiscard]] std::vector<ParameterChange> read_changes(const FileEntry& entry, bool relative) const;
  /// Tables of a list, as [[speeds]] makes it.
  [[nodiscard]] std::vector<FileEntry> tables_of(const FileEntry& list) const;
  /// An element of an array.
  [[nodiscard]] FileEntry element(const FileEntry& list, const toml::node& node, std::size_t index) const;
  [[nodiscard]] std::vector<PriorWidth> read_priors(const FileEntry& entry) const;
  [[nodiscard]] Workshop read_workshop(const FileEntry& entry) const;

  [[nodiscard]] static InputError unknown(const FileEntry& entry, const std::vector<std::string>& names);
  /// A number that must lie in a range. \throws InputError with the entry's place
  [[nodiscard]] static double number_in(const CaseRange& range, const FileEntry& entry);
  /// The same by the range's path.
  [[nodiscard]] static double number_in(std::string_view range, const FileEntry& entry);
  /// Refuses a list that is too long.
  static void check_length(std::string_view range, const FileEntry& entry, std::size_t length);
  [[nodiscard]] const std::string& file() const { return file_; }

 private:
  [[nodiscard]] static std::vector<std::string> names_of(const std::vector<Adjustment>& all);
  bool read_entry(const FileEntry& entry);
  /// What needs the whole document to be there: the checks.
  void read_rest();
  void check_bows() const;
  [[nodiscard]] TearObservation read_tear(const FileEntry& entry) const;
  /// `{ "cable.upper" = 1 }`: trade steps of an adjustment, by the name that priors and plans give it.
  [[nodiscard]] std::vector<ParameterChange> read_trial(const FileEntry& entry) const;
  void read_setup(const FileEntry& entry);
  /// `[[work]]`, one step each: `"rest.height" = -2`.
  [[nodiscard]] WorkStep read_work(const FileEntry& entry) const;
  /// How many steps of work were done before a hole or a measurement.
  [[nodiscard]] std::size_t steps_before(const FileEntry& entry) const;
  void read_checks(const FileEntry& entry);
  void add_if(const FileEntry& entry, const CheckObservation& check);
  void read_measurement(const FileEntry& entry);

  std::string file_;
  std::filesystem::path folder_;
  std::string_view kind_;
  Case case_;
  FileEntry tears_{}, work_{}, checks_{};
  bool has_format_ = false, has_setup_ = false;
};

}  // namespace nockwise::detail
