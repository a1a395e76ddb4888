// Adjustments of cables, stops and limb bolts.

#include "shots/adjustment_table.hpp"

#include <algorithm>

namespace nockwise::detail {

namespace {

void add_cable(const char* half, AdjustmentList& list) {
  const std::string cam = std::string(half) + " cam";
  Adjustment& a = list.add(
      std::string("cable.") + half, cam + "'s cable", AdjustmentGroup::sync, TradeUnit::twist, 0.5,
      {{std::string("cables.") + half + ".twists", 0.5}},
      {"put {} into the " + cam + "'s cable", "take {} out of the " + cam + "'s cable",
       "{} too much in the " + cam + "'s cable", "{} missing from the " + cam + "'s cable, or the cable has crept"});
  a.needs_press = true;
  set_cost_and_limits(a, 15.0, 6.0, {"cam sync", "draw length", "peak weight", "brace height"},
                      "three twists: beyond that the cable has the wrong length");
  suspect(
      a, 1.5,
      "three quarters of a twist: what a cable creeps in its first months, or what is left when both are set by eye");
}

void add_both_cables(AdjustmentList& list) {
  Adjustment& a = list.add("cables.both", "both cables", AdjustmentGroup::geometry, TradeUnit::twist, 0.5,
                           {{"cables.upper.twists", 0.5}, {"cables.lower.twists", 0.5}},
                           {"put {} into each of the two cables", "take {} out of each of the two cables",
                            "{} too much in both cables", "{} missing from both cables, or both have crept"});
  a.needs_press = true;
  set_cost_and_limits(a, 20.0, 6.0, {"draw length", "peak weight", "axle-to-axle", "brace height"},
                      "three twists: beyond that the cables have the wrong length");
}

void add_stop(const char* half, const DrawStop& stop, AdjustmentList& list) {
  if (stop.kind == StopKind::none) {
    return;
  }
  const std::string name = std::string(half) + " draw stop";
  const double angle = sixteenth / stop.radius;  // a limb stop touches later when its angle grows
  const double sign = stop.kind == StopKind::limb ? 1.0 : -1.0;
  Adjustment& a =
      list.add(std::string("stop.") + half, name, AdjustmentGroup::sync, TradeUnit::inch, 1.0 / 16.0,
               {{std::string("cams.") + half + ".stop.angle", sign * angle}},
               {"set the " + name + " {} later (longer draw)", "set the " + name + " {} earlier (shorter draw)",
                "the " + name + " stands {} too late", "the " + name + " stands {} too early"});
  set_cost_and_limits(a, 5.0, 4.0, {"draw length", "holding weight", "which stop carries the wall"},
                      "a quarter inch, and never beyond the maker's marks");
  a.caution = {CautionKind::overdraw,
               "Stops set late let the cams turn farther than they were made for: keep to the maker's marks."};
}

void add_bolts(const Setup& setup, AdjustmentList& list) {
  constexpr double most_out = 4.0;  // [turns] a usual limit; the manual has the right one
  const auto add = [&](const char* name, const char* title, std::vector<ParameterStep> parameters, double out,
                       const std::string& what) {
    Adjustment& a = list.add(
        name, title, AdjustmentGroup::geometry, TradeUnit::turn, 0.5, std::move(parameters),
        {"turn " + what + " {} out", "turn " + what + " {} in", what + " {} too far out", what + " {} too far in"});
    set_cost_and_limits(a, 5.0, 4.0, {"peak weight", "tiller", "nock height", "axle-to-axle"},
                        "fully in, and four turns out unless the manual says less");
    a.least_steps = std::max(-4.0, -out / 0.5);
    a.most_steps = std::min(4.0, (most_out - out) / 0.5);
    a.caution = {
        CautionKind::limb_bolt,
        "Never turn a limb bolt farther out than the manual allows: the limb can leave its pocket. Loosen the pocket's "
        "locks first."};
  };
  const double upper = setup.limbs.upper.bolt_turns;
  const double lower = setup.limbs.lower.bolt_turns;
  add("bolts.both", "both limb bolts", {{"limbs.upper.bolt_turns", 0.5}, {"limbs.lower.bolt_turns", 0.5}},
      std::min(upper, lower), "both limb bolts");
  add("bolt.upper", "upper limb bolt", {{"limbs.upper.bolt_turns", 0.5}}, upper, "the upper limb bolt");
  add("bolt.lower", "lower limb bolt", {{"limbs.lower.bolt_turns", 0.5}}, lower, "the lower limb bolt");
}

}  // namespace

void add_line_adjustments(const Setup& setup, AdjustmentList& list) {
  add_cable("upper", list);
  add_cable("lower", list);
  add_stop("upper", setup.cams.upper.stop, list);
  add_stop("lower", setup.cams.lower.stop, list);
  add_both_cables(list);
  add_bolts(setup, list);
}

}  // namespace nockwise::detail

namespace nockwise {

std::vector<Adjustment> adjustments(const Setup& setup) {
  detail::AdjustmentList list;
  detail::add_line_adjustments(setup, list);
  detail::add_arrow_adjustments(setup, list);
  return list.take();
}

}  // namespace nockwise
