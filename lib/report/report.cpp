#include "nockwise/report.hpp"

#include "nockwise/error.hpp"
#include "nockwise/files.hpp"
#include "nockwise/paper.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/units.hpp"
#include "nockwise/version.hpp"
#include "report/words.hpp"
#include "shots/adjustment_table.hpp"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>

namespace nockwise {

namespace detail {

std::string tear_text(double up, double right) {
  PaperTear tear;
  tear.up = up;
  tear.right = right;
  return describe_tear(tear, 0.00026);
}

std::string distance_text(double distance) {
  const std::string text = display(distance, Quantity::length, "ft", 1);
  const std::size_t zero = text.find(".0 ");
  return zero == std::string::npos ? text : text.substr(0, zero) + text.substr(zero + 2);
}

std::string percent_text(double fraction) {
  return fraction > 0.0 && fraction < 0.01 ? "under 1 %" : display(fraction, Quantity::percent, "%", 0);
}

std::vector<std::pair<std::string, std::string>> setup_rows(const Setup& setup) {
  return {{"bow", setup.name},
          {"provenance", setup.provenance.empty() ? "not stated" : setup.provenance},
          {"hand", setup.handedness == Handedness::right ? "right-handed" : "left-handed"},
          {"arrow", display(setup.arrow.length, Quantity::length, "in", 2) + ", spine " +
                        display(spine_from_bending_stiffness(setup.arrow.bending_stiffness), Quantity::spine, "in", 3) +
                        ", point " + display(setup.arrow.point_mass, Quantity::mass, "gr", 0)},
          {"paper", distance_text(setup.surroundings.paper_distance)}};
}

namespace {

std::string interval(const Adjustment& adjustment, double low, double high) {
  if (low < 0.0 && high > 0.0 && !written_as_nothing(describe_amount(adjustment, low)) &&
      !written_as_nothing(describe_amount(adjustment, high))) {
    return "from " + describe_amount(adjustment, low) + " one way to " + describe_amount(adjustment, high) +
           " the other";
  }
  const double least = std::min(std::fabs(low), std::fabs(high));
  const double most = std::max(std::fabs(low), std::fabs(high));
  const std::string first = describe_amount(adjustment, least);
  const std::string last = describe_amount(adjustment, most);
  if (written_as_nothing(first)) {
    return written_as_nothing(last) ? "next to nothing" : "up to " + last;
  }
  return first == last ? "about " + first : first + " to " + last;
}

}  // namespace

std::string interval_text(const Cause& cause) { return interval(cause.adjustment, cause.low, cause.high); }

std::string interval_text(const Deviation& d) { return interval(d.adjustment, d.low, d.high); }

std::string cause_text(const Deviation& d) {
  constexpr double least = 0.1;  // [steps] less is nothing that anybody would set
  return describe_cause(d.adjustment, std::fabs(d.steps) < least ? 0.0 : d.steps);
}

std::string information_text(const NextCheck& check) {
  constexpr double much = 1.0;       // [bit] halves what is possible
  constexpr double something = 0.3;  // [bit]
  return check.information >= much ? "tells much" : check.information >= something ? "tells something" : "tells little";
}

bool pairs_matter(const Explanation& e) { return e.causes.empty() || !e.causes.front().explains; }

bool told_first(const Explanation& e, const NextCheck& check) {
  return std::any_of(e.plan.first.begin(), e.plan.first.end(),
                     [&](const std::string& text) { return text.find(check.instruction) != std::string::npos; });
}

std::string plan_title(const Explanation& e) {
  return e.plan.remedy   ? "What takes this tear away (a remedy, not the cause)"
         : e.plan.rounds ? "Plan, the first of several rounds"
                         : "Plan";
}

std::string elsewhere_text(const Plan& plan) {
  std::string text;
  for (const PlannedHole& each : plan.elsewhere) {
    text += (text.empty() ? "At " : "; at ") + distance_text(each.distance) + ": " + tear_text(each.up, each.right);
  }
  return text.empty() ? "" : text + ".";
}

std::string disagreement_text(const Explanation& e) {
  const auto named = [&](const std::string& name) {
    return std::any_of(e.causes.begin(), e.causes.end(),
                       [&](const Cause& c) { return c.adjustment.name == name && worth_telling(c); }) ||
           std::any_of(e.plan.steps.begin(), e.plan.steps.end(),
                       [&](const PlanStep& s) { return s.adjustment.name == name; });
  };
  const auto grouped = [&](AdjustmentGroup group) {
    return std::any_of(e.plan.steps.begin(), e.plan.steps.end(),
                       [&](const PlanStep& s) { return s.adjustment.group == group; });
  };
  std::string what;
  const auto add = [&](bool concerned, const char* words) {
    what += concerned ? (what.empty() ? std::string() : std::string("; ")) + words : std::string();
  };
  const double seen = e.observed.tears.empty() ? 0.0 : std::fabs(e.observed.tears.front().right);
  add(grouped(AdjustmentGroup::lateral) || seen > usual_reading_error,
      "rest, shims and yokes move a tear sideways less here than most technicians feel");
  add(named("cord.attachment") || named("cord.length"), "where a drop-away's cord is tied matters otherwise");
  add(named("spine") || named("arrow.length") || named("point.mass"), "spine shows less on paper than the trade says");
  return what.empty() ? ""
                      : "Where this answer differs from what the trade would say (" + what +
                            "), lib/trade.md has the sizes and the reasons.";
}

std::string check_text(const CheckObservation& check) {
  const Quantity quantity = check_quantity(check.what);
  const std::string unit(quantity == Quantity::length ? "in" : workshop_unit(quantity));
  std::string name = check.what;
  if (find_parameter(name) == nullptr) {  // a path stays as it is written in files
    std::replace(name.begin(), name.end(), '_', ' ');
  }
  return name + " " + display(check.value, quantity, unit, 3) + " ± " + display(check.error, quantity, unit, 3);
}

std::string weight_text(const Cause& c) {
  return percent_text(c.probability) + " among single causes; 90 %: " + interval_text(c) + "; " +
         (c.implausibility < hardly_off
              ? ""
              : display(c.implausibility, Quantity::dimensionless, "", 1) + " times what is usual; ") +
         "leaves " + display(c.unexplained, Quantity::length, "in", 2) +
         (c.explains ? "" : ", more than reading errors may");
}

bool worth_telling(const Cause& c) {
  constexpr double least_probability = 0.005;
  constexpr double least_steps = 0.05;  // less is no cause of anything
  return c.explains || (c.probability >= least_probability && std::fabs(c.steps) >= least_steps);
}

std::string capitalised(std::string text) {
  if (!text.empty() && text.front() >= 'a' && text.front() <= 'z') {
    text.front() = static_cast<char>(text.front() - 'a' + 'A');
  }
  return text;
}

std::vector<std::string> words_of(const std::vector<Caution>& cautions) {
  std::vector<std::string> words;
  for (const Caution& each : cautions) {
    words.push_back(each.words);
  }
  return words;
}

std::string assumed_text() { return "Not in the setup's file, and taken from the defaults:"; }

std::string version_text() { return std::string("nockwise ") + NOCKWISE_VERSION; }

}  // namespace detail

namespace {

using nlohmann::json;

json json_of(const OutputValues& values) {
  json object;
  for (const OutputDescription& each : output_descriptions()) {
    object[each.name] = values[each.output];
  }
  return object;
}

json json_of(const Adjustment& a) {
  json parameters = json::array();
  for (const ParameterStep& each : a.parameters) {
    parameters.push_back({{"path", each.path}, {"per_step", each.per_step}});
  }
  return {{"name", a.name},
          {"title", a.title},
          {"group", name_of(a.group)},
          {"parameters", parameters},
          {"effort_minutes", a.effort},
          {"needs_press", a.needs_press},
          {"caution", a.caution ? a.caution->words : ""},
          {"limit", a.limit}};
}

json json_of(const TearObservation& t) {
  json changes = json::array();
  for (const ParameterChange& each : t.changes) {
    changes.push_back({{"path", each.path}, {"value", each.value}, {"relative", each.relative}});
  }
  return {{"up", t.up},
          {"right", t.right},
          {"reading_error", t.reading_error},
          {"label", t.label},
          {"archer", t.archer},
          {"changes", changes},
          {"after", t.after},
          {"distance", t.distance ? json(*t.distance) : json()}};
}

json json_of(const Cause& c) {
  return {{"adjustment", json_of(c.adjustment)},
          {"words", c.words},
          {"steps", c.steps},
          {"low", c.low},
          {"high", c.high},
          {"implausibility", c.implausibility},
          {"unexplained", c.unexplained},
          {"misfit", c.misfit},
          {"probability", c.probability},
          {"explains", c.explains},
          {"like_first", c.like_first}};
}

json json_of(const CausePair& p) {
  json parts = json::array();
  for (std::size_t k = 0; k < 2; ++k) {
    parts.push_back(
        {{"adjustment", p.adjustment[k].name}, {"steps", p.steps[k]}, {"low", p.low[k]}, {"high", p.high[k]}});
  }
  return {{"parts", parts},
          {"words", p.words},
          {"unexplained", p.unexplained},
          {"probability", p.probability},
          {"explains", p.explains},
          {"like_first", p.like_first}};
}

json json_of(const NextCheck& n) {
  return {{"name", n.name},
          {"instruction", n.instruction},
          {"effort_minutes", n.effort},
          {"information_bits", n.information},
          {"lines", detail::lines_to_paste(n)},
          {"merit", n.merit},
          {"expectation", n.expectation}};
}

json json_of(const PlanStep& s) {
  return {{"adjustment", json_of(s.adjustment)}, {"steps", s.steps},
          {"instruction", s.instruction},        {"reason", s.reason},
          {"before", json_of(s.before)},         {"after", json_of(s.after)},
          {"side_effects", s.side_effects},      {"cautions", detail::words_of(s.cautions)}};
}

json json_of(const Deviation& d) {
  return {{"adjustment", d.adjustment.name},
          {"title", d.adjustment.title},
          {"prior", d.prior},
          {"steps", d.steps},
          {"deviation", d.deviation},
          {"low", d.low},
          {"high", d.high}};
}

json json_of(const PlannedHole& h) { return {{"distance", h.distance}, {"up", h.up}, {"right", h.right}}; }

json json_of(const AssumedValue& a) { return {{"path", a.path}, {"value", a.value}}; }

json json_of(const CheckObservation& c) {
  return {{"what", c.what}, {"value", c.value}, {"error", c.error}, {"after", c.after}};
}

json json_of(const NextOutcome& o) { return {{"seen", o.seen}, {"means", o.means}, {"probability", o.probability}}; }

json json_of(const WorkStep& w) { return {{"adjustment", w.adjustment}, {"steps", w.steps}}; }

template <class Item>
json list_of(const std::vector<Item>& items) {
  json array = json::array();
  for (const Item& each : items) {
    array.push_back(json_of(each));
  }
  return array;
}

json json_of(const ForetoldHole& h) {
  return {{"distance", h.distance},     {"up", h.up},       {"up_low", h.up_low},
          {"up_high", h.up_high},       {"right", h.right}, {"right_low", h.right_low},
          {"right_high", h.right_high}, {"clean", h.clean}};
}

json json_of(const NextStep& n) {
  return {{"kind", name_of(n.kind)},
          {"instruction", n.instruction},
          {"reason", n.reason},
          {"effort_minutes", n.effort},
          {"work", list_of(n.work)},
          {"lines", detail::lines_to_paste(n)},
          {"foretold", n.foretold ? json_of(*n.foretold) : json()},
          {"outcomes", list_of(n.outcomes)},
          {"cautions", detail::words_of(n.cautions)}};
}

json json_of(const Plan& p) {
  return {{"remedy", p.remedy},
          {"rounds", p.rounds},
          {"possible", p.possible},
          {"confidence", p.confidence},
          {"distance", p.distance},
          {"reading_error", p.reading_error},
          {"first", p.first},
          {"steps", list_of(p.steps)},
          {"start", json_of(p.start)},
          {"end", json_of(p.end)},
          {"elsewhere", list_of(p.elsewhere)},
          {"uncertainty_up", p.uncertainty_up},
          {"uncertainty_right", p.uncertainty_right},
          {"check_first", p.check_first},
          {"sight", p.sight},
          {"stop_rule", p.stop_rule},
          {"refusal", p.refusal}};
}

}  // namespace

std::string explanation_json(const Explanation& e) {
  const json object = {{"format", 1},
                       {"version", detail::version_text()},
                       {"setup", e.observed.setup.name},
                       {"verdict", name_of(e.verdict)},
                       {"summary", e.summary},
                       {"findings", e.findings},
                       {"tears", list_of(e.observed.tears)},
                       {"checks", list_of(e.observed.checks)},
                       {"predicted", list_of(e.predicted)},
                       {"misfit", e.misfit},
                       {"deviations", list_of(e.deviations)},
                       {"causes", list_of(e.causes)},
                       {"pairs", list_of(e.pairs)},
                       {"next_checks", list_of(e.next_checks)},
                       {"next", json_of(e.next)},
                       {"plan", json_of(e.plan)},
                       {"cautions", detail::words_of(e.cautions)},
                       {"disagreement", detail::disagreement_text(e)},
                       {"assumptions", e.assumptions},
                       {"assumed", list_of(e.observed.assumed)},
                       {"launches", e.launches}};
  // In ASCII: a name may hold bytes that are no UTF-8, and characters that a terminal obeys.
  return object.dump(2, ' ', true, json::error_handler_t::replace) + "\n";
}

namespace {

using Form = std::string (*)(const Explanation&);

Form form_of(const std::filesystem::path& file) {
  const std::string extension = file.extension().string();
  if (extension == ".html") {
    return &explanation_html;
  }
  if (extension == ".md") {
    return &explanation_markdown;
  }
  if (extension == ".json") {
    return &explanation_json;
  }
  throw InputError("report", file.string(), "must end with .html, .md or .json");
}

}  // namespace

void check_report_file(const std::filesystem::path& file) {
  (void)form_of(file);
  check_writable(file);
}

void write_report(const Explanation& explanation, const std::filesystem::path& file) {
  write_text_file(file, form_of(file)(explanation));
}

}  // namespace nockwise
