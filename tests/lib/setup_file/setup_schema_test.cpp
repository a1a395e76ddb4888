#include "lib/launch/random_setup.hpp"
#include "nockwise/error.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/setup_file.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <toml++/toml.h>

#include <algorithm>
#include <regex>
#include <sstream>
#include <string>

namespace nockwise {
namespace {

using Json = nlohmann::json;

bool has_type(const Json& value, const std::string& type) {
  return type == "object"    ? value.is_object()
         : type == "array"   ? value.is_array()
         : type == "string"  ? value.is_string()
         : type == "integer" ? value.is_number_integer()
                             : type == "number" && value.is_number();
}

/// The part of JSON Schema that ours uses; a keyword that it does not know is a failure.
class Schema {
 public:
  explicit Schema(Json root) : root_(std::move(root)) {}

  [[nodiscard]] bool accepts(const Json& value) const { return accepts(root_, value); }

 private:
  /// Keywords for one type say nothing about values of another.
  [[nodiscard]] static bool concerns(const std::string& keyword, const Json& value) {
    if (keyword == "minimum" || keyword == "maximum") {
      return value.is_number();
    }
    if (keyword == "pattern") {
      return value.is_string();
    }
    if (keyword == "items" || keyword == "minItems" || keyword == "maxItems") {
      return value.is_array();
    }
    const bool for_objects = keyword == "required" || keyword == "properties" || keyword == "additionalProperties";
    return !for_objects || value.is_object();
  }

  [[nodiscard]] bool accepts(const Json& schema, const Json& value) const {
    return std::all_of(schema.items().begin(), schema.items().end(),
                       [&](const auto& rule) { return obeys(schema, rule.key(), rule.value(), value); });
  }

  [[nodiscard]] bool obeys(const Json& schema, const std::string& keyword, const Json& rule, const Json& value) const {
    if (keyword == "$ref") {
      return accepts(root_.at(Json::json_pointer(rule.get<std::string>().substr(1))), value);
    }
    if (keyword == "type") {
      return has_type(value, rule);
    }
    if (keyword == "const") {
      return value == rule;
    }
    if (keyword == "enum") {
      return std::find(rule.begin(), rule.end(), value) != rule.end();
    }
    if (!concerns(keyword, value)) {
      return true;
    }
    if (keyword == "minimum" || keyword == "maximum") {
      return keyword == "minimum" ? value >= rule : value <= rule;
    }
    if (keyword == "pattern") {
      return std::regex_search(value.get<std::string>(), std::regex(rule.get<std::string>()));
    }
    if (keyword == "oneOf") {
      return std::count_if(rule.begin(), rule.end(), [&](const Json& each) { return accepts(each, value); }) == 1;
    }
    if (keyword == "not") {
      return !accepts(rule, value);
    }
    return obeys_as_container(schema, keyword, rule, value);
  }

  [[nodiscard]] bool obeys_as_container(const Json& schema, const std::string& keyword, const Json& rule,
                                        const Json& value) const {
    if (keyword == "required") {
      return std::all_of(rule.begin(), rule.end(), [&](const Json& name) { return value.contains(name); });
    }
    if (keyword == "properties") {
      return std::all_of(rule.items().begin(), rule.items().end(), [&](const auto& each) {
        return !value.contains(each.key()) || accepts(each.value(), value.at(each.key()));
      });
    }
    if (keyword == "additionalProperties") {
      return rule || std::all_of(value.items().begin(), value.items().end(),
                                 [&](const auto& each) { return schema.at("properties").contains(each.key()); });
    }
    if (keyword == "items") {
      return std::all_of(value.begin(), value.end(), [&](const Json& each) { return accepts(rule, each); });
    }
    if (keyword == "minItems" || keyword == "maxItems") {
      return keyword == "minItems" ? value.size() >= rule : value.size() <= rule;
    }
    const bool known = keyword == "$schema" || keyword == "title" || keyword == "$defs" || keyword == "description" ||
                       keyword == "default";
    EXPECT_TRUE(known) << keyword;
    return known;
  }

  Json root_;
};

Json json_of(const std::string& toml) {
  std::ostringstream text;
  text << toml::json_formatter{toml::parse(toml)};
  return Json::parse(text.str());
}

const Schema& schema() {
  static const Schema parsed{Json::parse(json_schema())};
  return parsed;
}

TEST(SetupSchema, AcceptsEveryWrittenFile) {
  EXPECT_TRUE(schema().accepts(json_of(format_setup(nockwise::Setup{}))));
  for (unsigned seed = 0; seed < 20; ++seed) {
    EXPECT_TRUE(schema().accepts(json_of(format_setup(random_setup(seed))))) << seed;
  }
  EXPECT_TRUE(schema().accepts(json_of("format = 1\narrow.spine = \"340 spine\"")));
}

TEST(SetupSchema, RefusesWhatTheReaderRefuses) {
  for (const char* lines : {
           "riser.mas = \"3 kg\"",
           "limbs.middle.pivot_x = \"3 mm\"",
           "riser.mass = 3",
           "riser.mass = \"heavy\"",
           "rest.kind = \"magnet\"",
           "arrow.nodes = 24.5",
           "arrow.nodes = 99",
           "arrow = { spine = \"340 spine\", bending_stiffness = \"7 N*m^2\" }",
           "cams.both.string_track = { kind = \"oval\" }",
           "cams.both.string_track = { radius = \"3 mm\" }",
           "cams.both.string_track = { kind = \"groove\", points = [[1]] }",
       }) {
    const std::string file = std::string("format = 1\n") + lines;
    EXPECT_FALSE(schema().accepts(json_of(file))) << lines;
    EXPECT_THROW((void)parse_setup(file), InputError) << lines;
  }
  EXPECT_FALSE(schema().accepts(json_of("name = \"no format\"")));
  EXPECT_FALSE(schema().accepts(json_of("format = 2")));
}

TEST(SetupSchema, DescribesEveryParameter) {
  const std::string text = json_schema();
  for (const Parameter& parameter : parameters()) {
    EXPECT_NE(text.find(parameter.doc), std::string::npos) << parameter.path;
  }
}

}  // namespace
}  // namespace nockwise
