#include "nockwise/report.hpp"

#include "lib/shots/tuning_bow.hpp"
#include "nockwise/error.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

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
    EXPECT_NE(html.find(step.instruction.substr(1)), std::string::npos);
  }
  EXPECT_NE(html.find("qualified technician"), std::string::npos);
}

TEST(Report, MarkdownTellsTheSame) {
  const std::string text = explanation_markdown(sample());
  for (const char* heading :
       {"## Holes", "## Causes", "## What to look at next", "## Plan", "## Cautions", "## Assumptions"}) {
    EXPECT_NE(text.find(heading), std::string::npos) << heading;
  }
  EXPECT_NE(text.find("tail-high 0.50 in, tail-left 0.30 in"), std::string::npos);
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
