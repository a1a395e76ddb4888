// The JSON Schema of setup files.

#include "base/quantity_text.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/setup_file.hpp"
#include "setup_file/layout.hpp"

#include <nlohmann/json.hpp>

#include <string>

namespace nockwise {

namespace {

using detail::is_halved;
using detail::last_name;
using detail::parent_path;
using detail::quantity_text;
using detail::table_paths;

// Ordered, so that editors offer the names in the order of the documentation.
using Json = nlohmann::ordered_json;

Json object_schema() { return {{"type", "object"}, {"properties", Json::object()}, {"additionalProperties", false}}; }

Json quantity_schema(Quantity quantity) {
  Json schema{{"type", "string"}, {"pattern", "^\\s*([-+]|−)?([0-9.]|½|¼|¾|⅛|⅜|⅝|⅞|⅓|⅔)"}};
  std::string units;
  for (const Unit& unit : units_of(quantity)) {
    units += (units.empty() ? "" : ", ") + std::string(unit.symbol);
  }
  schema["description"] = "Units: " + units + '.';
  return schema;
}

Json schema_of(const Parameter& parameter) {
  if (parameter.quantity == Quantity::dimensionless) {
    Json schema{{"description", parameter.doc},
                {"type", parameter.whole ? "integer" : "number"},
                {"minimum", parameter.minimum},
                {"maximum", parameter.maximum},
                {"default", parameter.default_value()}};
    if (parameter.whole) {
      schema["default"] = static_cast<int>(parameter.default_value());
    }
    return schema;
  }
  Json schema = quantity_schema(parameter.quantity);
  const std::string units = schema["description"];
  schema["description"] = parameter.doc + " It " + parameter.allowed() + ". " + units;
  if (parameter.alias_of.empty()) {
    schema["default"] = quantity_text(parameter.default_value(), parameter.quantity, parameter.unit);
  }
  return schema;
}

Json number_list_schema(const Json& item) { return {{"type", "array"}, {"items", item}}; }

Json one_track_schema(const char* kind) {
  Json schema = object_schema();
  schema["properties"]["kind"] = {{"const", kind}};
  schema["required"] = Json::array({"kind"});
  return schema;
}

Json track_schema() {
  const Json length = quantity_schema(Quantity::length);
  const Json angle = quantity_schema(Quantity::angle);
  const Json list_length{{"oneOf", Json::array({Json{{"type", "number"}}, length})}};

  Json circle = one_track_schema("circle");
  circle["properties"]["radius"] = length;
  circle["properties"]["eccentricity"] = length;
  circle["properties"]["angle"] = angle;

  Json spline = one_track_schema("spline");
  spline["properties"]["first_angle"] = angle;
  spline["properties"]["angle_step"] = angle;
  spline["properties"]["unit"] = {{"type", "string"}};
  spline["properties"]["distance"] = number_list_schema(list_length);
  spline["required"] = Json::array({"kind", "first_angle", "angle_step", "distance"});

  Json point = number_list_schema(list_length);
  point["minItems"] = 2;
  point["maxItems"] = 2;
  Json groove = one_track_schema("groove");
  groove["properties"]["unit"] = {{"type", "string"}};
  groove["properties"]["points"] = number_list_schema(point);
  groove["properties"]["file"] = {{"type", "string"}};
  groove["required"] = Json::array({"kind"});
  groove["oneOf"] = Json::array({Json{{"required", {"points"}}}, Json{{"required", {"file"}}}});

  return {{"oneOf", Json::array({circle, spline, groove})}};
}

void add_fields(Json& object, const std::string& table) {
  Json& properties = object["properties"];
  for (const TextParameter& text : text_parameters()) {
    if (parent_path(text.path) == table) {
      properties[last_name(text.path)] = {{"description", text.doc}, {"type", "string"}};
    }
  }
  for (const ChoiceParameter& choice : choice_parameters()) {
    if (parent_path(choice.path) == table) {
      properties[last_name(choice.path)] = {
          {"description", choice.doc}, {"enum", choice.choices}, {"default", choice.default_value()}};
    }
  }
  for (const Parameter& parameter : parameters()) {
    if (parent_path(parameter.path) != table) {
      continue;
    }
    properties[last_name(parameter.path)] = schema_of(parameter);
    if (!parameter.alias_of.empty()) {
      object["not"] = {{"required", {last_name(parameter.path), last_name(parameter.alias_of)}}};
    }
  }
  for (const TrackParameter& track : track_parameters()) {
    if (parent_path(track.path) == table) {
      properties[last_name(track.path)] = {{"description", track.doc}, {"$ref", "#/$defs/track"}};
    }
  }
}

Json table_schema(const std::string& table) {
  Json object = object_schema();
  add_fields(object, table);
  for (const std::string& path : table_paths()) {
    if (parent_path(path) != table) {
      continue;
    }
    const std::string name = last_name(path);
    if (!is_halved(path)) {
      object["properties"][name] = table_schema(path);
      continue;
    }
    Json halves = object_schema();
    for (const char* half : {"both", "upper", "lower"}) {
      halves["properties"][half] = {{"$ref", "#/$defs/" + name}};
    }
    object["properties"][name] = halves;
  }
  return object;
}

}  // namespace

std::string json_schema() {
  Json schema{{"$schema", "https://json-schema.org/draft/2020-12/schema"}, {"title", "Setup file of nockwise"}};
  schema.update(table_schema(""));
  schema["properties"]["format"] = {{"description", "Version of the file format."}, {"const", setup_file_format}};
  schema["properties"]["known"] = {
      {"description",
       "How well single numbers are known: by path, one of exact, measured, specified, typical or guessed, or a "
       "standard deviation, as a share (\"5 %\") or in the number's unit (\"0.5 mm\")."},
      {"type", "object"},
      {"additionalProperties", {{"type", Json::array({"string", "number", "object"})}}}};
  schema["required"] = Json::array({"format"});
  schema["$defs"]["track"] = track_schema();
  for (const std::string& path : table_paths()) {
    if (is_halved(path)) {
      schema["$defs"][path] = table_schema(path + ".upper");
    }
  }
  constexpr int indent = 2;
  return schema.dump(indent) + '\n';
}

}  // namespace nockwise
