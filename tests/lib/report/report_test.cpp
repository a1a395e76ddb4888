#include "nockwise/report.hpp"

#include "lib/shots/tuning_bow.hpp"
#include "nockwise/error.hpp"
#include "nockwise/text.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cstdio>
#include <fstream>
#include <iterator>

namespace nockwise {
namespace {

const Explanation& sample() {
  static const Explanation explanation = [] {
    Case observed;
    observed.setup = tuning_bow();
    observed.setup.name = "A & B <bow>";
    observed.tears.push_back({.up = 0.0127, .right = -0.00762});
    return explain(observed);
  }();
  return explanation;
}

TEST(Report, JsonHoldsEverything) {
  const auto json = nlohmann::json::parse(explanation_json(sample()));
  EXPECT_EQ(json.at("verdict"), "explained");
  EXPECT_EQ(json.at("causes").size(), sample().causes.size());
  EXPECT_EQ(json.at("plan").at("steps").size(), sample().plan.steps.size());
  EXPECT_TRUE(json.at("plan").at("start").at("impact_up").is_number());
  EXPECT_EQ(json.at("plan").at("sight"), sample().plan.sight);
  EXPECT_EQ(json.at("next_checks").size(), sample().next_checks.size());
  EXPECT_DOUBLE_EQ(json.at("tears").at(0).at("up").get<double>(), 0.0127);
}

TEST(Report, HtmlStandsAlone) {
  const std::string html = explanation_html(sample());
  EXPECT_NE(html.find("A &amp; B &lt;bow&gt;"), std::string::npos);
  for (const char* outside : {"http:", "https:", "src=", "<script", "@import", "url("}) {
    EXPECT_EQ(html.find(outside), std::string::npos) << outside;
  }
  EXPECT_NE(html.find("<svg"), std::string::npos);
  for (const PlanStep& step : sample().plan.steps) {
    EXPECT_NE(html.find(html_text(step.instruction.substr(1))), std::string::npos);
  }
  EXPECT_NE(html.find("qualified technician"), std::string::npos);
}

TEST(Report, LinksToWhereTheTradeDisagreesAndGivesTheLinesToPaste) {
  const std::string html = explanation_html(sample());
  EXPECT_NE(html.find("lib/trade.md"), std::string::npos);  // it tears to the side
  EXPECT_NE(html.find("Lines for the case file"), std::string::npos);
  EXPECT_EQ(html.find(" bit"), std::string::npos);
  EXPECT_LT(html.find("What to do first"), html.find("<h2>Plan"));
  EXPECT_LT(html.find("<h2>Plan"), html.find("<h2>Causes"));
  for (const PlanStep& step : sample().plan.steps) {
    EXPECT_NE(html.find(step.adjustment.name), std::string::npos);  // the name that case files have for it
  }
}

TEST(Report, MarkdownTellsTheSame) {
  const std::string text = explanation_markdown(sample());
  for (const char* heading : {"## Holes", "## Causes", "## What to do first", "## Plan", "## Other checks",
                              "## Cautions", "## Assumptions"}) {
    EXPECT_NE(text.find(heading), std::string::npos) << heading;
  }
  EXPECT_NE(text.find("tail-high 0.50 in, tail-left 0.30 in"), std::string::npos);
}

/// What a file could put into a report: each must come out as words.
const char* const hostile_names[] = {"x\n\n# Heading\n\n- [link](javascript:alert(1))",
                                     "<script>alert(1)</script>",
                                     "a | b |\n|---|---|\n| c",
                                     "\x1b[2J\x1b]0;title\x07",
                                     "\u009b31m\u202ebackwards",
                                     "\" onload=\"x",
                                     "```\n~~~",
                                     "![](http://x/y.png)",
                                     "bytes \xff\xfe that are no UTF-8"};

Explanation with_names(const std::string& name) {
  Explanation e = sample();
  e.observed.setup.name = e.observed.setup.provenance = name;
  e.observed.tears.front().label = name;
  e.findings.push_back("The hole of " + name + " does not fit.");
  e.observed.assumed.push_back({"arrow.nodes", name});
  return e;
}

long count(const std::string& text, const std::string& part) {
  long found = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) {
    ++found;
  }
  return found;
}

bool has_controls(const std::string& text) {
  return std::any_of(text.begin(), text.end(), [](char c) { return (c >= 0 && c < 0x20 && c != '\n') || c == 0x7F; }) ||
         text.find("\u009b") != std::string::npos || text.find("\u202e") != std::string::npos;
}

TEST(Report, MarkdownIsNotTheFiles) {
  const std::string plain = explanation_markdown(with_names("plain"));
  for (const std::string name : hostile_names) {
    const std::string text = explanation_markdown(with_names(name));
    for (const char* mark : {"\n#", "\n", "<", "```", "\n|", "~~"}) {
      EXPECT_EQ(count(text, mark), count(plain, mark)) << name << " brings " << mark;
    }
    EXPECT_EQ(count(text, "]("), count(text, "\\](")) << name << " brings a link";
    EXPECT_FALSE(has_controls(text)) << name;
  }
}

TEST(Report, HtmlIsNotTheFiles) {
  const std::string plain = explanation_html(with_names("plain"));
  for (const std::string name : hostile_names) {
    const std::string text = explanation_html(with_names(name));
    for (const char* mark : {"<", ">", "\"", "\n"}) {
      EXPECT_EQ(count(text, mark), count(plain, mark)) << name << " brings " << mark;
    }
    EXPECT_FALSE(has_controls(text)) << name;
  }
}

TEST(Report, JsonIsAsciiAndHoldsTheNames) {
  for (const std::string name : hostile_names) {
    const std::string text = explanation_json(with_names(name));
    EXPECT_FALSE(has_controls(text)) << name;
    EXPECT_TRUE(std::all_of(text.begin(), text.end(), [](char c) { return c >= 0; })) << name;
    const std::string read = nlohmann::json::parse(text).at("setup");
    EXPECT_TRUE(read == name || name.find('\xff') != std::string::npos) << name;
  }
}

TEST(Report, TellsWhatWasAssumed) {
  const Explanation e = with_names("28 lines");
  EXPECT_NE(explanation_markdown(e).find("- arrow.nodes: 28 lines"), std::string::npos);
  EXPECT_NE(explanation_html(e).find("<dt>arrow.nodes</dt>\n<dd>28 lines</dd>"), std::string::npos);
  const auto json = nlohmann::json::parse(explanation_json(e));
  EXPECT_EQ(json.at("assumed").at(0).at("path"), "arrow.nodes");
}

TEST(Report, FilesAreLookedAtBefore) {
  EXPECT_NO_THROW(check_report_file(testing::TempDir() + "nockwise_report.html"));
  EXPECT_THROW(check_report_file("report.pdf"), InputError);
  EXPECT_THROW(check_report_file(""), InputError);
  EXPECT_THROW(check_report_file("/nowhere/at/all/report.md"), Error);
}

TEST(Report, WritesByExtension) {
  const std::string path = testing::TempDir() + "nockwise_report.md";
  write_report(sample(), path);
  std::ifstream file(path);
  EXPECT_EQ(std::string(std::istreambuf_iterator<char>(file), {}), explanation_markdown(sample()));
  std::remove(path.c_str());
  EXPECT_THROW(write_report(sample(), "report.pdf"), InputError);
  EXPECT_THROW(write_report(sample(), "/nowhere/at/all/report.md"), Error);
}

TEST(Report, RefusalsCanBePrinted) {
  Case observed;
  observed.setup = tuning_bow();
  const Explanation e = explain(observed);
  EXPECT_NE(explanation_html(e).find("No tear was given"), std::string::npos);
  EXPECT_NE(explanation_markdown(e).find("No tear was given"), std::string::npos);
  EXPECT_EQ(nlohmann::json::parse(explanation_json(e)).at("verdict"), "useless");
}

}  // namespace
}  // namespace nockwise
