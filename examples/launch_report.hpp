// The shot as a bow technician reads it: workshop units, SI beside them.
#pragma once

#include "launch_json.hpp"

#include <nockwise/setup_file.hpp>
#include <nockwise/text.hpp>
#include <nockwise/units.hpp>

#include <cmath>
#include <iomanip>
#include <ostream>
#include <string>
#include <vector>

namespace examples {

class Report {
 public:
  explicit Report(std::ostream& out) : out_(out) {}

  void heading(const std::string& text) { out_ << '\n' << text << '\n'; }
  /// One line: label, value in the workshop's unit, value in SI.
  void line(const std::string& label, double si, nockwise::Quantity quantity, const char* unit, int decimals,
            const char* si_unit, int si_decimals) {
    pad(label);
    std::string shown = nockwise::display(si, quantity, unit, decimals);
    out_ << std::setw(14) << std::right << shown << "   " << nockwise::display(si, quantity, si_unit, si_decimals)
         << '\n';
  }
  void length(const std::string& label, double si, int decimals = 2) {
    line(label, si, nockwise::Quantity::length, "in", decimals, "mm", 1);
  }
  void force(const std::string& label, double si) { line(label, si, nockwise::Quantity::force, "lbf", 1, "N", 1); }
  void text(const std::string& label, const std::string& value) {
    pad(label);
    out_ << value << '\n';
  }
  void milliseconds(const std::string& label, double seconds) {
    pad(label);
    out_ << std::setw(11) << std::right << std::fixed << std::setprecision(2) << 1e3 * seconds << " ms\n";
  }

  void length(const std::string& label, const std::optional<double>& value, int decimals) {
    if (value) {
      length(label, *value, decimals);
    } else {
      text(label, "none");
    }
  }
  void milliseconds(const std::string& label, const std::optional<double>& seconds) {
    if (seconds) {
      milliseconds(label, *seconds);
    } else {
      text(label, "never");
    }
  }

 private:
  void pad(const std::string& label) { out_ << "  " << std::setw(38) << std::left << label; }
  std::ostream& out_;
};

inline void report_bow(Report& r, const nockwise::Model& model, const nockwise::DrawCycle& d) {
  const auto brace = model.brace();
  r.heading("Brace and draw");
  r.length("brace height", brace.brace_height);
  r.length("axle to axle", brace.axle_to_axle);
  r.length("draw length (to the first stop)", d.draw_length);
  r.force("peak", d.peak_force);
  r.force("holding weight (valley)", d.holding_force);
  r.text("let-off", nockwise::display(d.let_off, nockwise::Quantity::percent, "%", 1));
  r.line("stored energy", d.stored_energy, nockwise::Quantity::energy, "ft·lbf", 1, "J", 1);
  r.length("static nock travel", d.static_nock_travel);
  r.text("stop that touches first", d.first_stop == nockwise::Side::upper ? "upper" : "lower");
  r.length("gap of the other stop then", d.late_stop_gap, 3);
}

inline void report_arrow(Report& r, const nockwise::Model& model) {
  const auto arrow = model.arrow();
  r.heading("Arrow");
  r.line("mass", arrow.mass, nockwise::Quantity::mass, "gr", 1, "g", 2);
  r.text("static spine", nockwise::display(arrow.static_spine, nockwise::Quantity::length, "in", 3));
  r.text("front of centre", nockwise::display(arrow.front_of_center, nockwise::Quantity::percent, "%", 1));
  r.text("first bending mode", nockwise::display(arrow.frequencies.front(), nockwise::Quantity::frequency, "Hz", 1));
}

inline void report_launch(Report& r, const nockwise::Launch& l) {
  r.heading("Launch");
  r.text("ended by", nockwise::name_of(l.ended_by));
  r.milliseconds("time on the string", l.exit_time);
  r.line("exit speed", l.exit_speed, nockwise::Quantity::speed, "ft/s", 1, "m/s", 2);
  r.text("efficiency", nockwise::display(l.efficiency, nockwise::Quantity::percent, "%", 1));
  r.text("peak acceleration", std::to_string(std::lround(l.peak_acceleration / 9.80665)) + " g");
  r.length("nock travel, vertical", l.nock_travel_y, 3);
  r.length("nock travel, lateral", l.nock_travel_z, 3);
  r.line("pitch at separation (nose up)", l.exit.pitch, nockwise::Quantity::angle, "deg", 3, "rad", 5);
  r.line("yaw at separation (nose right)", l.exit.yaw, nockwise::Quantity::angle, "deg", 3, "rad", 5);
  r.length("bending at separation, vertical", l.exit.bending_y, 3);
  r.length("bending at separation, lateral", l.exit.bending_z, 3);
  for (const auto& event : l.events) {
    r.milliseconds(std::string("event: ") + nockwise::name_of(event.kind), event.time);
  }
}

inline void report_rest(Report& r, const nockwise::Model& model, const nockwise::Launch& launch) {
  const nockwise::RestReport& rest = launch.rest;
  r.heading("Rest");
  const auto kind = model.setup().rest.kind;
  if (kind == nockwise::RestKind::limb_driven || kind == nockwise::RestKind::cable_driven) {
    r.milliseconds("starts to drop", rest.drop_start);
    r.milliseconds("is down", rest.drop_end);
  }
  r.milliseconds("carries the shaft until", rest.last_contact);
  r.length("closest to the shaft after that", rest.shaft_clearance, 3);
  r.length("closest to a vane", rest.fletching_clearance, 3);
  r.length("a vane's tip to the nearest cable", launch.cable_clearance, 3);
  r.text("a vane strikes the rest", rest.fletching_contact ? "yes" : "no");
}

/// `assumed` is what the setup's file does not give.
inline void print_report(std::ostream& out, const nockwise::Model& model, const Shot& shot,
                         const std::vector<nockwise::AssumedValue>& assumed) {
  const nockwise::Setup& setup = model.setup();
  Report r(out);
  out << nockwise::terminal_text(setup.name) << '\n';
  if (!setup.provenance.empty()) {
    out << nockwise::terminal_text(setup.provenance) << '\n';
  }
  report_bow(r, model, shot.draw);
  report_arrow(r, model);
  report_launch(r, shot.launch);
  report_rest(r, model, shot.launch);
  if (shot.flew) {
    r.heading("Paper at " + nockwise::display(setup.surroundings.paper_distance, nockwise::Quantity::length, "ft", 1));
    r.text("tear", nockwise::describe_tear(shot.tear));
    r.length("up (+ tail-high)", shot.tear.up, 3);
    r.length("right (+ tail-right)", shot.tear.right, 3);
    r.line("chronograph, 3 ft from the grip", shot.chronograph, nockwise::Quantity::speed, "ft/s", 1, "m/s", 2);
  }
  if (!assumed.empty()) {
    r.heading("Assumed, because the file does not say");
    for (const nockwise::AssumedValue& each : assumed) {
      r.text(each.path, each.value);
    }
  }
  if (!shot.launch.cautions.empty() || !shot.draw.cautions.empty()) {
    r.heading("Cautions");
    for (const auto& list : {shot.launch.cautions, shot.draw.cautions}) {
      for (const auto& caution : list) {
        out << "  ! " << caution.words << '\n';
      }
    }
  }
}

}  // namespace examples
