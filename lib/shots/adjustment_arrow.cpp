// Adjustments of rest, nocking point, yokes, shims, arrow and hand.

#include "shots/adjustment_table.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace nockwise::detail {

namespace {

constexpr double grain = 64.79891e-6;  // [kg]

void add_rest_timing(const Setup& setup, AdjustmentList& list) {
  const bool limb = setup.rest.kind == RestKind::limb_driven;
  if (!limb && setup.rest.kind != RestKind::cable_driven) {
    return;
  }
  const std::vector<std::string> effects = {"when the rest rises and drops", "clearance of the vanes"};
  const std::string along = limb ? "along the limb, away from the riser" : "along the cable, away from its far end";
  const std::string back = limb ? "along the limb, toward the riser" : "along the cable, toward its far end";
  Adjustment& a =
      list.add("cord.attachment", "where the rest's cord is tied", AdjustmentGroup::timing, TradeUnit::inch, 0.5,
               {{"rest.arm.cord_attachment", 0.0127}},
               {"tie the rest's cord {} farther " + along, "tie the rest's cord {} nearer " + back,
                "the rest's cord is tied {} too far " + along, "the rest's cord is tied {} too far " + back});
  set_cost_and_limits(a, 8.0, 4.0, effects, "two inches, and where the cord runs free");
  suspect(
      a, 1.5,
      "three quarters of an inch: the cord is tied by hand, slips in its clamp, and its place is seldom written down");
  a.caution = {CautionKind::rest_cord,
               "Draw slowly after re-tying: the arm must be fully up before the wall, and the cord must not carry the "
               "limb's or the cable's load."};
  Adjustment& b = list.add("cord.length", "length of the rest's cord", AdjustmentGroup::timing, TradeUnit::inch,
                           1.0 / 16.0, {{"rest.arm.cord_slack", sixteenth}},
                           {"let the rest's cord out by {}", "take the rest's cord in by {}",
                            "the rest's cord is {} too long", "the rest's cord is {} too short"});
  set_cost_and_limits(b, 5.0, 3.0, effects, "three sixteenths of an inch");
  b.caution = a.caution;
  suspect_at_last(b, 1.0,
                  "a sixteenth of an inch: a cord stretches, or is tied too short, where its place is as stated");
}

void add_heights(const Setup& setup, AdjustmentList& list) {
  const ParameterStep nock{"string.nocking_point", sixteenth};
  const ParameterStep rest{"rest.height", sixteenth};
  const bool has_rest = setup.rest.kind != RestKind::none;
  if (has_rest) {
    Adjustment& a =
        list.add("arrow.height", "nocking point and rest together", AdjustmentGroup::height, TradeUnit::inch,
                 1.0 / 16.0, {nock, rest},
                 {"move nocking point and rest up together by {}", "move nocking point and rest down together by {}",
                  "nocking point and rest stand {} too high", "nocking point and rest stand {} too low"});
    set_cost_and_limits(a, 12.0, 6.0, {"sight and peep", "where the arrow runs above the hand"},
                        "three eighths of an inch; the maker's Berger holes mark the middle");
    suspect_at_last(a, 2.0,
                    "an eighth of an inch: square, and yet above or below the mounting hole that the setup means");
  }
  Adjustment& n =
      list.add("nocking_point", "nocking point", AdjustmentGroup::nocking_point, TradeUnit::inch, 1.0 / 16.0, {nock},
               {"move the nocking point up by {}", "move the nocking point down by {}",
                "the nocking point stands {} too high", "the nocking point stands {} too low"});
  set_cost_and_limits(n, 6.0, 4.0, {"peep height", "angle of the arrow on the rest"},
                      "a quarter inch off square; more is not tuning");
  suspect(n, 2.0,
          "an eighth of an inch: a served point is set with a bow square, and moves when the serving slips or is tied "
          "anew");
  if (has_rest) {
    Adjustment& r =
        list.add("rest.height", "rest height", AdjustmentGroup::nocking_point, TradeUnit::inch, 1.0 / 16.0, {rest},
                 {"move the rest up by {}", "move the rest down by {}", "the rest stands {} too high",
                  "the rest stands {} too low"});
    set_cost_and_limits(r, 3.0, 4.0, {"sight", "angle of the arrow on the rest"},
                        "a quarter inch off square; more is not tuning");
    suspect(r, 2.0, "an eighth of an inch: rests are set by eye along the arrow, and sink when a screw works loose");
  }
}

void add_center_shot(const Setup& setup, AdjustmentList& list) {
  if (setup.rest.kind == RestKind::none) {
    return;
  }
  // The riser stands to the right of a right-handed bow's arrow.
  const double toward = setup.handedness == Handedness::right ? 1.0 : -1.0;
  Adjustment& a = list.add("center_shot", "centre shot", AdjustmentGroup::lateral, TradeUnit::inch, 1.0 / 16.0,
                           {{"rest.center_shot", toward * sixteenth}},
                           {"move the rest {} toward the riser", "move the rest {} away from the riser",
                            "the rest stands {} too near the riser", "the rest stands {} too far from the riser"});
  set_cost_and_limits(a, 3.0, 2.0, {"sight", "clearance of the cables past vanes and rest"},
                      "one to two sixteenths are harmless, more costs clearance");
  suspect(a, 1.0,
          "a sixteenth of an inch: centre shot is set against a line on the riser, which is as good as the eye");
}

struct YokeWords {
  const char* name;   // "top"
  const char* cable;  // the cable that ends in it
};

Caution lean_caution() {
  return {
      CautionKind::cam_lean,
      "More than two or three turns one way lean the cam so far that the string or cable can leave its groove: look "
      "along the cam at brace and at full draw after every turn."};
}

/// Four half turns either way, less what stands in the legs already.
void limit_cross(const Yoke& yoke, Adjustment& a) {
  const double standing = (yoke.left_twists - yoke.right_twists) / (2.0 * 0.5);  // [steps]
  a.least_steps = std::min(0.0, std::max(a.least_steps, -4.0 - standing));
  a.most_steps = std::max(0.0, std::min(a.most_steps, 4.0 - standing));
}

void add_yoke(const Yoke& legs, const YokeWords& yoke, AdjustmentList& list) {
  const std::string where = std::string("the ") + yoke.name + " yoke";
  const std::string path = std::string("cables.") + yoke.cable + ".yoke.";
  const std::string prefix = std::string("yoke.") + yoke.name + '.';
  const char* limit = "two turns: more leans the cam dangerously";
  Adjustment& cross =
      list.add(prefix + "cross", std::string(yoke.name) + " yoke, leg against leg", AdjustmentGroup::lateral,
               TradeUnit::twist, 0.5, {{path + "left_twists", 0.5}, {path + "right_twists", -0.5}},
               {"put {} into the left leg of " + where + " and take as much out of the right",
                "put {} into the right leg of " + where + " and take as much out of the left",
                where + " has {} too much in its left leg and too little in its right",
                where + " has {} too much in its right leg and too little in its left"});
  set_cost_and_limits(cross, 15.0, 4.0, {"cam lean", "where the string leaves the cam"}, limit);
  suspect(cross, 1.5,
          "three quarters of a twist of difference between the legs: they are served apart, and creep apart");
  limit_cross(legs, cross);
  cross.needs_press = true;
  cross.caution = lean_caution();
  for (const char* leg : {"left", "right"}) {
    const std::string which = std::string("the ") + leg + " leg of " + where;
    Adjustment& a = list.add(
        prefix + leg, std::string(yoke.name) + " yoke, " + leg + " leg", AdjustmentGroup::sync, TradeUnit::twist, 0.5,
        {{path + leg + "_twists", 0.5}},
        {"put {} into " + which, "take {} out of " + which, "{} too much in " + which, "{} missing from " + which});
    set_cost_and_limits(a, 15.0, 4.0, {"cam sync", "cam lean", "draw length"}, limit);
    suspect_at_last(a, 1.0, "half a twist: one leg that creeps, or was twisted alone, moves timing and lean at once");
    a.needs_press = true;
    a.caution = lean_caution();
  }
}

void add_yokes(const Setup& setup, AdjustmentList& list) {
  const bool top = setup.cables.lower.end == CableEnd::yoke;  // a cable's yoke sits on the other limb's axle
  const bool bottom = setup.cables.upper.end == CableEnd::yoke;
  if (top) {
    add_yoke(setup.cables.lower.yoke, {"top", "lower"}, list);
  }
  if (bottom) {
    add_yoke(setup.cables.upper.yoke, {"bottom", "upper"}, list);
  }
  if (top && bottom) {
    Adjustment& a =
        list.add("yokes.cross", "both yokes, leg against leg", AdjustmentGroup::lateral, TradeUnit::twist, 0.5,
                 {{"cables.upper.yoke.left_twists", 0.5},
                  {"cables.upper.yoke.right_twists", -0.5},
                  {"cables.lower.yoke.left_twists", 0.5},
                  {"cables.lower.yoke.right_twists", -0.5}},
                 {"put {} into the left leg of each yoke and take as much out of each right leg",
                  "put {} into the right leg of each yoke and take as much out of each left leg",
                  "both yokes have {} too much in the left leg and too little in the right",
                  "both yokes have {} too much in the right leg and too little in the left"});
    set_cost_and_limits(a, 25.0, 4.0, {"cam lean", "where the string leaves the cams"},
                        "two turns: more leans the cams dangerously");
    limit_cross(setup.cables.upper.yoke, a);
    limit_cross(setup.cables.lower.yoke, a);
    a.needs_press = true;
    a.caution = lean_caution();
  }
}

void add_shims(AdjustmentList& list) {
  constexpr double shim = 0.0254 / 32.0;
  const auto add = [&](const char* name, const std::string& what, std::vector<ParameterStep> parameters) {
    Adjustment& a =
        list.add(name, what + ", shims", AdjustmentGroup::lateral, TradeUnit::inch, 1.0 / 32.0, std::move(parameters),
                 {"shim " + what + " {} to the right", "shim " + what + " {} to the left",
                  what + " sits {} too far to the right", what + " sits {} too far to the left"});
    set_cost_and_limits(a, 30.0, 3.0, {"string and cable lines", "clearance of the cables"},
                        "three thirty-seconds: what fits between the limb's tips");
    a.needs_press = true;
  };
  add("shims.both", "both cams", {{"cams.upper.shim", shim}, {"cams.lower.shim", shim}});
  add("shim.upper", "the upper cam", {{"cams.upper.shim", shim}});
  add("shim.lower", "the lower cam", {{"cams.lower.shim", shim}});
}

void add_arrow(const Setup& setup, AdjustmentList& list) {
  const std::vector<std::string> effects = {"arrow mass and speed", "sight", "dynamic spine"};
  Adjustment& length = list.add(
      "arrow.length", "arrow length", AdjustmentGroup::arrow, TradeUnit::inch, 0.5, {{"arrow.length", 0.0127}},
      {"use arrows {} longer", "use arrows {} shorter", "the arrow is {} too long", "the arrow is {} too short"});
  set_cost_and_limits(length, 30.0, 2.0, effects, "one inch; the point must stay ahead of the rest at full draw");
  length.caution = {
      CautionKind::short_arrow,
      "An arrow that is too short falls off the rest inside the draw: leave at least an inch ahead of the "
      "rest at full draw."};
  Adjustment& point = list.add(
      "point.mass", "point weight", AdjustmentGroup::arrow, TradeUnit::grain, 25.0,
      {{"arrow.point_mass", 25.0 * grain}},
      {"use points {} heavier", "use points {} lighter", "the point is {} too heavy", "the point is {} too light"});
  set_cost_and_limits(point, 10.0, 2.0, effects,
                      "fifty grains, and no arrow below five grains per pound of peak weight");
  point.least_steps = std::max(-2.0, -std::floor(setup.arrow.point_mass / (25.0 * grain)));
  point.caution = {CautionKind::light_arrow, "Too light an arrow is close to a dry fire."};
  Adjustment& spine =
      list.add("spine", "shaft spine", AdjustmentGroup::arrow, TradeUnit::spine, 0.05, {{"arrow.spine", 0.05 * 0.0254}},
               {"use shafts of a spine {} weaker (larger number)", "use shafts of a spine {} stiffer (smaller number)",
                "the shaft is {} too weak in spine", "the shaft is {} too stiff in spine"});
  set_cost_and_limits(spine, 60.0, 2.0, {"price of a set of arrows", "arrow mass and speed"},
                      "two spine classes either way");
  suspect(spine, 0.5, "half a spine class: shafts of a batch, and charts, agree no better");
}

void add_clearance(const Setup& setup, AdjustmentList& list) {
  if (setup.arrow.fletching.count == 0 || setup.rest.kind == RestKind::none) {
    return;
  }
  constexpr double degree = std::numbers::pi / 180.0;
  Adjustment& turn =
      list.add("vanes.clocking", "turn of the nock", AdjustmentGroup::clearance, TradeUnit::degree, 30.0,
               {{"arrow.fletching.clocking", 30.0 * degree}},
               {"turn the nock so that the vanes stand {} farther clockwise, as the archer sees them",
                "turn the nock so that the vanes stand {} farther counter-clockwise, as the archer sees them",
                "the nock is turned so that the vanes stand {} too far clockwise, as the archer sees them",
                "the nock is turned so that the vanes stand {} too far counter-clockwise, as the archer sees them"});
  set_cost_and_limits(turn, 5.0, 2.0, {"marks of the vanes on rest and cables", "every other arrow's nock"},
                      "60 degrees, at which three vanes stand upside down");
  suspect_at_last(turn, 1.0,
                  "30 degrees: a nock is pressed in by eye and turns in its bushing, and some are indexed for another "
                  "rest; it matters only where a vane strikes, or a spine differs around the shaft");
  turn.caution = {CautionKind::vane_strikes_rest,
                  "See with powder or lipstick on the vanes that they clear the rest and the cables afterwards; a nock "
                  "that turns by itself is worn and belongs in the bin."};
  Adjustment& lower = list.add("vanes.height", "height of the vanes", AdjustmentGroup::clearance, TradeUnit::inch,
                               1.0 / 16.0, {{"arrow.fletching.height", sixteenth}},
                               {"use vanes {} higher", "use vanes {} lower", "the vanes are {} higher than stated",
                                "the vanes are {} lower than stated"});
  set_cost_and_limits(lower, 60.0, 2.0, {"how the vanes steer the arrow", "arrow mass"},
                      "an eighth of an inch, and vanes that still steer the points that are shot");
  lower.most_steps = 0.0;
  lower.least_steps = -std::min(2.0, std::floor(setup.arrow.fletching.height / sixteenth - 1.0));
}

void add_technique(AdjustmentList& list) {
  Adjustment& torque = list.add("grip.torque", "torque of the hand on the grip", AdjustmentGroup::technique,
                                TradeUnit::newton_metre, 0.1, {{"hold.grip_torque", 0.1}},
                                {"turn the hand's torque {} toward left", "turn the hand's torque {} toward right",
                                 "the hand twists the front of the bow to the left with {}",
                                 "the hand twists the front of the bow to the right with {}"});
  set_cost_and_limits(torque, 2.0, 10.0, {"left and right tear", "left and right impact"},
                      "not an adjustment of the bow: relax the hand and ask a coach");
  suspect(torque, 2.5,
          "a quarter of a newton metre: most hands stay within half a newton metre, which is a hard grip, but one that "
          "exists");
  torque.plannable = false;
  Adjustment& heel = list.add("grip.height", "height of the hand's pressure on the grip", AdjustmentGroup::technique,
                              TradeUnit::inch, 0.125, {{"grip.pressure_point_y", 0.003175}},
                              {"press {} higher on the grip", "press {} lower on the grip",
                               "the hand presses {} higher than supposed", "the hand presses {} lower than supposed"});
  set_cost_and_limits(heel, 2.0, 0.0, {"nock travel", "holding pitch"}, "not an adjustment of the bow: ask a coach");
  // The pull runs from the nock to where the hand presses: this is also the angle at which the archer draws.
  heel.rare_prior = 1.0;
  heel.prior_reason = "an eighth of an inch: a high wrist against a low one moves the pressure by more (from memory)";
  heel.plannable = false;
}

}  // namespace

void add_arrow_adjustments(const Setup& setup, AdjustmentList& list) {
  add_rest_timing(setup, list);
  add_heights(setup, list);
  add_center_shot(setup, list);
  add_yokes(setup, list);
  add_shims(list);
  add_arrow(setup, list);
  add_clearance(setup, list);
  add_technique(list);
}

}  // namespace nockwise::detail
