// Whether what a file says of the hand fits what it says of the bow.
#include "nockwise/setup_file.hpp"

namespace nockwise {

std::vector<std::string> handedness_doubts(const Setup& setup) {
  const bool right = setup.handedness == Handedness::right;
  std::vector<std::string> doubts;
  const auto doubt = [&](const char* path, double value) {
    if ((right ? value : -value) < 0.0) {
      doubts.push_back(std::string(path) +
                       (right ? " is negative, as on a left-handed bow, and the setup says right-"
                              : " is positive, as on a right-handed bow, and the setup says left-") +
                       "handed: handedness alone turns no lateral value round, mirroring the setup does");
    }
  };
  doubt("riser.window_offset", setup.riser.window_offset);
  doubt("cable_guard.offset", setup.cable_guard.offset);
  return doubts;
}

}  // namespace nockwise
