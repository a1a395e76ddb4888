#include "nockwise/model.hpp"

#include "nockwise/parameters.hpp"
#include "statics.hpp"

#include <algorithm>
#include <numbers>

namespace nockwise {

namespace detail {

namespace {

/// Where to look for brace: cams at zero, limbs closed until the cables are stretched a little, the nock on the
/// string's line.
template <int Links>
Coordinates brace_guess(const kernel::Constants<double, Links>& c, const kernel::Topology& topology) {
  using L = kernel::Layout<Links>;
  constexpr double stretch = 0.004;
  const Coordinates still{};
  const auto at = [&](double bend) {
    Coordinates q{};
    for (int h = 0; h < 2; ++h) {
      const int first = topology.limb_link[h];
      for (int j = first; j < Links; ++j) {
        q[static_cast<std::size_t>(L::joint(h, j))] = c.half[h].links[j].free_angle + bend / (Links - first);
      }
    }
    return q;
  };
  const auto motion = [&](const Coordinates& q, int h) {
    const auto riser = kernel::in_side_frame(kernel::riser_motion<double, Links>(q.data(), still.data()), h);
    return kernel::half_motion(c.half[h], riser, q.data() + L::joint(h, 0), still.data(), 0.0, 0.0);
  };
  const auto excess = [&](double bend) {
    const Coordinates q = at(bend);
    double total = 0.0;
    for (int h = 0; h < 2; ++h) {
      const auto near = motion(q, h);
      const auto beyond = motion(q, 1 - h);
      const auto span = kernel::mirror(beyond.axle()) - near.axle();
      kernel::Heading<double> heading = kernel::aim(span);
      const bool let_out = topology.cable_end[h] == CableEnd::let_out;
      const kernel::FarEnd<double> far{let_out ? &c.half[1 - h].let_out_track : nullptr, 0.0};
      if (!kernel::settle_heading<kernel::TrackRole::take_up>(heading, c.half[h].take_up_track, 0.0, far, span)) {
        throw SolverError("brace", std::string("the ") + half_name(h) + " cable cannot lie taut between its ends");
      }
      double ignored = 0.0;
      const auto line =
          kernel::solve_line<kernel::TrackRole::take_up>(heading, c.half[h].take_up_track, 0.0, far, span, ignored);
      total += line.length - c.cable[h].natural - stretch * c.cable[h].natural;
    }
    return total;
  };
  // Limbs that lean forward when unbent stand farthest apart where they pass the vertical: only from there on does a
  // bend slacken the cables.
  double low = 0.0;
  for (int h = 0; h < 2; ++h) {
    low = std::max(low, -c.half[h].links[topology.limb_link[h]].free_angle);
  }
  double high = low + 1.5;
  if (!(excess(low) > 0.0)) {
    throw SolverError(
        "brace", "a cable is slack even with the limbs unbent: the cables are too long for this axle-to-axle length");
  }
  for (int i = 0; i < 20; ++i) {
    const double middle = 0.5 * (low + high);
    (excess(middle) > 0.0 ? low : high) = middle;
  }
  Coordinates q = at(low);
  double x = 0.0;
  double y = 0.0;
  for (int h = 0; h < 2; ++h) {
    const auto m = motion(q, h);
    double ignored = 0.0;
    x += 0.5 * (m.axle().x - kernel::evaluate(c.half[h].string_track, std::numbers::pi, ignored).p);
    y += 0.5 * kernel::half_sign[h] * m.axle().y;
  }
  q[L::string_x] = x;
  q[L::string_y] = y + 0.5 * (c.string[1].natural - c.string[0].natural);
  return q;
}

/// The cord is tied at brace, with the arm on its lower stop, `cord_slack` longer than its way.
template <int Links>
void tie_cord(const ModelData& data, Statics<Links>& statics, kernel::Constants<double, Links>& c) {
  if (!kernel::has_arm(data.topology.rest)) {
    return;
  }
  kernel::HalfMotion<double, Links> m[2];
  const auto loads = statics.loads(data.brace, m);
  const int h = data.topology.cord_half;
  const kernel::Vector2<double> drum{c.rest.x, kernel::half_sign[h] * c.rest.height};
  kernel::Vector2<double> end{};
  double wind = 1.0;
  if (data.topology.rest == RestKind::limb_driven) {
    const int k = data.topology.cord_link;
    end = m[h].joint[k] + (c.rest.cord_attachment / c.half[h].links[k].end_y) * (m[h].end[k] - m[h].joint[k]);
  } else {
    const bool let_out = data.topology.cable_end[h] == CableEnd::let_out;
    c.rest.cord_wrap = let_out ? loads.cable[h].area_b + loads.cable[h].slope_b : 0.0;
    end = kernel::cable_point(loads.cable[h], m[1 - h], c.rest.cord_attachment, c.rest.cord_wrap, let_out).point;
    wind = -1.0;
  }
  const auto span = end - drum;
  c.rest.cord_natural = std::sqrt(kernel::dot(span, span)) +
                        wind * c.rest.cord_lever * (c.rest.down_angle - c.rest.up_angle) +
                        data.setup.rest.arm.cord_slack;
}

}  // namespace

}  // namespace detail

namespace detail {

std::shared_ptr<const ModelData> compile_and_brace(const Setup& setup, const ModelData* like) {
  auto data = compile(setup, like);
  std::visit(
      [&]<int Links>(kernel::Constants<double, Links>& c) {
        Statics<Links> statics(c, data->topology);
        if (like != nullptr && data->tracks == like->tracks) {
          data->brace = like->brace;
          data->brace_headings = like->brace_headings;
          statics.set_headings(data->brace_headings);
        } else {
          data->brace = statics.solve_brace(brace_guess(c, data->topology)).q;
          data->brace_headings = statics.headings();
        }
        tie_cord(*data, statics, c);
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
      b.cam_angle[h] = q[static_cast<std::size_t>(L::cam(h))];
      b.cable_tension[h] = loads.cable_tension[h];
    }
    b.string_tension = 0.5 * (loads.string_tension[0] + loads.string_tension[1]);
  });
  b.arrow_square = b.nock_height - data_->setup.rest.height;
  return b;
}

}  // namespace nockwise
