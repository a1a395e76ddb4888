// Every result of a shot as one JSON object, SI units throughout.
#pragma once

#include <nlohmann/json.hpp>
#include <nockwise/draw.hpp>
#include <nockwise/launch.hpp>
#include <nockwise/paper.hpp>
#include <nockwise/setup_file.hpp>

#include <string>
#include <vector>

namespace examples {

/// Everything that one run computes.
struct Shot {
  nockwise::DrawCycle draw;
  nockwise::Launch launch;
  nockwise::PaperTear tear;
  nockwise::Impact impact;
  double chronograph = 0.0;  // [m/s]
  bool flew = false;
};

/// null for none.
inline nlohmann::json optional_json(const std::optional<double>& value) {
  return value ? nlohmann::json(*value) : nlohmann::json();
}

inline nlohmann::json pair_json(const nockwise::UpperLower<std::optional<double>>& pair) {
  return {optional_json(pair.upper), optional_json(pair.lower)};
}
template <class Value>
nlohmann::json pair_json(const nockwise::UpperLower<Value>& pair) {
  return {pair.upper, pair.lower};
}

inline nlohmann::json cautions_json(const std::vector<nockwise::Caution>& cautions) {
  nlohmann::json list = nlohmann::json::array();
  for (const auto& each : cautions) {
    list.push_back({{"kind", nockwise::name_of(each.kind)}, {"words", each.words}});
  }
  return list;
}

inline nlohmann::json brace_json(const nockwise::Model& model) {
  const auto b = model.brace();
  return {{"brace_height", b.brace_height},
          {"axle_to_axle", b.axle_to_axle},
          {"nock_height", b.nock_height},
          {"limb_angle", pair_json(b.limb_angle)},
          {"cam_angle", pair_json(b.cam_angle)},
          {"string_tension", b.string_tension},
          {"cable_tension", pair_json(b.cable_tension)},
          {"nock_above_arrow_rest", b.arrow_square}};
}

inline nlohmann::json arrow_json(const nockwise::Model& model) {
  const auto a = model.arrow();
  return {{"mass", a.mass},
          {"balance_point", a.balance_point},
          {"front_of_center", a.front_of_center},
          {"static_spine", a.static_spine},
          {"transverse_inertia", a.transverse_inertia},
          {"frequencies", a.frequencies}};
}

inline nlohmann::json draw_json(const nockwise::DrawCycle& d) {
  nlohmann::json points = nlohmann::json::array();
  for (const auto& p : d.points) {
    points.push_back({{"nock_x", p.nock_x},
                      {"nock_y", p.nock_y},
                      {"draw_force", p.draw_force},
                      {"limb_angle", pair_json(p.limb_angle)},
                      {"cam_angle", pair_json(p.cam_angle)},
                      {"string_tension", pair_json(p.string_tension)},
                      {"cable_tension", pair_json(p.cable_tension)},
                      {"axle_to_axle", p.axle_to_axle},
                      {"stop_gap", pair_json(p.stop_gap)},
                      {"stored_energy", p.stored_energy}});
  }
  return {{"peak_force", d.peak_force},
          {"peak_nock_x", d.peak_nock_x},
          {"holding_force", d.holding_force},
          {"valley_nock_x", d.valley_nock_x},
          {"let_off", d.let_off},
          {"stored_energy", d.stored_energy},
          {"brace_height", d.brace_height},
          {"power_stroke", d.power_stroke},
          {"draw_length", d.draw_length},
          {"brace_axle_to_axle", d.brace_axle_to_axle},
          {"full_axle_to_axle", d.full_axle_to_axle},
          {"static_nock_travel", d.static_nock_travel},
          {"first_stop", d.first_stop == nockwise::Side::upper ? "upper" : "lower"},
          {"late_stop_gap", optional_json(d.late_stop_gap)},
          {"touch_index", d.touch_index},
          {"points", points}};
}

inline nlohmann::json energy_json(const nockwise::Energy& e) {
  return {{"arrow", e.arrow},       {"mechanism", e.mechanism}, {"limbs", e.limbs}, {"lines", e.lines},
          {"contacts", e.contacts}, {"gravity", e.gravity},     {"hand", e.hand},   {"total", e.total()}};
}

inline nlohmann::json arrow_state_json(const nockwise::ArrowState& a) {
  return {{"time", a.time},
          {"nock_x", a.nock_x},
          {"speed", a.speed},
          {"velocity_y", a.velocity_y},
          {"velocity_z", a.velocity_z},
          {"nock_velocity_y", a.nock_velocity_y},
          {"nock_velocity_z", a.nock_velocity_z},
          {"pitch", a.pitch},
          {"yaw", a.yaw},
          {"pitch_rate", a.pitch_rate},
          {"yaw_rate", a.yaw_rate},
          {"bending_y", a.bending_y},
          {"bending_z", a.bending_z},
          {"y", a.y},
          {"z", a.z}};
}

inline nlohmann::json trace_json(const nockwise::Trace& t) {
  return {{"time", t.time},
          {"nock_x", t.nock_x},
          {"nock_y", t.nock_y},
          {"nock_z", t.nock_z},
          {"speed", t.speed},
          {"acceleration", t.acceleration},
          {"riser_x", t.riser_x},
          {"riser_y", t.riser_y},
          {"riser_z", t.riser_z},
          {"riser_pitch", t.riser_pitch},
          {"riser_yaw", t.riser_yaw},
          {"riser_roll", t.riser_roll},
          {"limb_angle", pair_json(t.limb_angle)},
          {"cam_angle", pair_json(t.cam_angle)},
          {"lean", pair_json(t.lean)},
          {"string_tension", pair_json(t.string_tension)},
          {"cable_tension", pair_json(t.cable_tension)},
          {"stop_gap", pair_json(t.stop_gap)},
          {"rest_gap", t.rest_gap},
          {"rest_force", t.rest_force},
          {"rest_arm", t.rest_arm},
          {"cord_tension", t.cord_tension},
          {"axial_push", t.axial_push},
          {"nodes", t.nodes},
          {"arrow_y", t.arrow_y},
          {"arrow_z", t.arrow_z}};
}

inline nlohmann::json launch_json(const nockwise::Launch& l) {
  nlohmann::json events = nlohmann::json::array();
  for (const auto& e : l.events) {
    events.push_back({{"kind", nockwise::name_of(e.kind)}, {"time", e.time}});
  }
  nlohmann::json json{{"ended_by", nockwise::name_of(l.ended_by)},
                      {"events", events},
                      {"full_draw_nock_x", l.full_draw_nock_x},
                      {"full_draw_force", l.full_draw_force},
                      {"stored_energy", l.stored_energy},
                      {"late_stop_gap", optional_json(l.late_stop_gap)},
                      {"cable_clearance", optional_json(l.cable_clearance)},
                      {"exit_time", l.exit_time},
                      {"exit_speed", l.exit_speed},
                      {"efficiency", l.efficiency},
                      {"peak_acceleration", l.peak_acceleration},
                      {"nock_travel_y", l.nock_travel_y},
                      {"nock_travel_z", l.nock_travel_z},
                      {"lean_full_draw", pair_json(l.lean_full_draw)},
                      {"energy_start", energy_json(l.energy_start)},
                      {"energy_exit", energy_json(l.energy_exit)},
                      {"dissipated", l.dissipated},
                      {"exit", arrow_state_json(l.exit)},
                      {"free", arrow_state_json(l.free)},
                      {"steps", l.steps},
                      {"evaluations", l.evaluations},
                      {"cautions", cautions_json(l.cautions)},
                      {"rest",
                       {{"drop_start", optional_json(l.rest.drop_start)},
                        {"drop_end", optional_json(l.rest.drop_end)},
                        {"last_contact", optional_json(l.rest.last_contact)},
                        {"largest_force", l.rest.largest_force},
                        {"shaft_clearance", optional_json(l.rest.shaft_clearance)},
                        {"fletching_clearance", optional_json(l.rest.fletching_clearance)},
                        {"fletching_contact", l.rest.fletching_contact}}}};
  if (const auto& strike = l.rest.vane_strike) {
    json["rest"]["vane_strike"] = {{"time", strike->time},
                                   {"largest_force", strike->largest_force},
                                   {"impulse_up", strike->impulse_up},
                                   {"impulse_right", strike->impulse_right},
                                   {"depth", strike->depth}};
  }
  if (!l.trace.time.empty()) {
    json["trace"] = trace_json(l.trace);
  }
  return json;
}

/// `assumed` is what the setup's file does not give.
inline nlohmann::json to_json(const nockwise::Model& model, const Shot& shot,
                              const std::vector<nockwise::AssumedValue>& assumed) {
  const nockwise::Setup& setup = model.setup();
  nlohmann::json json{{"name", setup.name},           {"provenance", setup.provenance},
                      {"brace", brace_json(model)},   {"arrow", arrow_json(model)},
                      {"draw", draw_json(shot.draw)}, {"launch", launch_json(shot.launch)}};
  json["assumed"] = nlohmann::json::object();
  for (const nockwise::AssumedValue& each : assumed) {
    json["assumed"][each.path] = each.value;
  }
  if (shot.flew) {
    const auto& t = shot.tear;
    json["paper"] = {{"distance", setup.surroundings.paper_distance},
                     {"up", t.up},
                     {"right", t.right},
                     {"point_y", t.point_y},
                     {"point_z", t.point_z},
                     {"point_time", t.point_time},
                     {"tail_time", t.tail_time},
                     {"speed", t.speed},
                     {"in_words", nockwise::describe_tear(t)},
                     {"section", t.section},
                     {"section_up", t.section_up},
                     {"section_right", t.section_right}};
    json["target"] = {{"distance", setup.surroundings.target_distance},
                      {"time", shot.impact.time},
                      {"y", shot.impact.y},
                      {"z", shot.impact.z},
                      {"speed", shot.impact.speed}};
    json["chronograph_speed"] = shot.chronograph;
  }
  return json;
}

/// In ASCII: a name may hold bytes that are no UTF-8, and characters that a terminal obeys.
inline std::string to_text(const nlohmann::json& json, int indent) {
  return json.dump(indent, ' ', true, nlohmann::json::error_handler_t::replace);
}

}  // namespace examples
