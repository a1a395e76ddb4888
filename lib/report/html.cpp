#include "nockwise/text.hpp"
#include "nockwise/units.hpp"
#include "report/words.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>

namespace nockwise {

namespace {

using detail::distance_text;
using detail::percent_text;
using detail::tear_text;

std::string tag(const std::string& name, const std::string& content, const std::string& kind = "") {
  return "<" + name + (kind.empty() ? "" : " class=\"" + kind + "\"") + ">" + content + "</" + name + ">\n";
}

std::string list(const std::vector<std::string>& items, const std::string& kind = "") {
  std::string content;
  for (const std::string& each : items) {
    content += tag("li", html_text(each));
  }
  return items.empty() ? "" : tag("ul", content, kind);
}

std::string number(double value) {
  std::array<char, 32> text{};
  std::snprintf(text.data(), text.size(), "%.2f", value);
  return text.data();
}

/// One hole: the point's, the tear to the tail's, and the reading error around the point's. Inches on a square of
/// paper.
struct Hole {
  double up = 0.0, right = 0.0;  // [m]
  double reading_error = usual_reading_error;
  double ghost_up = 0.0, ghost_right = 0.0;  // a second tail, dashed
  bool ghost = false;
};

std::string picture(const Hole& hole, double half_width, const std::string& label) {
  constexpr double half = 60.0;  // [px]
  const double scale = half / half_width;
  const auto x = [&](double right) { return number(half + scale * right); };
  const auto y = [&](double up) { return number(half - scale * up); };
  std::string svg = R"(<svg viewBox="0 0 120 120" role="img" aria-label=")" + html_text(label) + "\">";
  svg += R"(<rect class="paper" x="0.5" y="0.5" width="119" height="119" rx="3"/>)";
  constexpr double half_inch = 0.0127;
  for (int line = 1; line * half_inch < half_width; ++line) {
    for (const double side : {line * half_inch, -line * half_inch}) {
      svg += R"(<path class="grid" d="M)" + x(side) + " 2V118M2 " + y(side) + "H118\"/>";
    }
  }
  svg += R"(<path class="axis" d="M60 2V118M2 60H118"/>)";
  svg += R"(<circle class="error" cx="60" cy="60" r=")" + number(scale * hole.reading_error) + "\"/>";
  if (hole.ghost) {
    svg += R"(<path class="ghost" d="M60 60L)" + x(hole.ghost_right) + " " + y(hole.ghost_up) + "\"/>";
  }
  svg += R"(<path class="tear" d="M60 60L)" + x(hole.right) + " " + y(hole.up) + "\"/>";
  for (int vane = 0; vane < 3; ++vane) {
    const double angle = 2.0943951 * vane + 1.5707963;
    svg += R"(<path class="vane" d="M)" + x(hole.right) + " " + y(hole.up) + "l" + number(7.0 * std::cos(angle)) + " " +
           number(-7.0 * std::sin(angle)) + "\"/>";
  }
  return svg + R"(<circle class="point" cx="60" cy="60" r="3.2"/></svg>)";
}

double picture_width(const Explanation& e) {
  double largest = 0.0127;
  for (const TearObservation& t : e.observed.tears) {
    largest = std::max({largest, std::fabs(t.up), std::fabs(t.right)});
  }
  for (const PlanStep& s : e.plan.steps) {
    largest = std::max({largest, std::fabs(s.after[Output::tear_up]), std::fabs(s.after[Output::tear_right])});
  }
  return std::min(0.127, 1.25 * largest);
}

std::string figure(const std::string& svg, const std::string& caption) {
  return tag("figure", svg + tag("figcaption", caption));
}

std::string holes(const Explanation& e, double width) {
  std::string content;
  for (std::size_t i = 0; i < e.observed.tears.size(); ++i) {
    const TearObservation& seen = e.observed.tears[i];
    Hole hole{seen.up, seen.right, seen.reading_error};
    std::string words = tag("b", html_text(seen.label)) + "seen " + tear_text(seen.up, seen.right);
    if (i < e.predicted.size()) {
      hole.ghost = true;
      hole.ghost_up = e.predicted[i].up;
      hole.ghost_right = e.predicted[i].right;
      words += "<br>explained " + tear_text(hole.ghost_up, hole.ghost_right);
    }
    const double distance = seen.distance.value_or(e.observed.setup.surroundings.paper_distance);
    content +=
        figure(picture(hole, width, tear_text(seen.up, seen.right)), words + "<br>at " + distance_text(distance));
  }
  std::vector<std::string> made;
  for (const CheckObservation& each : e.observed.checks) {
    made.push_back("Checked: " + detail::check_text(each));
  }
  return tag("h2", "Holes") + tag("div", content, "holes") + list(made, "small") +
         tag("p",
             "Dot: hole of the point. Star: where the tail went through. Circle: reading error. Dashed: the bow as "
             "explained. Grid: half inches, as the archer sees the paper.",
             "small");
}

std::string single_causes(const Explanation& e) {
  std::string rows;
  for (const Cause& c : e.causes) {
    if (detail::worth_telling(c)) {
      rows += tag("li",
                  tag("b", html_text(detail::capitalised(c.words))) + R"(<span class="bar"><i style="width:)" +
                      number(100.0 * c.probability) + R"(%"></i></span><span class="small">)" +
                      html_text(detail::weight_text(c)) + "</span>",
                  c.explains ? "" : "weak");
    }
  }
  return rows.empty() ? "" : tag("ul", rows, "causes");
}

std::string paired_causes(const Explanation& e) {
  std::string rows;
  for (const CausePair& p : e.pairs) {
    if (p.explains && p.like_first && detail::pairs_matter(e)) {
      rows += tag("li", tag("b", html_text(detail::capitalised(p.words))) + R"(<span class="bar"><i style="width:)" +
                            number(100.0 * p.probability) + R"(%"></i></span><span class="small">)" +
                            percent_text(p.probability) + " among pairs; leaves " +
                            display(p.unexplained, Quantity::length, "in", 2) + "</span>");
    }
  }
  return rows.empty() ? "" : tag("ul", rows, "causes");
}

/// The joint fit, for whoever wants it.
std::string deviations(const Explanation& e) {
  std::string rows;
  for (const Deviation& d : e.deviations) {
    rows += tag("tr", tag("td", html_text(d.adjustment.title)) + tag("td", html_text(detail::cause_text(d))) +
                          tag("td", html_text(detail::interval_text(d))));
  }
  return rows.empty()
             ? ""
             : "<details><summary>All suspected parts at once, each allowed to be a little off</summary>" +
                   tag("div",
                       tag("table",
                           tag("tr", tag("th", "part") + tag("th", "most probable") + tag("th", "90 % interval")) +
                               rows),
                       "wide") +
                   "</details>\n";
}

std::string causes(const Explanation& e) {
  const std::string single = single_causes(e);
  const std::string paired = paired_causes(e);
  if (single.empty() && paired.empty()) {
    return "";
  }
  if (e.causes.front().explains) {
    return tag("h2", "Causes, each as the only one") + single + deviations(e);
  }
  return tag("h2", "Causes") + (paired.empty() ? "" : tag("h3", "Two together") + paired) +
         tag("h3", "None of these is enough alone") + single + deviations(e);
}

/// One check, with the lines that its answer adds to the case file.
std::string check_item(const NextCheck& n, bool told = false) {
  return (told ? "Of that check:" : html_text(n.instruction)) + " <span class=\"small\">about " +
         display(n.effort, Quantity::dimensionless, "", 0) + " min; " + detail::information_text(n) + ". " +
         html_text(n.expectation) + "</span><details><summary>Lines for the case file</summary>" +
         tag("pre", html_text(detail::lines_to_paste(n))) + "</details>";
}

/// What is to be done before the first step; the next check stands under it with the lines it needs.
std::string first(const Explanation& e) {
  std::string text = list(e.plan.first, "first");
  if (!e.next_checks.empty()) {
    const NextCheck& next = e.next_checks.front();
    text +=
        tag("div", detail::told_first(e, next) ? check_item(next, true) : tag("b", "Next check:") + check_item(next));
  }
  return text.empty() ? "" : tag("h2", "What to do first") + text;
}

/// The one next thing, before all others.
std::string next(const Explanation& e) {
  const NextStep& n = e.next;
  if (n.instruction.empty()) {
    return "";
  }
  std::string text = tag("h2", "Next") + tag("p", tag("b", html_text(detail::capitalised(n.instruction)))) +
                     tag("p", html_text(detail::capitalised(n.reason)), "small");
  if (n.foretold) {
    text += tag("p", "To expect: " + html_text(detail::foretold_text(*n.foretold)) + ".");
  }
  std::string rows;
  for (const NextOutcome& each : n.outcomes) {
    rows += tag("li", tag("b", html_text(each.seen)) +
                          (each.probability > 0.0 ? " (" + percent_text(each.probability) + ")" : "") + ": " +
                          html_text(each.means));
  }
  text += rows.empty() ? "" : tag("ul", rows, "small");
  const std::string lines = detail::lines_to_paste(n);
  return text + (lines.empty() ? ""
                               : "<details><summary>Lines for the case file</summary>" + tag("pre", html_text(lines)) +
                                     "</details>");
}

/// The checks after the first.
std::string checks(const Explanation& e) {
  std::string rows;
  constexpr std::size_t most = 4;
  for (std::size_t i = 1; i < std::min(most, e.next_checks.size()); ++i) {
    rows += tag("li", check_item(e.next_checks[i]));
  }
  return rows.empty() ? "" : tag("h2", "Other checks") + tag("ol", rows);
}

std::string step_item(const PlanStep& s, double reading_error, double width) {
  Hole hole{s.after[Output::tear_up], s.after[Output::tear_right], reading_error};
  hole.ghost = true;
  hole.ghost_up = s.before[Output::tear_up];
  hole.ghost_right = s.before[Output::tear_right];
  const std::string then = tear_text(hole.up, hole.right);
  return tag("li", tag("div", tag("b", html_text(detail::capitalised(s.instruction))) + tag("p", html_text(s.reason)) +
                                  tag("p", "In case files: " + tag("code", html_text(s.adjustment.name)), "small") +
                                  (s.side_effects.empty() ? "" : tag("p", "Besides, by this step:", "small")) +
                                  list(s.side_effects, "small") + list(detail::words_of(s.cautions), "caution")) +
                       figure(picture(hole, width, then), "then " + then));
}

std::string plan(const Explanation& e, double width) {
  const Plan& p = e.plan;
  std::string text = tag("h2", detail::plan_title(e));
  if (!p.refusal.empty()) {
    text += tag("p", html_text(p.refusal), "refusal");
  }
  std::string steps;
  for (const PlanStep& s : p.steps) {
    steps += step_item(s, p.reading_error, width);
  }
  text += steps.empty() ? "" : tag("ol", steps, "plan");
  if (!p.steps.empty()) {
    text += tag("p", "Expected at the end, at " + distance_text(p.distance) + ": " +
                         tear_text(p.end[Output::tear_up], p.end[Output::tear_right]) + ", give or take " +
                         display(p.uncertainty_up, Quantity::length, "in", 2) + " vertically and " +
                         display(p.uncertainty_right, Quantity::length, "in", 2) +
                         " sideways (90 %). It ends clean with a probability of " + percent_text(p.confidence) + ". " +
                         detail::elsewhere_text(p));
  }
  text += p.sight.empty() ? "" : tag("p", html_text(p.sight));
  return text + (p.stop_rule.empty() ? "" : tag("p", html_text(p.stop_rule)));
}

/// What the setup's file leaves to the defaults.
std::string assumed(const Explanation& e) {
  std::string rows;
  for (const AssumedValue& each : e.observed.assumed) {
    rows += tag("dt", html_text(each.path)) + tag("dd", html_text(each.value));
  }
  return rows.empty() ? "" : tag("p", detail::assumed_text()) + tag("dl", rows);
}

constexpr const char* style = R"(
:root{--ink:#1d2420;--soft:#5c675f;--page:#f4f5f0;--card:#fff;--line:#d6dbd2;--tear:#a6341b;--ghost:#3a6f8f;--warn:#8a5a00}
@media(prefers-color-scheme:dark){:root{--ink:#e7ebe4;--soft:#9da79f;--page:#161a17;--card:#1f2521;--line:#39423b;--tear:#ef8a6c;--ghost:#8cc0dd;--warn:#e2b45c}}
*{box-sizing:border-box}body{margin:0;background:var(--page);color:var(--ink);font:16px/1.5 system-ui,sans-serif}
main{max-width:60rem;margin:auto;padding:1.2rem}h1{font-size:1.5rem;margin:.2rem 0}h2{font-size:1.15rem;margin:2rem 0 .6rem;border-bottom:2px solid var(--line)}
h3{font-size:1rem}.lead{font-size:1.1rem}.small{color:var(--soft);font-size:.86rem}.holes{display:flex;flex-wrap:wrap;gap:1rem}
figure{margin:0;width:11rem}figcaption{font-size:.86rem}figcaption b{display:block}svg{width:100%;display:block}
.paper{fill:var(--card);stroke:var(--line)}.grid{stroke:var(--line);stroke-width:.4}.axis{stroke:var(--line);stroke-width:.9}
.error{fill:none;stroke:var(--soft);stroke-width:.8;stroke-dasharray:2 2}.tear{stroke:var(--tear);stroke-width:3;stroke-linecap:round}
.ghost{stroke:var(--ghost);stroke-width:1.6;stroke-dasharray:3 2.4}.vane{stroke:var(--tear);stroke-width:1.6;stroke-linecap:round}.point{fill:var(--ink)}
dl{display:grid;grid-template-columns:max-content 1fr;gap:.1rem 1rem}dt{color:var(--soft)}dd{margin:0}
.causes{list-style:none;padding:0}.causes li{margin:.7rem 0}.causes .weak{opacity:.7}.bar{display:block;height:.4rem;background:var(--line);border-radius:.2rem;margin:.2rem 0}
.bar i{display:block;height:100%;background:var(--ghost);border-radius:.2rem;min-width:2px}
.plan{padding:0;list-style:none;counter-reset:step}.plan>li{counter-increment:step;background:var(--card);border:1px solid var(--line);border-radius:.5rem;padding:1rem;margin:.8rem 0;display:flex;gap:1rem;justify-content:space-between}
.plan>li>div{flex:1}.plan>li>div>b::before{content:counter(step) ". "}.plan p{margin:.3rem 0}
.caution li,.first li,.refusal{color:var(--warn)}.first li{font-weight:600}
.wide,pre{overflow-x:auto}pre{font-size:.86rem;background:var(--card);border:1px solid var(--line);border-radius:.3rem;padding:.5rem}
table{border-collapse:collapse;font-size:.86rem}td,th{text-align:left;padding:.2rem .8rem .2rem 0;border-bottom:1px solid var(--line);vertical-align:top}
summary{cursor:pointer;color:var(--soft);font-size:.9rem}figcaption{overflow-wrap:anywhere}
@media(max-width:34rem){.plan>li{flex-direction:column}main{padding:.8rem}figure{width:46%}.plan figure{width:12rem}dl{grid-template-columns:1fr}dd{margin-bottom:.4rem}}
@media print{body{background:#fff}.plan>li{break-inside:avoid}}
)";

}  // namespace

std::string explanation_html(const Explanation& e) {
  const double width = picture_width(e);
  std::string setup;
  for (const auto& [name, value] : detail::setup_rows(e.observed.setup)) {
    setup += tag("dt", html_text(name)) + tag("dd", html_text(value));
  }
  std::string body = tag("h1", "What the paper says") + tag("p", html_text(e.observed.setup.name), "small") +
                     tag("p", html_text(e.summary), "lead") + list(e.findings);
  body += holes(e, width) + next(e) + first(e) + plan(e, width) + causes(e);
  const std::string disagreement = detail::disagreement_text(e);
  body += (disagreement.empty() ? "" : tag("p", html_text(disagreement))) + checks(e);
  body += tag("h2", "Cautions") + list(detail::words_of(e.cautions)) + tag("h2", "The setup") + tag("dl", setup);
  body += tag("h2", "Assumptions") + list(e.assumptions) + assumed(e) +
          tag("p", detail::version_text() + ", " + std::to_string(e.launches) + " launches", "small");
  return "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">"
         "<meta name=\"viewport\" content=\"width=device-width,initial-scale=1\"><title>" +
         html_text(e.observed.setup.name) + ": what the paper says</title><style>" + style + "</style></head><body>" +
         tag("main", body) + "</body></html>\n";
}

}  // namespace nockwise
