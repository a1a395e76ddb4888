#include "nockwise/model.hpp"

#include "nockwise/parameters.hpp"
#include "statics/brace.hpp"

#include <algorithm>
#include <numbers>

namespace nockwise {

namespace detail {

std::shared_ptr<const ModelData> compile_and_brace(const Setup& setup, const ModelData* like) {
  auto data = compile(setup, like);
  std::visit(
      [&]<int Links>(kernel::Constants<double, Links>& c) {
        if (like != nullptr && data->tracks == like->tracks) {
          take_over_brace(*like, *data, c);
        } else {
          run_to_end(brace(*data, c));
        }
      },
      data->constants);
  return data;
}

}  // namespace detail

Model::Model(const Setup& setup) : data_(detail::compile_and_brace(setup)) {}

Model::Model(std::shared_ptr<const detail::ModelData> data) : data_(std::move(data)) {}

const Setup& Model::setup() const { return data_->setup; }

ArrowProperties Model::arrow() const {
  const Arrow& arrow = data_->setup.arrow;
  ArrowProperties p;
  const auto& beam = data_->nodal;
  p.mass = beam.total_mass;
  p.balance_point = data_->balance_point;
  for (int i = 0; i < arrow.nodes; ++i) {
    const double arm = i * beam.spacing - p.balance_point;
    p.transverse_inertia += beam.mass[i] * arm * arm;
  }
  p.front_of_center = (p.balance_point - 0.5 * arrow.length) / arrow.length;
  p.static_spine = spine_from_bending_stiffness(arrow.bending_stiffness);
  for (Eigen::Index k = 2; k < std::min<Eigen::Index>(6, data_->modes.frequency.size()); ++k) {
    p.frequencies.push_back(data_->modes.frequency[k] / (2.0 * std::numbers::pi));
  }
  return p;
}

BraceState Model::brace() const {
  BraceState b;
  detail::with_constants(*data_, [&]<int Links>(const kernel::Constants<double, Links>& c) {
    using L = kernel::Layout<Links>;
    const detail::Coordinates& q = data_->brace;
    detail::Statics<Links> statics(c, data_->topology);
    statics.settle(q);
    kernel::HalfMotion<double, Links> m[2];
    const auto loads = statics.loads(q, m);
    b.brace_height = -q[L::string_x];
    b.nock_height = q[L::string_y];
    const auto between = m[0].axle() - kernel::mirror(m[1].axle());
    b.axle_to_axle = std::sqrt(kernel::dot(between, between));
    for (int h = 0; h < 2; ++h) {
      b.limb_angle[h] = std::atan2(-m[h].limb_direction.x, m[h].limb_direction.y);
      b.cam_angle[h] = q[L::cam(h)];
      b.cable_tension[h] = loads.cable_tension[h];
    }
    b.string_tension = 0.5 * (loads.string_tension[0] + loads.string_tension[1]);
    // The pull F at the middle of a string of the length L under the tension T moves it by F L/(4 T).
    const double length = loads.string[0].straight + loads.string[1].straight;
    b.nock_pull_off = c.arrow.nock_hold * length / (4.0 * b.string_tension);
  });
  b.arrow_square = b.nock_height - data_->setup.rest.height;
  return b;
}

}  // namespace nockwise
