// The comments of setup.hpp against the table of parameters: unit, range and frame of every field.
#include "nockwise/parameters.hpp"
#include "nockwise/units.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <map>
#include <numbers>
#include <regex>
#include <string>
#include <vector>

namespace nockwise {
namespace {

struct Member {
  std::string type, name, comment;
};
using Structs = std::map<std::string, std::vector<Member>>;

/// The structs of setup.hpp; a comment may go on in lines of its own.
Structs read_header() {
  const std::regex head("struct (\\w+) \\{");
  const std::regex member("  ([\\w:<>]+) (\\w+)(?: = [^;]*)?;(?: +///< (.*))?");
  const std::regex more(" +///< (.*)");
  std::ifstream file(source_folder("include/nockwise/setup.hpp"));
  Structs structs;
  std::vector<Member>* members = nullptr;
  std::smatch found;
  for (std::string line; std::getline(file, line);) {
    if (std::regex_match(line, found, head)) {
      members = &structs[found[1]];
    } else if (members != nullptr && std::regex_match(line, found, member)) {
      members->push_back({found[1], found[2], found[3]});
    } else if (members != nullptr && !members->empty() && std::regex_match(line, found, more)) {
      members->back().comment += " " + found[1].str();
    }
  }
  return structs;
}

/// The comment of every field by its path.
void collect(const Structs& structs, const std::string& type, const std::string& prefix,
             std::map<std::string, std::string>& comments) {
  std::smatch halves;
  if (std::regex_match(type, halves, std::regex("UpperLower<(\\w+)>"))) {
    collect(structs, halves[1], prefix + "upper.", comments);
    collect(structs, halves[1], prefix + "lower.", comments);
    return;
  }
  for (const Member& each : structs.at(type)) {
    const std::string inner = std::regex_replace(each.type, std::regex("UpperLower<(\\w+)>"), "$1");
    if (structs.contains(inner)) {
      collect(structs, each.type, prefix + each.name + ".", comments);
    } else {
      comments[prefix + each.name] = each.comment;
    }
  }
}

/// "−0.5", "1e-4" or "4π".
double number(std::string text) {
  const std::string minus = "−";
  const double sign = text.starts_with(minus) ? -1.0 : 1.0;
  if (sign < 0.0) {
    text.erase(0, minus.size());
  }
  const std::string turns = "π";
  const bool in_turns = text.ends_with(turns);
  if (in_turns) {
    text.erase(text.size() - turns.size());
  }
  return sign * parse_quantity(text, Quantity::dimensionless) * (in_turns ? std::numbers::pi : 1.0);
}

TEST(SetupHeader, CommentsTellUnitRangeAndFrameOfTheTable) {
  std::map<std::string, std::string> comments;
  collect(read_header(), "Setup", "", comments);
  // The unit, where there is one, then the range, then what the number is.
  const std::regex form("(?:\\[([^\\]]+)\\] )?(\\S+) to ([^\\s:]+)(?::.*)?");
  std::size_t checked = 0;
  for (const Parameter& each : parameters()) {
    if (!each.alias_of.empty()) {
      continue;
    }
    ASSERT_TRUE(comments.contains(each.path)) << each.path;
    const std::string& comment = comments.at(each.path);
    std::smatch found;
    ASSERT_TRUE(std::regex_match(comment, found, form)) << each.path << ": " << comment;
    EXPECT_EQ(found[1].str(), each.quantity == Quantity::dimensionless ? "" : si_unit(each.quantity)) << each.path;
    EXPECT_EQ(number(found[2]), each.minimum) << each.path;
    EXPECT_EQ(number(found[3]), each.maximum) << each.path;
    if (each.lateral) {
      EXPECT_TRUE(comment.find("+ right") != std::string::npos || comment.find("left") != std::string::npos)
          << each.path << ": " << comment;
    } else if (each.vertical) {
      EXPECT_NE(comment.find("+ up"), std::string::npos) << each.path << ": " << comment;
    }
    ++checked;
  }
  EXPECT_GT(checked, 150U);
  for (const ChoiceParameter& each : choice_parameters()) {
    EXPECT_FALSE(comments.at(each.path).empty()) << each.path;
  }
  for (const TrackParameter& each : track_parameters()) {
    EXPECT_FALSE(comments.at(each.path).empty()) << each.path;
  }
}

}  // namespace
}  // namespace nockwise
