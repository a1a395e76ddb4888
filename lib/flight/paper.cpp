#include "nockwise/paper.hpp"

#include "nockwise/error.hpp"
#include "nockwise/units.hpp"

#include <cmath>

namespace nockwise {

PaperTear paper_tear(const Model& model, const Launch& launch, std::optional<double> distance, int sections) {
  if (sections < 2) {
    throw InputError("sections", std::to_string(sections), "must be at least 2: the point and the tail");
  }
  const Setup& setup = model.setup();
  const double x = distance.value_or(setup.surroundings.paper_distance);
  const FreeFlight flight(model, launch, x);
  const double length = setup.arrow.length;
  const double tail = setup.arrow.fletching.count > 0 ? setup.arrow.fletching.distance : 0.0;
  PaperTear tear;
  Crossing point;
  Crossing last;
  for (int i = 0; i < sections; ++i) {
    const double from_nock = i == sections - 1 ? tail : length + (tail - length) * i / (sections - 1);
    last = flight.crossing(from_nock, x);
    if (i == 0) {
      point = last;
    }
    tear.section.push_back(from_nock);
    tear.section_up.push_back(last.y - point.y);
    tear.section_right.push_back(last.z - point.z);
  }
  tear.up = last.y - point.y;
  tear.right = last.z - point.z;
  constexpr double largest = 0.3;  // [m]
  const double size = std::hypot(tear.up, tear.right);
  if (!(size <= largest)) {
    throw SolverError("paper",
                      "the tear would be " + display(size, Quantity::length, "mm", 0) +
                          " long: no bow that can be shot tears more than 300 mm; look for a mistyped number in "
                          "the setup");
  }
  tear.point_y = point.y;
  tear.point_z = point.z;
  tear.point_time = point.time;
  tear.tail_time = last.time;
  tear.speed = flight.at(point.time).speed;
  return tear;
}

std::string describe_tear(const PaperTear& tear, double reading_error) {
  std::string text;
  const auto add = [&](double value, const char* positive, const char* negative) {
    if (std::fabs(value) >= reading_error) {
      text += (text.empty() ? "" : ", ") + std::string(value > 0.0 ? positive : negative) + " " +
              display(std::fabs(value), Quantity::length, "in", 2);
    }
  };
  add(tear.up, "tail-high", "tail-low");
  add(tear.right, "tail-right", "tail-left");
  return text.empty() ? "clean" : text;
}

}  // namespace nockwise
