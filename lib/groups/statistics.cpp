#include "groups/statistics.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace nockwise {

namespace detail {

namespace {

constexpr std::size_t end_of = 6;  // shots

/// Sums of impacts, from which an end can be taken out again.
struct Sums {
  double count = 0.0, up = 0.0, right = 0.0, up_up = 0.0, right_right = 0.0, up_right = 0.0;
  void add(double u, double r, double times = 1.0) {
    count += times;
    up += times * u;
    right += times * r;
    up_up += times * u * u;
    right_right += times * r * r;
    up_right += times * u * r;
  }
  /// Mean of the variances of both axes.
  [[nodiscard]] double variance() const {
    return 0.5 * (up_up - up * up / count + right_right - right * right / count) / (count - 1.0);
  }
};

Sums sums_of(const Group& group) {
  Sums sums;
  for (std::size_t i = 0; i < group.up.size(); ++i) {
    sums.add(group.up[i], group.right[i]);
  }
  return sums;
}

/// The sums without each end of six in turn.
std::vector<Sums> without_ends(const Group& group) {
  std::vector<Sums> all;
  const Sums whole = sums_of(group);
  for (std::size_t first = 0; first + end_of <= group.up.size(); first += end_of) {
    Sums rest = whole;
    for (std::size_t i = first; i < first + end_of; ++i) {
      rest.add(group.up[i], group.right[i], -1.0);
    }
    all.push_back(rest);
  }
  return all;
}

/// Standard error of an estimate by its values without each block (Quenouille, Tukey).
double jackknife(const std::vector<double>& values) {
  const auto count = static_cast<double>(values.size());
  double mean = 0.0;
  for (const double each : values) {
    mean += each / count;
  }
  double square = 0.0;
  for (const double each : values) {
    square += (each - mean) * (each - mean);
  }
  return std::sqrt(square * (count - 1.0) / count);
}

void fill_ends(Group& group) {
  double up = 0.0;
  double right = 0.0;
  double spread = 0.0;
  double ends = 0.0;
  for (std::size_t first = 0; first + end_of <= group.up.size(); first += end_of) {
    const auto range = [&](const std::vector<double>& values) {
      const auto begin = values.begin() + static_cast<std::ptrdiff_t>(first);
      const auto [low, high] = std::minmax_element(begin, begin + end_of);
      return *high - *low;
    };
    up += range(group.up);
    right += range(group.right);
    double largest = 0.0;
    for (std::size_t i = first; i < first + end_of; ++i) {
      for (std::size_t k = first; k < i; ++k) {
        largest = std::max(largest, std::hypot(group.up[i] - group.up[k], group.right[i] - group.right[k]));
      }
    }
    spread += largest;
    ends += 1.0;
  }
  if (ends > 0.0) {
    group.width_of_six_up = up / ends;
    group.width_of_six_right = right / ends;
    group.spread_of_six = spread / ends;
  }
}

void fill_score(Group& group, double face, double arrow_diameter) {
  double sum = 0.0;
  double square = 0.0;
  const auto count = static_cast<double>(group.up.size());
  for (std::size_t i = 0; i < group.up.size(); ++i) {
    const double score = ring_score(std::hypot(group.up[i], group.right[i]), face, arrow_diameter);
    sum += score;
    square += score * score;
  }
  const double mean = sum / count;
  group.score = mean;
  group.score_error = std::sqrt(std::max(0.0, square / count - mean * mean) / (count - 1.0));
}

/// How far the arrow that flies off most lies from the middle of the others, in standard deviations of one arrow.
struct Flier {
  int arrow = -1;
  double off = 0.0;
};
Flier flier_of(const Group& group) {
  const int arrows = group.arrow.empty() ? 0 : 1 + *std::max_element(group.arrow.begin(), group.arrow.end());
  std::vector<Sums> of(static_cast<std::size_t>(arrows));
  for (std::size_t i = 0; i < group.up.size(); ++i) {
    of[static_cast<std::size_t>(group.arrow[i])].add(group.up[i], group.right[i]);
  }
  double within = 0.0;
  double counted = 0.0;
  Sums all = sums_of(group);
  for (const Sums& each : of) {
    if (each.count > 1.0) {
      within += each.variance() * (each.count - 1.0);
      counted += each.count - 1.0;
    }
  }
  Flier flier;
  if (arrows < 3 || counted < 6.0) {
    return flier;
  }
  const double deviation = std::sqrt(within / counted);
  for (int a = 0; a < arrows; ++a) {
    const Sums& own = of[static_cast<std::size_t>(a)];
    const double others = all.count - own.count;
    if (own.count < 2.0 || others < 2.0) {
      continue;
    }
    const double up = own.up / own.count - (all.up - own.up) / others;
    const double right = own.right / own.count - (all.right - own.right) / others;
    const double off = std::hypot(up, right) / std::max(deviation, 1e-12);
    if (off > flier.off) {
      flier = {a, off};
    }
  }
  return flier;
}

/// Sarle's coefficient along the longest direction: 1/3 of a normal distribution, 5/9 of an even one, 1 of two points.
double bimodality(const Group& group) {
  const double c = std::cos(group.angle);
  const double s = std::sin(group.angle);
  double second = 0.0;
  double third = 0.0;
  double fourth = 0.0;
  for (std::size_t i = 0; i < group.up.size(); ++i) {
    const double along = c * (group.right[i] - group.mean_right) + s * (group.up[i] - group.mean_up);
    second += along * along;
    third += along * along * along;
    fourth += along * along * along * along;
  }
  const auto count = static_cast<double>(group.up.size());
  second /= count;
  const double skew = third / count / std::pow(second, 1.5);
  const double kurtosis = fourth / count / (second * second);
  return second > 0.0 ? (skew * skew + 1.0) / kurtosis : 0.0;
}

}  // namespace

void fill_statistics(Group& group, std::optional<double> face, double arrow_diameter) {
  const Sums sums = sums_of(group);
  const double freedom = sums.count - 1.0;
  group.mean_up = sums.up / sums.count;
  group.mean_right = sums.right / sums.count;
  double up = 0.0;
  double right = 0.0;
  double both = 0.0;
  double radius = 0.0;
  for (std::size_t i = 0; i < group.up.size(); ++i) {
    const double u = group.up[i] - group.mean_up;
    const double r = group.right[i] - group.mean_right;
    up += u * u / freedom;
    right += r * r / freedom;
    both += u * r / freedom;
    radius += std::hypot(u, r) / sums.count;
  }
  group.deviation_up = std::sqrt(up);
  group.deviation_right = std::sqrt(right);
  group.mean_radius = radius;
  const double middle = 0.5 * (up + right);
  const double apart = std::hypot(0.5 * (right - up), both);
  group.major = std::sqrt(middle + apart);
  group.minor = std::sqrt(std::max(0.0, middle - apart));
  group.angle = 0.5 * std::atan2(2.0 * both, right - up);
  fill_ends(group);
  std::vector<double> sizes;
  for (const Sums& rest : without_ends(group)) {
    if (rest.count > 2.0) {
      sizes.push_back(std::sqrt(std::max(0.0, rest.variance())));
    }
  }
  const double size = size_of(group);
  group.relative_error = sizes.size() > 1 && size > 0.0 ? jackknife(sizes) / size : 0.0;
  if (face) {
    fill_score(group, *face, arrow_diameter);
  }
}

double size_of(const Group& group) {
  return std::sqrt(0.5 * (group.deviation_up * group.deviation_up + group.deviation_right * group.deviation_right));
}

Gain gain_of(const Group& from, const Group& to) {
  Gain gain;
  const double before = size_of(from);
  if (!(before > 0.0)) {
    return gain;
  }
  gain.value = 1.0 - size_of(to) / before;
  const std::vector<Sums> a = without_ends(from);
  const std::vector<Sums> b = without_ends(to);
  std::vector<double> values;
  for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i) {
    values.push_back(1.0 - std::sqrt(std::max(0.0, b[i].variance()) / a[i].variance()));
  }
  gain.error = values.size() > 1 ? jackknife(values) : 0.0;
  return gain;
}

std::string pattern_of(const Group& group) {
  constexpr double long_one = 1.5;    // longest over shortest direction
  constexpr double upright = 0.4;     // of a right angle
  constexpr double stands_off = 3.0;  // standard deviations
  constexpr double two = 0.62;        // of Sarle's coefficient
  if (!(group.major > 0.0)) {
    return "one hole";
  }
  std::string words;
  const double from_level = std::fabs(group.angle) / (0.5 * std::numbers::pi);
  if (group.major < long_one * group.minor) {
    words = "all over, round";
  } else if (from_level < upright) {
    words = "level and wide";
  } else if (from_level > 1.0 - upright) {
    words = "tall";
  } else {
    words = group.angle > 0.0 ? "slanting, low left to high right" : "slanting, high left to low right";
  }
  const Flier flier = flier_of(group);
  if (flier.off > stands_off) {
    words += "; arrow " + std::to_string(flier.arrow + 1) + " always out";
  } else if (group.up.size() >= 60 && bimodality(group) > two) {
    words += "; two clusters";
  }
  if (!group.forgiveness.sources.empty()) {
    words += ", mostly from " + group.forgiveness.sources.front().title;
  }
  return words;
}

}  // namespace detail

int ring_score(double distance, double face, double arrow_diameter) noexcept {
  // A line touched counts as the ring inside it.
  const double rings = std::ceil(std::max(0.0, distance - 0.5 * arrow_diameter) / (0.05 * face));
  return static_cast<int>(std::clamp(11.0 - rings, 0.0, 10.0));
}

}  // namespace nockwise
