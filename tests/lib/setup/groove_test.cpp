#include "nockwise/groove.hpp"

#include "nockwise/error.hpp"
#include "nockwise/files.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <filesystem>
#include <numbers>
#include <optional>
#include <random>
#include <string>

namespace nockwise {
namespace {

constexpr double pi = std::numbers::pi;

/// p of the ellipse that the points below lie on, the textbook support function √(a² cos² φ + b² sin² φ).
double ellipse(double angle) { return std::hypot(0.05 * std::cos(angle), 0.03 * std::sin(angle)); }

std::string row(double x, double y) {
  std::string text(80, '\0');
  const int length = std::snprintf(text.data(), text.size(), "%.4f, %.4f\n", 1e3 * x, 1e3 * y);
  text.resize(static_cast<std::size_t>(length));
  return text;
}

/// `count` points of an ellipse, in file order round the axle, line 2 and on.
std::string ellipse_csv(int count, double noise = 0.0) {
  std::mt19937 random(11);
  std::normal_distribution<double> scatter(0.0, 1.0);
  std::string csv = "x [mm], y [mm]\n";
  for (int i = 0; i < count; ++i) {
    const double t = 2.0 * pi * (i + 0.3) / count;
    const double x = 0.05 * std::cos(t) + noise * scatter(random);
    const double y = 0.03 * std::sin(t) + noise * scatter(random);
    csv += row(x, y);
  }
  return csv;
}

class GrooveFile : public testing::Test {
 protected:
  GrooveTrack read(const std::string& csv, const std::string& unit = "") {
    write_text_file(file_, csv);
    return read_groove(file_, unit);
  }
  std::optional<InputError> refusal(const std::string& csv, const std::string& unit = "") {
    try {
      (void)read(csv, unit);
    } catch (const InputError& error) {
      return error;
    }
    return std::nullopt;
  }
  void TearDown() override { std::filesystem::remove(file_); }

  // A name of its own for each test: tests run side by side.
  std::filesystem::path file_ =
      std::filesystem::temp_directory_path() /
      (std::string("nockwise_groove_") + testing::UnitTest::GetInstance()->current_test_info()->name() + ".csv");
};

TEST(GrooveCsv, ColumnsAreFoundByTheirHeadings) {
  const GrooveTrack groove =
      parse_groove("# scanned 3 May\n\nnumber; y [in]; x [mm]; remark\r\n1; 1; 25.4; a\n2; -0.5; +3e1; b\n");
  ASSERT_EQ(groove.points.size(), 2U);
  EXPECT_NEAR(groove.points[0][0], 0.0254, 1e-15);
  EXPECT_NEAR(groove.points[0][1], 0.0254, 1e-15);
  EXPECT_NEAR(groove.points[1][0], 0.03, 1e-15);
  EXPECT_NEAR(groove.points[1][1], -0.0127, 1e-15);
  EXPECT_EQ(parse_groove("x,y\n1,2\n", "g", "mm"), parse_groove("1\t2\n", "g", "mm"));
}

TEST(GrooveCsv, MistakesAreToldWithLineAndColumn) {
  const auto refusal = [](const std::string& csv, const std::string& unit = "") {
    try {
      (void)parse_groove(csv, "cam.csv", unit);
    } catch (const InputError& error) {
      return std::string(error.what());
    }
    return std::string("none");
  };
  EXPECT_EQ(refusal("x [mm], y [mm]\n1, 2\n3, two\n").find("cam.csv:3:4: points[1][1] = \"two\": must be a number"), 0U)
      << refusal("x [mm], y [mm]\n1, 2\n3, two\n");
  EXPECT_EQ(refusal("x [mm]; y [mm]\n12,5; 3\n").find("cam.csv:2:1: points[0][0] = \"12,5\""), 0U);
  EXPECT_EQ(refusal("x [mm], y [mm]\n12,5,3,2\n").find("cam.csv:2:6: points[0] = \"3\""), 0U);
  EXPECT_EQ(refusal("x [mm], y [mm]\n1, 2\n3\n").find("cam.csv:3:1: points[1][1]"), 0U);
  EXPECT_EQ(refusal("x [mm], y [furlong]\n1, 2\n").find("cam.csv:1:9: unit = \"furlong\""), 0U);
  EXPECT_EQ(refusal("1, 2\n").find("cam.csv:1:1: points"), 0U);
  EXPECT_EQ(refusal("x [mm], z [mm]\n1, 2\n").find("cam.csv:1:1: points"), 0U);
  EXPECT_EQ(refusal("# nothing\n").find("cam.csv:1:1: points"), 0U);
  EXPECT_EQ(refusal("x [mm], y [mm]\nnan, 2\n").find("cam.csv:2:1: points[0][0] = \"nan\""), 0U);
}

TEST_F(GrooveFile, PointsWithScatterAreFittedWithinIt) {
  const GrooveTrack groove = read(ellipse_csv(120, 5e-5));
  const GrooveFit fit = fit_groove(groove);
  // 0.05 mm in x and y is 0.05 mm across the groove; a fit follows a little of it.
  EXPECT_GT(fit.scatter, 2e-5);
  EXPECT_LT(fit.scatter, 6e-5);
  EXPECT_LT(fit.farthest, 3e-4);
  EXPECT_GE(fit.farthest, fit.scatter);
  EXPECT_EQ(fit.points_in_hollows, 0U);
  EXPECT_EQ(fit.spline, spline_from_groove(groove));
  const CompiledTrack track(fit.spline);
  for (double angle = 0.0; angle < 2.0 * pi; angle += 0.1) {
    EXPECT_NEAR(track.evaluate(angle).distance, ellipse(angle), 1e-4) << angle;
  }
}

TEST_F(GrooveFile, FewGoodPointsAreEnough) {
  const GrooveFit fit = fit_groove(read(ellipse_csv(24)));
  EXPECT_LT(fit.farthest, 2e-4);
  const CompiledTrack track(fit.spline);
  EXPECT_NEAR(track.evaluate(0.9).distance, ellipse(0.9), 1e-4);
}

TEST_F(GrooveFile, NotchIsSpannedAndTold) {
  std::string csv = "x [mm], y [mm]\n";
  for (int i = 0; i < 180; ++i) {
    const double t = 2.0 * pi * i / 180;
    const double in_notch = (t - pi / 3.0) / (pi / 6.0);
    const double depth = in_notch > 0.0 && in_notch < 1.0 ? 0.003 * std::sin(pi * in_notch) : 0.0;
    csv += row((0.04 - depth) * std::cos(t), (0.04 - depth) * std::sin(t));
  }
  const GrooveFit fit = fit_groove(read(csv));
  EXPECT_GE(fit.points_in_hollows, 8U);
  EXPECT_LE(fit.points_in_hollows, 14U);
  // The chord over 30° of the circle lies R (1 − cos 15°) = 1.36 mm inside it, the bottom of the notch 3 mm.
  EXPECT_NEAR(fit.deepest, 0.003 - 0.04 * (1.0 - std::cos(pi / 12.0)), 3e-4);
  EXPECT_NEAR(static_cast<double>(fit.deepest_point), 37.5, 0.6);  // 75°, between two points
  EXPECT_LT(fit.scatter, 1e-4);
}

TEST_F(GrooveFile, TooFewPointsAreRefused) {
  const auto error = refusal("x [mm], y [mm]\n30, 0\n0, 30\n-30, 0\n0, -30\n");
  ASSERT_TRUE(error);
  EXPECT_EQ(error->path(), "points");
  EXPECT_EQ(error->line(), 5);
  EXPECT_NE(error->allowed().find("at least 8 points"), std::string::npos);
}

TEST_F(GrooveFile, WideGapIsRefusedWithItsLine) {
  std::string csv = "x [mm], y [mm]\n";
  for (int i = 0; i < 30; ++i) {  // 0° to 270°, then nothing
    const double t = 1.5 * pi * i / 29;
    csv += row(0.04 * std::cos(t), 0.04 * std::sin(t));
  }
  const auto error = refusal(csv);
  ASSERT_TRUE(error);
  EXPECT_EQ(error->line(), 31);
  EXPECT_NE(error->allowed().find("90"), std::string::npos) << error->what();
}

TEST_F(GrooveFile, PointThatStandsOutIsRefusedWithItsLine) {
  std::string csv = "x [mm], y [mm]\n";
  for (int i = 0; i < 60; ++i) {
    const double t = 2.0 * pi * i / 60;
    const double radius = i == 17 ? 0.042 : 0.04;  // 2 mm out
    csv += row(0.012 + radius * std::cos(t), radius * std::sin(t));
  }
  const auto error = refusal(csv);
  ASSERT_TRUE(error);
  EXPECT_EQ(error->line(), 19);
  EXPECT_EQ(error->path(), "points[17]");
  EXPECT_NE(error->allowed().find("stands out by"), std::string::npos);
}

TEST_F(GrooveFile, PointsOfFewOrOfACornerThatFitTogetherStay) {
  EXPECT_FALSE(refusal(ellipse_csv(16)));
  EXPECT_FALSE(refusal(ellipse_csv(120, 5e-5)));
}

}  // namespace
}  // namespace nockwise
