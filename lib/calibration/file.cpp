// Files of measurements for a calibration, as TOML.

#include "causes/case_file.hpp"
#include "nockwise/calibration.hpp"
#include "nockwise/files.hpp"

namespace nockwise {

namespace {

using detail::entries_of;
using detail::FileEntry;
using detail::parse_document;
using detail::parse_number;

using detail::CaseReader;

class DrawBoardReader {
 public:
  DrawBoardReader(const FileEntry& board, const CaseReader& reader) : board_(board), reader_(reader) {}

  std::vector<DrawForceMeasurement> read() {
    for (const FileEntry& each : entries_of(board_.table(), board_.path, reader_.file())) {
      if (each.name == "error") {
        error_ = CaseReader::number_in("draw_board.error", each);
      } else if (each.name == "readings") {
        read_readings(each);
      } else {
        throw CaseReader::unknown(each, {"error", "readings"});
      }
    }
    if (forces_.empty() || !(error_ > 0.0)) {
      throw board_.error("must give the readings and their error");
    }
    for (DrawForceMeasurement& each : forces_) {
      each.error = error_;
    }
    return forces_;
  }

 private:
  void read_readings(const FileEntry& entry) {
    constexpr const char* allowed = "must be a list of readings [draw length, force]: [[\"10 in\", \"16.5 lbf\"], …]";
    const toml::array* list = entry.node->as_array();
    if (list == nullptr) {
      throw entry.error(allowed);
    }
    CaseReader::check_length("draw_board.readings", entry, list->size());
    for (const toml::node& node : *list) {
      const FileEntry reading = reader_.element(entry, node, forces_.size());
      const toml::array* pair = node.as_array();
      if (pair == nullptr || pair->size() != 2) {
        throw reading.error(allowed);
      }
      const FileEntry length = reader_.element(reading, (*pair)[0], 0);
      const FileEntry force = reader_.element(reading, (*pair)[1], 1);
      forces_.push_back({CaseReader::number_in("draw_board.draw_length", length),
                         CaseReader::number_in("draw_board.force", force), 0.0});
    }
  }

  const FileEntry& board_;
  const CaseReader& reader_;
  std::vector<DrawForceMeasurement> forces_;
  double error_ = 0.0;
};

SpeedMeasurement read_speed(const FileEntry& entry, const CaseReader& reader) {
  SpeedMeasurement measured;
  bool given = false;
  for (const FileEntry& each : entries_of(entry.table(), entry.path, reader.file())) {
    if (each.name == "speed") {
      measured.speed = CaseReader::number_in("speeds.speed", each);
      given = true;
    } else if (each.name == "error") {
      measured.error = CaseReader::number_in("speeds.error", each);
    } else if (each.name == "changes" || each.name == "changes_by") {
      const auto changes = reader.read_changes(each, each.name == "changes_by");
      measured.changes.insert(measured.changes.end(), changes.begin(), changes.end());
    } else {
      throw CaseReader::unknown(each, {"speed", "error", "changes", "changes_by"});
    }
  }
  if (!given) {
    throw InputError("speeds.speed", "", "must be given", entry.place);
  }
  return measured;
}

}  // namespace

CalibrationCase parse_calibration_case(std::string_view toml, const std::filesystem::path& folder,
                                       const std::string& source_name) {
  const toml::table document = parse_document(toml, source_name);
  CaseReader reader(source_name, folder, "calibration");
  CalibrationCase result;
  Measurements& m = result.measurements;
  FileEntry speeds{};
  const Case read =
      reader.read(document, {"draw_board", "speeds"}, [&](const FileEntry& entry, const CaseReader& self) {
        if (entry.name == "draw_board") {
          m.draw_forces = DrawBoardReader(entry, self).read();
          return true;
        }
        if (entry.name == "speeds") {
          speeds = entry;  // behind the setup, against which changes are held
          return true;
        }
        return false;
      });
  if (speeds.node != nullptr) {
    const std::vector<FileEntry> tables = reader.tables_of(speeds);
    CaseReader::check_length("speeds", speeds, tables.size());
    for (const FileEntry& each : tables) {
      m.speeds.push_back(read_speed(each, reader));
    }
  }
  result.setup = read.setup;
  result.assumed = read.assumed;
  m.tears = read.tears;
  m.checks = read.checks;
  if (m.draw_forces.empty() && m.speeds.empty() && m.tears.empty() && m.checks.empty()) {
    throw InputError("", "", "must hold at least one measurement: [draw_board], [[speeds]], [[tears]] or [checks]",
                     Location{source_name, 1, 1});
  }
  return result;
}

CalibrationCase read_calibration_case(const std::filesystem::path& file) {
  return parse_calibration_case(read_text_file(file), file.parent_path(), file.string());
}

}  // namespace nockwise
