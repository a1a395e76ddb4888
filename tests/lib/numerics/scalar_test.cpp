#include "numerics/scalar.hpp"

#include "numerics/pack.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

namespace nockwise::kernel {
namespace {

struct Here {};
using Two = Pack<2, Here>;

/// Distance of two numbers in units of the last place of 1.
double ulps(double a, double b) { return std::fabs(a - b) / std::numeric_limits<double>::epsilon(); }

/// The C library's long double functions are the reference.
TEST(Scalar, SineAndCosineAreGoodToAnUlp) {
  std::mt19937_64 random(20260101);
  std::uniform_real_distribution<double> angle(-20.0, 20.0);
  for (int i = 0; i < 200000; ++i) {
    const double x = i < 100 ? 0.5 * std::acos(-1.0) * (i - 50) + 1e-3 * (i % 3 - 1) : angle(random);
    double sine = 0.0;
    double cosine = 0.0;
    sine_cosine(x, sine, cosine);
    EXPECT_LE(ulps(sine, static_cast<double>(sinl(x))), 1.0) << x;
    EXPECT_LE(ulps(cosine, static_cast<double>(cosl(x))), 1.0) << x;
    double mirrored_sine = 0.0;
    double mirrored_cosine = 0.0;
    sine_cosine(-x, mirrored_sine, mirrored_cosine);
    EXPECT_EQ(mirrored_sine, -sine) << x;
    EXPECT_EQ(mirrored_cosine, cosine) << x;
  }
}

TEST(Scalar, APackDoesToEachLaneWhatIsDoneToOneNumber) {
  std::mt19937_64 random(7);
  std::uniform_real_distribution<double> number(-6.0, 6.0);
  for (int i = 0; i < 2000; ++i) {
    const double a[2] = {number(random), number(random)};
    const double b[2] = {number(random), number(random)};
    Two pa(0.0);
    Two pb(0.0);
    for (int l = 0; l < 2; ++l) {
      pa.set(l, a[l]);
      pb.set(l, b[l]);
    }
    Two sine(0.0);
    Two cosine(0.0);
    sine_cosine(pa, sine, cosine);
    for (int l = 0; l < 2; ++l) {
      double s = 0.0;
      double c = 0.0;
      sine_cosine(a[l], s, c);
      EXPECT_EQ(sine[l], s);
      EXPECT_EQ(cosine[l], c);
      EXPECT_EQ((pa + pb)[l], a[l] + b[l]);
      EXPECT_EQ((pa - pb)[l], a[l] - b[l]);
      EXPECT_EQ((pa * pb)[l], a[l] * b[l]);
      EXPECT_EQ((pa / pb)[l], a[l] / b[l]);
      EXPECT_EQ(maximum(pa, pb)[l], maximum(a[l], b[l]));
      EXPECT_EQ(minimum(pa, pb)[l], minimum(a[l], b[l]));
      EXPECT_EQ(square_root(pa * pa)[l], std::fabs(a[l]));
      EXPECT_EQ(whole_part(pa * pa)[l], whole_part(a[l] * a[l]));
      EXPECT_EQ(select(pa > pb, pa, pb)[l], select(a[l] > b[l], a[l], b[l]));
    }
  }
}

}  // namespace
}  // namespace nockwise::kernel
