#include "causes/words.hpp"

#include "nockwise/paper.hpp"
#include "nockwise/units.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise::detail {

namespace {

constexpr double largest_tear = 0.1016;  // [m] 4 in: beyond that it is not tuning

std::string inches(double length) { return display(std::fabs(length), Quantity::length, "in", 2); }

std::string tear_words(double up, double right) {
  PaperTear tear;
  tear.up = up;
  tear.right = right;
  return describe_tear(tear, 0.0005);
}

std::string join(const std::vector<std::string>& words) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) {
    text += (i == 0 ? "" : i + 1 == words.size() ? " and " : ", ") + words[i];
  }
  return text;
}

/// "the rest stands 0.21 in too near the riser, 3.4 times what is usual".
std::string unusual_words(const Explanation& e) {
  const Cause& first = e.causes.front();
  if (first.explains || e.pairs.empty() || !e.pairs.front().explains) {
    return first.words + ", " + display(first.implausibility, Quantity::dimensionless, "", 1) + " times what is usual";
  }
  return e.pairs.front().words;
}

/// What to look at before an improbable answer is believed.
std::string look_first(const Case& observed) {
  const bool others = std::any_of(observed.tears.begin(), observed.tears.end(),
                                  [](const TearObservation& tear) { return !tear.archer.empty(); });
  return others ? "Check another arrow, and the setup's entries"
                : "Check the grip with another archer, another arrow, and the setup's entries";
}

}  // namespace

std::string why_useless(const Case& observed) {
  if (observed.tears.empty()) {
    return "No tear was given. Shoot through paper at about twelve feet and report how far, and to which side, the "
           "tail's hole stands from the point's.";
  }
  for (const TearObservation& tear : observed.tears) {
    if (std::hypot(tear.up, tear.right) > largest_tear) {
      return "A tear of " + inches(std::hypot(tear.up, tear.right)) +
             " is not a matter of tuning. Check its unit first; then look for an arrow that is not nocked, a rest that "
             "did not drop, a derailed string or cable, or a cracked arrow or limb. Do not shoot again before that.";
    }
  }
  return "";
}

void describe_causes(Explanation& e) {
  std::vector<std::string> alike;
  for (const Cause& each : e.causes) {
    const bool listed = std::find(alike.begin(), alike.end(), each.adjustment.title) != alike.end();
    if (each.like_first && each.explains && !listed) {
      alike.push_back(each.adjustment.title);
    }
  }
  const Cause& first = e.causes.front();
  if (e.verdict == Verdict::unexplained || e.verdict == Verdict::contradictory) {
    e.findings.push_back("The nearest, " + first.words + ", leaves " + inches(first.unexplained) + " unexplained.");
  } else if (!first.explains) {
    e.findings.push_back("No single cause explains this; at least two things are off. The nearest, " + first.words +
                         ", leaves " + inches(first.unexplained) + " unexplained.");
    const auto also =
        std::count_if(e.pairs.begin(), e.pairs.end(), [](const CausePair& p) { return p.explains && p.like_first; });
    if (also > 1) {
      e.findings.push_back(std::to_string(also) +
                           " pairs of causes look the same in what was seen. Only another check can tell them apart.");
    }
  } else if (alike.size() > 1) {
    e.findings.push_back("These look the same in what was seen: " + join(alike) +
                         ". Only another check or shot can tell them apart.");
  }
}

std::string range_words(double low, double high, const char* positive, const char* negative) {
  const auto one = [&](double value) { return std::string(value < 0.0 ? negative : positive) + " " + inches(value); };
  return one(low) + " to " + one(high);
}

namespace {

/// What explains the hole, by how sure it is.
std::string likeliest_words(const Explanation& e, bool may_be_right) {
  const auto pair = std::find_if(e.pairs.begin(), e.pairs.end(), [](const CausePair& each) { return each.explains; });
  const Cause& first = e.causes.front();
  const std::string share = display(first.probability, Quantity::percent, "%", 0);
  if (may_be_right && first.probability < 0.5) {
    return "Nothing need be off: by what is not known of this bow it may shoot so as it stands. Many faults would do "
           "it "
           "too; the likeliest (" +
           share + " among single causes): " + first.words + ".";
  }
  return first.explains          ? "Most probably " + first.words + " (" + share + " among single causes)."
         : pair != e.pairs.end() ? "No single cause explains it; two together do, most probably " + pair->words + "."
                                 : "No single cause explains all of it; the nearest: " + first.words + ".";
}

}  // namespace

void summarise(Explanation& e, bool may_be_right) {
  const TearObservation& tear = e.observed.tears.front();
  const std::string seen = tear_words(tear.up, tear.right);
  switch (e.verdict) {
    case Verdict::clean:
      e.summary = "Every hole is clean within its reading error. Leave the bow alone.";
      break;
    case Verdict::contradictory:
      e.summary =
          "These observations contradict each other: no one bow shoots all of them. Repeat the shots, three "
          "at each, before anything is changed.";
      break;
    case Verdict::unusual:
      e.summary = "Seen: " + seen + ". No ordinary fault makes this; an unusual one could: " + unusual_words(e) + ". " +
                  look_first(e.observed) + " before you believe it.";
      break;
    case Verdict::unexplained:
      e.summary = "Seen: " + seen + ". Nothing that is suspected here makes this hole, however far off it may be. " +
                  look_first(e.observed) +
                  ". The plan takes the tear away; it is a remedy, and what it moves is not the cause.";
      break;
    case Verdict::not_this_bow:
      e.summary = "Seen: " + seen +
                  ". The setup is not this bow: neither one nor two faults of it shoot what was seen" +
                  (e.observed.work.empty() ? "" : " before and after the work") +
                  ", and the holes agree with each other. Check its entries, and another arrow, before anything is "
                  "turned.";
      break;
    case Verdict::explained:
      e.summary = "Seen: " + seen + ". " + likeliest_words(e, may_be_right);
      break;
    case Verdict::useless:
      break;
  }
}

void find_misfits(const CaseModel& model, const JointFit& fit, Explanation& e) {
  for (std::size_t i = 0; i < e.observed.tears.size(); ++i) {
    const TearObservation& seen = e.observed.tears[i];
    const TearObservation& made = e.predicted[i];
    const double miss = std::hypot(seen.up - made.up, seen.right - made.right);
    if (miss > 1.5 * seen.reading_error) {
      e.findings.push_back("Shot " + std::to_string(i + 1) + " (" + seen.label +
                           "): " + tear_words(seen.up, seen.right) + " was seen, " + tear_words(made.up, made.right) +
                           " is the nearest that fits the rest.");
    }
  }
  for (std::size_t r = 2 * e.observed.tears.size(); r < model.readings().size(); ++r) {
    const double miss = std::fabs(model.residual(fit.predicted)[static_cast<Eigen::Index>(r)]);
    if (miss > 3.0) {
      e.findings.push_back("The check of " + model.readings()[r].what + " does not fit the rest.");
    }
  }
}

void add_assumptions(const Case& observed, Explanation& e) {
  e.assumptions = {
      "The setup file describes this bow but for the suspected deviations; what is not suspected is as written there.",
      "Reading errors hold nineteen of twenty readings; deviations are as likely as their prior widths say.",
      "One fault and two are equally common. A bow is brought in because every arrow shows the tear: a deviation whose "
      "tear would seldom be seen is less likely to be the one.",
      "The arrows are alike, sound, and of the setup's spine and mass; nocks fit; the archer repeats the shot."};
  if (observed.tears.size() == 1) {
    e.assumptions.emplace_back("One hole only: a second arrow through the same place would make all of this surer.");
  }
}

}  // namespace nockwise::detail
