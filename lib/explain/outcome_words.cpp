#include "explain/outcome_words.hpp"

#include "causes/words.hpp"
#include "nockwise/paper.hpp"
#include "nockwise/units.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

namespace nockwise::detail {

namespace {

constexpr const char* look_at_entries =
    "the setup is not this bow: check peak weight, brace height, the arrow's mass and its speed before anything else "
    "is turned";

std::string share_words(double fraction) { return display(fraction, Quantity::percent, "%", 0); }

std::string hole_words(double up, double right) {
  PaperTear tear;
  tear.up = up;
  tear.right = right;
  return describe_tear(tear, 0.0005);
}

/// Explanations that would show the same.
struct LookAlikes {
  std::vector<const Outlook::Group*> groups;  // likeliest first
  double weight = 0.0;
};

/// \param apart readings nearer than that look the same
std::vector<LookAlikes> look_alikes(const Outlook& outlook, const std::vector<double>& apart) {
  std::vector<LookAlikes> all;
  for (const Outlook::Group& group : outlook.groups()) {
    const auto near = [&](const LookAlikes& other) {
      for (std::size_t r = 0; r < apart.size(); ++r) {
        if (std::fabs(group.mean[r] - other.groups.front()->mean[r]) > apart[r]) {
          return false;
        }
      }
      return true;
    };
    const auto same = std::find_if(all.begin(), all.end(), near);
    LookAlikes& alike = same == all.end() ? all.emplace_back() : *same;
    alike.groups.push_back(&group);
    alike.weight += group.weight;
  }
  std::stable_sort(all.begin(), all.end(),
                   [](const LookAlikes& a, const LookAlikes& b) { return a.weight > b.weight; });
  return all;
}

}  // namespace

void OutcomeTeller::hole(const Outlook& outlook, const std::string& unchanged, NextStep& next) const {
  if (outlook.groups().empty()) {
    return;
  }
  const TearObservation& first = e_.observed.tears.front();
  const double limit = first.reading_error;
  const std::array<double, 2> reach{limit, limit};
  ForetoldHole hole;
  hole.distance =
      next.tears.front().distance.value_or(first.distance.value_or(e_.observed.setup.surroundings.paper_distance));
  hole.up = outlook.mean(0);
  hole.up_low = outlook.quantile(0, 0.05);
  hole.up_high = outlook.quantile(0, 0.95);
  hole.right = outlook.mean(1);
  hole.right_low = outlook.quantile(1, 0.05);
  hole.right_high = outlook.quantile(1, 0.95);
  hole.clean = outlook.within(std::array{0.0, 0.0}, reach);
  next.foretold = hole;
  const bool work = next.kind == NextKind::adjustment;
  if (work) {
    next.outcomes.push_back({"a clean hole, within " + display(limit, Quantity::length, "in", 3),
                             "three in a row, and the work is done", hole.clean});
  }
  const auto words = [](const std::vector<double>& low, const std::vector<double>& high) {
    return low == high ? "about " + hole_words(low[0], low[1])
                       : range_words(low[0], high[0], "tail-high", "tail-low") + " and " +
                             range_words(low[1], high[1], "tail-right", "tail-left");
  };
  const Span told = groups(outlook, {limit, limit}, words, next);
  const std::array<double, 2> start{first.up, first.right};
  if (!unchanged.empty() && std::hypot(hole.up - start[0], hole.right - start[1]) > limit && !told.holds(start)) {
    constexpr double seldom = 0.05;
    const double as_it_was = outlook.within(start, reach);
    next.outcomes.push_back({"the hole as it is now, " + hole_words(start[0], start[1]),
                             as_it_was >= seldom ? then_words(outlook, start)
                             : work              ? unchanged + ": see that it was done, then check the setup's entries"
                                                 : unchanged,
                             as_it_was});
  }
  next.outcomes.push_back(
      {"anything outside " +
           range_words(outlook.quantile(0, 0.01), outlook.quantile(0, 0.99), "tail-high", "tail-low") + " and " +
           range_words(outlook.quantile(1, 0.01), outlook.quantile(1, 0.99), "tail-right", "tail-left"),
       look_at_entries, 0.04});
}

void OutcomeTeller::measurement(const Outlook& outlook, const NextCheck& what, NextStep& next) const {
  if (outlook.groups().empty()) {
    return;
  }
  const auto one_words = [&](std::size_t r, double value) {
    const Quantity quantity = check_quantity(what.checks[r].what);
    const std::string unit(quantity == Quantity::length ? "in" : workshop_unit(quantity));
    return check_title(what.checks[r].what) + " " + display(value, quantity, unit, 2);
  };
  const auto place_words = [&](const std::vector<double>& values) {
    std::string text;
    for (std::size_t r = 0; r < values.size(); ++r) {
      text += (r == 0 ? "" : ", ") + one_words(r, values[r]);
    }
    return text;
  };
  const auto words = [&](const std::vector<double>& from, const std::vector<double>& to) {
    return from == to ? "about " + place_words(from) : place_words(from) + " to " + place_words(to);
  };
  std::vector<double> apart;
  std::vector<double> low;
  std::vector<double> high;
  for (std::size_t r = 0; r < what.checks.size(); ++r) {
    apart.push_back(what.checks[r].error);
    low.push_back(outlook.quantile(r, 0.01));
    high.push_back(outlook.quantile(r, 0.99));
  }
  groups(outlook, apart, words, next);
  // What stands far out on either side tells more than the middle of each explanation.
  std::vector<double> middle;
  for (std::size_t r = 0; r < apart.size(); ++r) {
    middle.push_back(outlook.quantile(r, 0.5));
  }
  constexpr double tail = 0.1;
  for (std::size_t r = 0; r < apart.size(); ++r) {
    for (const bool more : {false, true}) {
      std::vector<double> place = middle;
      place[r] = outlook.quantile(r, more ? 1.0 - tail : tail);
      if (std::fabs(place[r] - middle[r]) > apart[r] && tells(outlook, place)) {
        next.outcomes.push_back(
            {one_words(r, place[r]) + (more ? " or more" : " or less"), then_words(outlook, place), tail});
      }
    }
  }
  next.outcomes.push_back({"anything outside " + words(low, high),
                           "nothing that is suspected: look at it again, and then at the setup's entries",
                           0.02 * static_cast<double>(apart.size())});
}

/// What explanations would show that stand apart from each other, and how likely each then is. Places that make no
/// explanation likelier than it is are told as one.
OutcomeTeller::Span OutcomeTeller::groups(const Outlook& outlook, const std::vector<double>& apart, const Words& words,
                                          NextStep& next) const {
  constexpr std::size_t most = 4;
  const std::vector<LookAlikes> all = look_alikes(outlook, apart);
  Span silent;
  std::size_t places = 0;
  for (std::size_t i = 0; i < std::min(most, all.size()); ++i) {
    const std::vector<double>& place = all[i].groups.front()->mean;
    if (tells(outlook, place)) {
      next.outcomes.push_back({words(place, place), then_words(outlook, place), outlook.within(place, apart)});
    } else {
      silent.take(place);
      ++places;
    }
  }
  if (places == 0) {
    return silent;
  }
  std::vector<double> middle(apart.size());
  std::vector<double> reach(apart.size());
  for (std::size_t r = 0; r < apart.size(); ++r) {
    if (places > 1) {
      silent.low[r] -= apart[r];
      silent.high[r] += apart[r];
    }
    middle[r] = 0.5 * (silent.low[r] + silent.high[r]);
    reach[r] = std::max(apart[r], 0.5 * (silent.high[r] - silent.low[r]));
  }
  next.outcomes.push_back({words(silent.low, silent.high),
                           "tells causes apart hardly at all; " + then_words(outlook, middle),
                           outlook.within(middle, reach)});
  return silent;
}

bool OutcomeTeller::Span::holds(std::span<const double> place) const {
  for (std::size_t r = 0; r < low.size(); ++r) {
    if (place[r] < low[r] || place[r] > high[r]) {
      return false;
    }
  }
  return !low.empty();
}

void OutcomeTeller::Span::take(const std::vector<double>& place) {
  if (low.empty()) {
    low = high = place;
  }
  for (std::size_t r = 0; r < place.size(); ++r) {
    low[r] = std::min(low[r], place[r]);
    high[r] = std::max(high[r], place[r]);
  }
}

/// Whether these readings would make an explanation likelier or less likely by a tenth or more.
bool OutcomeTeller::tells(const Outlook& outlook, std::span<const double> seen) const {
  constexpr double hardly = 0.1;
  const std::vector<double> then = outlook.after(seen);
  for (std::size_t i = 0; i < then.size(); ++i) {
    if (std::fabs(then[i] - outlook.groups()[i].weight) >= hardly) {
      return true;
    }
  }
  return false;
}

/// What is measured, in words: an output's, or those of the adjustment that moves a parameter.
std::string OutcomeTeller::check_title(const std::string& what) const {
  if (const OutputDescription* output = find_output(what); output != nullptr) {
    return output->title;
  }
  for (const Adjustment& each : adjustments(e_.observed.setup)) {
    if (each.parameters.size() == 1 && each.parameters.front().path == what) {
      return each.title;
    }
  }
  return what;
}

/// The likeliest two explanations after these readings, against now.
std::string OutcomeTeller::then_words(const Outlook& outlook, std::span<const double> seen) const {
  constexpr double worth_telling = 0.5;  // of the first
  const std::vector<double> then = outlook.after(seen);
  std::vector<std::size_t> order(then.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return then[a] > then[b]; });
  std::string text = "likeliest then: ";
  for (std::size_t k = 0; k < std::min<std::size_t>(2, order.size()); ++k) {
    const std::size_t i = order[k];
    if (k == 0 || then[i] > worth_telling * then[order.front()]) {
      text += (k == 0 ? "" : "; or ") + cause_words(outlook.groups()[i].off) + " (" + share_words(then[i]) + ", now " +
              share_words(outlook.groups()[i].weight) + ")";
    }
  }
  return text;
}

/// What is off in a group of bows.
std::string OutcomeTeller::cause_words(const std::vector<std::string>& off) const {
  constexpr double hardly = 0.1;  // [steps]
  std::string text;
  for (const std::string& name : off) {
    const auto cause = std::find_if(e_.causes.begin(), e_.causes.end(),
                                    [&](const Cause& each) { return each.adjustment.name == name; });
    if (cause == e_.causes.end()) {
      continue;
    }
    const bool amount = off.size() == 1 && std::fabs(cause->steps) > hardly;
    text += (text.empty() ? "" : " with ") + (amount ? cause->words : cause->adjustment.title);
  }
  return text.empty() ? "a little of everything" : text;
}

}  // namespace nockwise::detail
