#include "nockwise/setup.hpp"

#include "base/quantity_text.hpp"
#include "nockwise/error.hpp"
#include "nockwise/parameters.hpp"

#include <utility>

namespace nockwise {

namespace {

/// The two words of a choice change places.
void exchange(const ChoiceParameter& choice, Setup& setup) {
  const bool first = choice.get(setup) == choice.choices.front();
  choice.set(setup, first ? choice.choices.back() : choice.choices.front());
}

/// What is known of a number goes with it where two numbers change places.
void exchange(std::vector<KnownValue>& known, const std::string& one, const std::string& other) {
  for (KnownValue& each : known) {
    const bool is_one = each.path.find(one) != std::string::npos;
    const std::string& from = is_one ? one : other;
    if (const auto place = each.path.find(from); place != std::string::npos) {
      each.path.replace(place, from.size(), is_one ? other : one);
    }
  }
}

/// Changes the sign of every number and exchanges every choice for which `flag` is set.
template <class Flag, class ChoiceFlag>
void negate(Setup& setup, Flag flag, ChoiceFlag choice_flag) {
  for (const Parameter& parameter : parameters()) {
    // Not minus zero: two setups that print alike should be alike.
    if (parameter.*flag && parameter.get(setup) != 0.0) {
      parameter.set(setup, -parameter.get(setup));
    }
  }
  for (const ChoiceParameter& choice : choice_parameters()) {
    if (choice.*choice_flag) {
      exchange(choice, setup);
    }
  }
}

}  // namespace

void Setup::set(const std::string& path, double value) {
  const Parameter& found = parameter(path);
  found.check(value);
  found.set(*this, value);
}

void Setup::set(const std::string& path, const std::string& text) {
  if (const ChoiceParameter* choice = find_choice_parameter(path)) {
    choice->set(*this, text);
    return;
  }
  if (const TextParameter* field = find_text_parameter(path)) {
    field->set(*this, text);
    return;
  }
  const Parameter& number = parameter(path);
  double value = 0.0;
  try {
    value = detail::parse_quantity_in(text, number.quantity, number.unit);
    number.check(value);
  } catch (const InputError& error) {
    throw InputError(path, text, error.allowed());  // the text as it was given, not as it would be written
  }
  number.set(*this, value);
}

double Setup::get(const std::string& path) const { return parameter(path).get(*this); }

Setup mirrored(const Setup& setup) {
  Setup result = setup;
  negate(result, &Parameter::lateral, &ChoiceParameter::lateral);
  std::swap(result.cables.upper.yoke.left_twists, result.cables.upper.yoke.right_twists);
  std::swap(result.cables.lower.yoke.left_twists, result.cables.lower.yoke.right_twists);
  exchange(result.known, "left_twists", "right_twists");
  return result;
}

Setup swapped(const Setup& setup) {
  Setup result = setup;
  negate(result, &Parameter::vertical, &ChoiceParameter::vertical);
  std::swap(result.riser.upper_end_compliance, result.riser.lower_end_compliance);
  std::swap(result.limbs.upper, result.limbs.lower);
  std::swap(result.cams.upper, result.cams.lower);
  std::swap(result.cables.upper, result.cables.lower);
  exchange(result.known, "upper", "lower");
  return result;
}

}  // namespace nockwise
