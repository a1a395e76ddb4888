// The calibration for people.

#include "nockwise/calibration.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/text.hpp"
#include "nockwise/units.hpp"

#include <cmath>

namespace nockwise {

namespace {

Quantity quantity_of(const std::string& what) {
  if (what.rfind("draw force", 0) == 0) {
    return Quantity::force;
  }
  return what == "tear_up" || what == "tear_right" ? Quantity::length : check_quantity(what);
}

std::string signed_text(double value, Quantity quantity, const std::string& unit, int decimals) {
  return (value < 0.0 ? "−" : "+") + display(std::fabs(value), quantity, unit, decimals);
}

/// "+0.021 rad ± 0.004 rad", in the unit that the parameter's file has.
std::string change_text(const CalibratedParameter& fitted) {
  const Parameter& p = parameter(fitted.parameter.paths.front());
  return signed_text(fitted.change, p.quantity, p.unit, 3) + " ± " + display(fitted.deviation, p.quantity, p.unit, 3);
}

}  // namespace

std::string calibration_markdown(const Calibration& c, const std::vector<AssumedValue>& assumed) {
  std::string text = "# Calibration of " + markdown_text(c.setup.name) + "\n\n## What was fitted\n\n" +
                     "| parameter | change, ± one standard deviation | determined |\n|---|---|---|\n";
  for (const CalibratedParameter& each : c.parameters) {
    text += "| " + markdown_text(each.parameter.title) + " | " + change_text(each) + " | " +
            (each.at_bound     ? "at its bound"
             : each.determined ? "yes"
                               : "no") +
            " |\n";
  }
  text += "\n## Measurements\n\n| what | measured | calibrated bow | off, in errors |\n|---|---|---|---|\n";
  for (const CalibrationResidual& each : c.residuals) {
    const Quantity quantity = quantity_of(each.what);
    const std::string unit(quantity == Quantity::length ? "in" : workshop_unit(quantity));
    text += "| " + markdown_text(each.what) + " | " + display(each.measured, quantity, unit, 2) + " | " +
            display(each.computed, quantity, unit, 2) + " | " +
            signed_text((each.computed - each.measured) / each.error, Quantity::dimensionless, "", 1) + " |\n";
  }
  text += "\nMean square of the residuals: " + display(c.misfit, Quantity::dimensionless, "", 2) +
          " (about 1 or less in a good fit).\n\n";
  for (const std::string& each : c.findings) {
    text += "- " + markdown_text(each) + "\n";
  }
  if (!assumed.empty()) {
    text += "\n## Assumed\n\nNot in the setup's file, and taken from the defaults:\n\n";
  }
  for (const AssumedValue& each : assumed) {
    text += "- " + markdown_text(each.path) + ": " + markdown_text(each.value) + "\n";
  }
  return text;
}

}  // namespace nockwise
