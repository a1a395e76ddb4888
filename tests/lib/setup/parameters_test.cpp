#include "nockwise/parameters.hpp"

#include "nockwise/error.hpp"
#include "nockwise/setup.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>
#include <string>

namespace nockwise {
namespace {

/// A value inside the range that is not the default.
double other_value(const Parameter& parameter) {
  const double middle = 0.5 * (parameter.minimum + parameter.maximum);
  const double value = parameter.whole ? std::floor(middle) : middle;
  return value == parameter.default_value() ? parameter.maximum : value;
}

TEST(Parameters, PathsAreUniqueAmongAllKinds) {
  std::set<std::string> paths;
  std::size_t count = 0;
  const auto add = [&](const auto& entries) {
    for (const auto& entry : entries) {
      paths.insert(entry.path);
      ++count;
    }
  };
  add(parameters());
  add(choice_parameters());
  add(text_parameters());
  add(track_parameters());
  EXPECT_EQ(paths.size(), count);
}

TEST(Parameters, EachIsDocumentedInOneSentence) {
  const auto check = [](const auto& entries) {
    for (const auto& entry : entries) {
      EXPECT_GT(entry.doc.size(), 10U) << entry.path;
      EXPECT_TRUE(entry.doc.ends_with('.')) << entry.path;
      EXPECT_EQ(entry.doc.find(". "), std::string::npos) << entry.path;
    }
  };
  check(parameters());
  check(choice_parameters());
  check(text_parameters());
  check(track_parameters());
}

TEST(Parameters, RangesAreFiniteAndHoldTheDefault) {
  for (const Parameter& parameter : parameters()) {
    EXPECT_TRUE(std::isfinite(parameter.minimum) && std::isfinite(parameter.maximum)) << parameter.path;
    EXPECT_LT(parameter.minimum, parameter.maximum) << parameter.path;
    EXPECT_NO_THROW(parameter.check(parameter.default_value())) << parameter.path;
  }
}

TEST(Parameters, ThePreferredUnitMeasuresTheQuantity) {
  for (const Parameter& parameter : parameters()) {
    EXPECT_NO_THROW((void)from_si(1.0, parameter.quantity, parameter.unit)) << parameter.path;
  }
}

TEST(Parameters, WhatASymmetryTurnsOverIsAllowedWithEitherSign) {
  for (const Parameter& parameter : parameters()) {
    if (parameter.lateral || parameter.vertical) {
      EXPECT_EQ(parameter.minimum, -parameter.maximum) << parameter.path;
    }
  }
  for (const ChoiceParameter& choice : choice_parameters()) {
    if (choice.lateral || choice.vertical) {
      EXPECT_EQ(choice.choices.size(), 2U) << choice.path;
    }
  }
}

TEST(Parameters, EachNumberIsStoredAndReadBack) {
  for (const Parameter& parameter : parameters()) {
    nockwise::Setup setup;
    const double value = other_value(parameter);
    setup.set(parameter.path, value);
    if (parameter.alias_of.empty()) {
      EXPECT_EQ(setup.get(parameter.path), value) << parameter.path;
    } else {
      EXPECT_NEAR(setup.get(parameter.path) / value, 1.0, 1e-15) << parameter.path;
    }
    EXPECT_NE(setup, nockwise::Setup{}) << parameter.path;
  }
}

TEST(Parameters, EachNumberHasItsOwnField) {
  nockwise::Setup setup;
  for (const Parameter& parameter : parameters()) {
    if (parameter.alias_of.empty()) {
      parameter.set(setup, other_value(parameter));
    }
  }
  for (const Parameter& parameter : parameters()) {
    if (parameter.alias_of.empty()) {
      EXPECT_EQ(parameter.get(setup), other_value(parameter)) << parameter.path;
    }
  }
}

TEST(Parameters, EachWordOfAChoiceIsStoredAndReadBack) {
  for (const ChoiceParameter& choice : choice_parameters()) {
    EXPECT_NE(std::find(choice.choices.begin(), choice.choices.end(), choice.default_value()), choice.choices.end());
    for (const std::string& word : choice.choices) {
      nockwise::Setup setup;
      setup.set(choice.path, word);
      EXPECT_EQ(choice.get(setup), word) << choice.path;
    }
  }
}

TEST(Parameters, EachTextAndTrackIsStoredAndReadBack) {
  for (const TextParameter& text : text_parameters()) {
    nockwise::Setup setup;
    setup.set(text.path, "hedge elm");
    EXPECT_EQ(text.get(setup), "hedge elm");
  }
  for (const TrackParameter& track : track_parameters()) {
    nockwise::Setup setup;
    EXPECT_EQ(track.get(setup).has_value(), !track.optional) << track.path;
    const Track circle = CircleTrack{0.05, 0.01, 0.3};
    track.set(setup, circle);
    EXPECT_EQ(track.get(setup), circle) << track.path;
    track.set(setup, std::nullopt);
    EXPECT_EQ(track.get(setup).has_value(), !track.optional) << track.path;
  }
}

TEST(Parameters, OutOfRangeNamesPathValueAndRange) {
  nockwise::Setup setup;
  try {
    setup.set("riser.mass", 0.0);
    FAIL();
  } catch (const InputError& error) {
    EXPECT_EQ(error.path(), "riser.mass");
    EXPECT_EQ(error.value(), "0 kg");
    EXPECT_EQ(error.allowed(), "must be from 0.2 kg to 10 kg");
  }
  EXPECT_EQ(setup, nockwise::Setup{});
}

TEST(Parameters, NotANumberAndFractionsOfCountsAreRefused) {
  nockwise::Setup setup;
  EXPECT_THROW(setup.set("riser.mass", std::numeric_limits<double>::quiet_NaN()), InputError);
  EXPECT_THROW(setup.set("riser.mass", std::numeric_limits<double>::infinity()), InputError);
  EXPECT_THROW(setup.set("arrow.nodes", 24.5), InputError);
  EXPECT_THROW(setup.set("arrow.nodes", "24.5"), InputError);
  EXPECT_EQ(setup, nockwise::Setup{});
}

TEST(Parameters, AnUnknownPathNamesTheNearestOne) {
  const auto nearest = [](const char* path) {
    try {
      (void)parameter(path);
    } catch (const InputError& error) {
      EXPECT_EQ(error.path(), path);
      return error.allowed();
    }
    return std::string();
  };
  EXPECT_NE(nearest("limbs.upper.torsional_stiffness").find("limbs.upper.torsion_stiffness"), std::string::npos);
  EXPECT_NE(nearest("cables.uper.twists").find("cables.upper.twists"), std::string::npos);
  EXPECT_NE(nearest("rest.hieght").find("rest.height"), std::string::npos);
  EXPECT_EQ(nearest("rest.kind"), "is not a number: it must be none, blade, capture, limb_driven or cable_driven");
}

TEST(Parameters, SpineStandsForBendingStiffness) {
  // 340 spine is EI = 7.488753 N·m² by the definition of the test (28 in, 1.94 lb).
  nockwise::Setup setup;
  setup.set("arrow.spine", "340 spine");
  EXPECT_NEAR(setup.arrow.bending_stiffness, 7.488753, 5e-7);
  setup.set("arrow.spine", "0.250 in");
  EXPECT_NEAR(setup.arrow.bending_stiffness, 10.184704, 5e-7);
  EXPECT_NEAR(setup.get("arrow.spine"), 0.25 * 0.0254, 1e-17);
}

TEST(Parameters, EveryQuantityOfATextIsChecked) {
  nockwise::Setup setup;
  setup.set("limbs.upper.effective_length", "10 in");
  EXPECT_EQ(setup.limbs.upper.effective_length, 0.254);
  try {
    setup.set("limbs.upper.effective_length", "10 lbf");
    FAIL();
  } catch (const InputError& error) {
    EXPECT_EQ(error.path(), "limbs.upper.effective_length");
    EXPECT_EQ(error.value(), "10 lbf");
  }
  try {
    setup.set("limbs.upper.effective_length", "100 in");
    FAIL();
  } catch (const InputError& error) {
    EXPECT_EQ(error.value(), "100 in");
  }
}

}  // namespace
}  // namespace nockwise
