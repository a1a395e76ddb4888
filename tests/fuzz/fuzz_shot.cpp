// Bytes → changes of a demo bow through the table of parameters → tear.
//
// The first byte chooses the bow; then four bytes per change: two for the parameter, one for how it is changed, one for
// the amount.
#include "nockwise/parameters.hpp"
#include "nockwise/setup_file.hpp"
#include "whole_path.hpp"

#include <array>
#include <limits>

namespace {

using namespace nockwise;

/// A value for `parameter`, from a little beside the old one to what no bow has, and what is no number.
double changed(const Parameter& parameter, double old, unsigned how, unsigned amount) {
  const double share = (static_cast<double>(amount) - 127.5) / 127.5;
  const double size = old != 0.0 ? std::fabs(old) : 0.01 * (parameter.maximum - parameter.minimum);
  switch (how % 8) {
    case 0:
    case 1:
      return old + 0.01 * share * size;
    case 2:
    case 3:
      return old + 0.1 * share * size;
    case 4:
      return old + share * size;
    case 5:
      return parameter.minimum + 0.5 * (share + 1.0) * (parameter.maximum - parameter.minimum);
    case 6:
      return amount % 2 == 0 ? parameter.minimum : parameter.maximum;
    default: {
      constexpr std::array<double, 4> wild{std::numeric_limits<double>::quiet_NaN(),
                                           std::numeric_limits<double>::infinity(), -1e300, 1e-310};
      return wild[amount % wild.size()];
    }
  }
}

void change(Setup& setup, unsigned which, unsigned how, unsigned amount) {
  const auto numbers = parameters();
  const auto choices = choice_parameters();
  const auto index = which % (numbers.size() + choices.size());
  if (index < numbers.size()) {
    const Parameter& parameter = numbers[index];
    const double value = changed(parameter, parameter.get(setup), how, amount);
    setup.set(parameter.path, parameter.whole ? std::round(value) : value);
  } else {
    const ChoiceParameter& choice = choices[index - numbers.size()];
    choice.set(setup, choice.choices[amount % choice.choices.size()]);
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const std::array<Setup, 3> bows{read_setup(fuzz::setups + "/larkspur.toml"),
                                         read_setup(fuzz::setups + "/alder.toml"),
                                         read_setup(fuzz::setups + "/wheelwright.toml")};
  if (size < 1) {
    return -1;
  }
  Setup setup = bows[data[0] % bows.size()];
  for (std::size_t at = 1; at + 4 <= size; at += 4) {
    try {
      change(setup, data[at] + 256U * data[at + 1], data[at + 2], data[at + 3]);
    } catch (const Error& error) {
      fuzz::require_clear(error);  // and the setup is as it was
    }
  }
  fuzz::shoot_through_paper(setup);
  return 0;
}
