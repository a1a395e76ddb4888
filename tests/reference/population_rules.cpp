// The rules of the trade that a population of bows is held against.
#include "reference/population.hpp"

namespace nockwise {

namespace {

constexpr double inch = 0.0254;
constexpr double grain = 64.79891e-6;  // [kg]

/// A hand that tears tail-left, as a right hand on the grip does: rules on spine are about a shaft that is pushed
/// aside.
void in_a_hand(Setup& s) { s.hold.grip_torque = 0.3; }

void nearer(Setup& s, double by) { s.rest.arm.cord_attachment -= by; }

}  // namespace

const std::vector<TradeRule>& trade_rules() {
  constexpr double sixteenth = inch / 16.0;
  const auto twist = [](UpperLower<Cable>& cables, int half, double turns) { cables[half].twists += turns; };
  static const std::vector<TradeRule> rules = {
      {"upper cam late",
       "half a twist into the upper cable",
       "tail-high, 1/2 in per 1/8 in of open stop",
       Output::tear_up,
       1.0,
       0.25,
       1.0,
       true,
       "",
       "",
       {},
       [=](Setup& s) { twist(s.cables, 0, 0.5); }},
      {"upper cam late with a stiff shaft", "the same with a shaft that hardly bends (30 N·m²)", "the same",
       Output::tear_up, 1.0, 0.25, 1.0, true, "", "", [](Setup& s) { s.arrow.bending_stiffness = 30.0; },
       [=](Setup& s) { twist(s.cables, 0, 0.5); }},
      {"lower cam late",
       "half a twist into the lower cable",
       "tail-low, 1/2 in per 1/8 in of open stop",
       Output::tear_up,
       -1.0,
       0.25,
       1.0,
       true,
       "",
       "",
       {},
       [=](Setup& s) { twist(s.cables, 1, 0.5); }},
      {"nock up",
       "nocking point 1/16 in up",
       "tail-high, 1/16 to 1/4 in",
       Output::tear_up,
       1.0,
       0.05,
       0.3,
       false,
       "",
       "",
       {},
       [=](Setup& s) { s.string.nocking_point += sixteenth; }},
      {"nock up in a soft capture", "the same in a capture that gives ten times more, and is damped", "the same",
       Output::tear_up, 1.0, 0.05, 0.3, false, "capture", "",
       [](Setup& s) {
         s.rest.vertical_stiffness *= 0.1;
         s.rest.vertical_damping = 5.0;
       },
       [=](Setup& s) { s.string.nocking_point += sixteenth; }},
      {"rest up",
       "rest 1/16 in up",
       "tail-low, 1/16 to 1/4 in",
       Output::tear_up,
       -1.0,
       0.05,
       0.3,
       false,
       "",
       "",
       {},
       [=](Setup& s) { s.rest.height += sixteenth; }},
      {"arrow high",
       "nocking point and rest 3/8 in up",
       "tail-high, up to 1/2 in",
       Output::tear_up,
       1.0,
       0.05,
       0.5,
       false,
       "",
       "",
       {},
       [=](Setup& s) {
         s.string.nocking_point += 6.0 * sixteenth;
         s.rest.height += 6.0 * sixteenth;
       }},
      {"cord 1/8 in nearer",
       "limb cord 1/8 in nearer the riser",
       "takes tail-high away, visibly",
       Output::tear_up,
       -1.0,
       0.03,
       0.3,
       false,
       "limb_driven",
       "",
       {},
       [](Setup& s) { nearer(s, inch / 8.0); }},
      {"cord 1 in nearer",
       "limb cord 1 in nearer the riser",
       "takes tail-high away, 1/4 in and more",
       Output::tear_up,
       -1.0,
       0.1,
       1.0,
       false,
       "limb_driven",
       "",
       {},
       [](Setup& s) { nearer(s, inch); }},
      {"rest to the riser",
       "rest 1/16 in toward the riser",
       "takes tail-left away, 1/8 to 3/8 in",
       Output::tear_right,
       1.0,
       0.1,
       0.4,
       false,
       "",
       "",
       {},
       [=](Setup& s) { s.rest.center_shot += sixteenth; }},
      {"cams left",
       "both cams 1/32 in to the left by shims",
       "takes tail-left away, 1/8 to 1/4 in",
       Output::tear_right,
       1.0,
       0.1,
       0.4,
       false,
       "",
       "",
       {},
       [=](Setup& s) {
         s.cams.upper.shim -= 0.5 * sixteenth;
         s.cams.lower.shim -= 0.5 * sixteenth;
       }},
      {"yokes left",
       "a twist into the left leg of each yoke and out of the right",
       "takes tail-left away, 1/8 to 1/2 in",
       Output::tear_right,
       1.0,
       0.1,
       0.5,
       false,
       "",
       "yokes",
       {},
       [](Setup& s) {
         for (int h = 0; h < 2; ++h) {
           s.cables[h].yoke.left_twists += 1.0;
           s.cables[h].yoke.right_twists -= 1.0;
         }
       }},
      {"hand",
       "a hand that turns the front left with 0.3 N·m",
       "tail-left, 1/8 to 1/2 in",
       Output::tear_right,
       -1.0,
       0.1,
       0.5,
       false,
       "",
       "",
       {},
       in_a_hand},
      {"weaker spine", "a spine class (0.05 in) weaker, in that hand", "tail-left, 1/16 to 1/4 in", Output::tear_right,
       -1.0, 0.05, 0.3, false, "", "", in_a_hand,
       [](Setup& s) { s.set("arrow.spine", s.get("arrow.spine") + 0.05 * inch); }},
      {"heavier point", "a point 25 grains heavier, in that hand", "tail-left, a little", Output::tear_right, -1.0,
       0.02, 0.3, false, "", "", in_a_hand, [](Setup& s) { s.arrow.point_mass += 25.0 * grain; }},
      {"shorter arrow", "half an inch off the arrow, in that hand", "to the right (stiffer), a little",
       Output::tear_right, 1.0, 0.02, 0.3, false, "", "", in_a_hand, [](Setup& s) { s.arrow.length -= 0.5 * inch; }},
  };
  return rules;
}

}  // namespace nockwise
