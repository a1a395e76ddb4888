// The equations of motion, exported for research: a pure function of state, without kept run_directions.
#include "kernel/energy.hpp"
#include "kernel/jacobian.hpp"
#include "launch/initial_state.hpp"
#include "nockwise/launch.hpp"
#include "statics/model_access.hpp"

#include <algorithm>
#include <variant>

namespace nockwise {

namespace {

/// RunDirections found afresh from the state, so that the derivative depends on nothing else.
template <int Links>
kernel::RunDirections<double> settled_run_directions(const detail::Release<Links>& r, const double* q) {
  using L = kernel::Layout<Links>;
  const std::array<double, kernel::max_coordinates> still{};
  const auto riser = kernel::riser_motion<double, Links>(q, still.data());
  const auto lateral = kernel::lateral_motion<double, Links>(q, still.data(), q[L::string_z], 0.0);
  const kernel::StringEnd<double> end{{q[L::string_x] - q[L::riser_x], q[L::string_y] - q[L::riser_y]},
                                      {0.0, 0.0},
                                      q[L::string_z] - q[L::riser_z],
                                      0.0};
  kernel::HalfMotion<double, Links> m[2];
  for (int h = 0; h < 2; ++h) {
    m[h] = kernel::half_motion(r.constants.half[h], kernel::in_side_frame(riser, h), q + L::joint(h, 0), still.data(),
                               q[L::cam(h)], 0.0);
  }
  kernel::RunDirections<double> run_directions{};
  bool found = true;
  for (int h = 0; h < 2; ++h) {
    const kernel::EndInPlane<double> nock(end, lateral, kernel::half_sign[h], {0.0, 0.0});
    const auto to_nock = nock.place - m[h].axle();
    run_directions.string[h] = kernel::aim(to_nock);
    found = kernel::settle_run_direction<kernel::TrackRole::let_out>(
                run_directions.string[h], r.constants.half[h].string_track, m[h].cam, {}, to_nock) &&
            found;
    const auto across = kernel::mirror(m[1 - h].axle()) - m[h].axle();
    run_directions.cable[h] = kernel::aim(across);
    const bool let_out = r.topology.cable_end[h] == CableEnd::let_out;
    const kernel::FarEnd<double> far{let_out ? &r.constants.half[1 - h].let_out_track : nullptr, m[1 - h].cam};
    found = kernel::settle_run_direction<kernel::TrackRole::take_up>(
                run_directions.cable[h], r.constants.half[h].take_up_track, m[h].cam, far, across) &&
            found;
  }
  if (!found) {
    throw SolverError("equations of motion", "a string or cable has no tangent to its track in this state");
  }
  return run_directions;
}

template <int Links>
void name_states(const detail::Release<Links>& r, std::vector<std::string>& names) {
  using L = kernel::Layout<Links>;
  const L layout{r.topology.modes};
  names.assign(layout.size(), "");
  const auto put = [&](int at, const std::string& name) { names[at] = name; };
  put(L::riser_x, "riser.x");
  put(L::riser_y, "riser.y");
  put(L::riser_pitch, "riser.pitch");
  put(L::riser_z, "riser.z");
  put(L::riser_yaw, "riser.yaw");
  put(L::riser_roll, "riser.roll");
  for (int h = 0; h < 2; ++h) {
    const std::string half = detail::half_name(h);
    for (int j = 0; j < Links; ++j) {
      put(L::joint(h, j), "limbs." + half + "[" + std::to_string(j) + "]");
    }
    put(L::cam(h), "cams." + half);
    put(L::lean(h), "lean." + half);
  }
  put(L::arrow_x, "arrow.x");
  put(L::string_x, "string.x");
  put(L::string_y, "string.y");
  put(L::string_z, "string.z");
  put(L::rest_arm, "rest.arm");
  for (int k = 0; k < layout.modes; ++k) {
    put(L::arrow_y + k, "arrow.y.mode[" + std::to_string(k) + "]");
    put(layout.arrow_z() + k, "arrow.z.mode[" + std::to_string(k) + "]");
  }
  const auto positions = names.size();
  for (std::size_t i = 0; i < positions; ++i) {
    names.push_back("d/dt " + names[i]);
  }
}

}  // namespace

struct EquationsOfMotion::Implementation {
  Model model;
  std::variant<detail::Release<1>, detail::Release<2>, detail::Release<3>, detail::Release<4>, detail::Release<5>>
      release;

  void check(const std::vector<double>& state, std::size_t size) const {
    if (state.size() != size) {
      throw InputError("state", std::to_string(state.size()) + " numbers", "must hold " + std::to_string(size));
    }
    for (const double x : state) {
      if (!std::isfinite(x)) {
        throw InputError("state", "a number that is not finite", "must hold finite numbers");
      }
    }
  }
};

EquationsOfMotion::EquationsOfMotion(const Model& model) {
  if (model.setup().string.pieces > 1) {
    throw InputError("string.pieces", std::to_string(model.setup().string.pieces),
                     "must be 1: the equations are given out for the string's lump at the nock only");
  }
  const auto prepared = detail::with_constants(detail::data_of(model), [&](const auto& c) {
    return std::make_shared<const Implementation>(
        Implementation{model, detail::prepare_release(detail::data_of(model), c)});
  });
  implementation_ = prepared;
}

std::size_t EquationsOfMotion::size() const { return names().size(); }

std::vector<std::string> EquationsOfMotion::names() const {
  std::vector<std::string> names;
  std::visit([&](const auto& r) { name_states(r, names); }, implementation_->release);
  return names;
}

std::vector<double> EquationsOfMotion::initial_state() const {
  const std::size_t positions = size() / 2;
  std::vector<double> state(2 * positions, 0.0);
  std::visit(
      [&](const auto& r) {
        std::copy_n(r.q.begin(), positions, state.begin());
        std::copy_n(r.v.begin(), positions, state.begin() + static_cast<std::ptrdiff_t>(positions));
      },
      implementation_->release);
  return state;
}

void EquationsOfMotion::derivative(const std::vector<double>& state, bool attached,
                                   std::vector<double>& derivative) const {
  std::visit(
      [&]<int Links>(const detail::Release<Links>& r) {
        const auto n = kernel::Layout<Links>{r.topology.modes}.size();
        implementation_->check(state, 2 * n);
        derivative.resize(2 * n);
        std::copy_n(state.begin() + n, n, derivative.begin());
        auto run_directions = settled_run_directions(r, state.data());
        kernel::accelerations(r.constants, r.topology, attached ? 1.0 : 0.0, state.data(), state.data() + n,
                              derivative.data() + n, run_directions);
      },
      implementation_->release);
}

void EquationsOfMotion::jacobian(const std::vector<double>& state, bool attached, std::vector<double>& jacobian) const {
  std::visit(
      [&]<int Links>(const detail::Release<Links>& r) {
        const std::size_t n = kernel::Layout<Links>{r.topology.modes}.size();
        implementation_->check(state, 2 * n);
        jacobian.assign(4 * n * n, 0.0);
        for (std::size_t i = 0; i < n; ++i) {
          jacobian[i * 2 * n + n + i] = 1.0;  // dq/dt = v
        }
        kernel::jacobian_of_accelerations(r.constants, r.topology, attached ? 1.0 : 0.0, state.data(), state.data() + n,
                                          settled_run_directions(r, state.data()), jacobian.data() + 2 * n * n);
        if (!std::all_of(jacobian.begin(), jacobian.end(), [](double d) { return std::isfinite(d); })) {
          throw SolverError("equations of motion", "a derivative is not finite in this state");
        }
      },
      implementation_->release);
}

double EquationsOfMotion::separation(const std::vector<double>& state) const {
  return std::visit(
      [&]<int Links>(const detail::Release<Links>& r) {
        const auto n = kernel::Layout<Links>{r.topology.modes}.size();
        implementation_->check(state, 2 * n);
        std::array<double, kernel::max_coordinates> ignored{};
        auto run_directions = settled_run_directions(r, state.data());
        return kernel::accelerations(r.constants, r.topology, 1.0, state.data(), state.data() + n, ignored.data(),
                                     run_directions)
            .separation;
      },
      implementation_->release);
}

Energy EquationsOfMotion::energy(const std::vector<double>& state, bool attached) const {
  return std::visit(
      [&]<int Links>(const detail::Release<Links>& r) {
        const auto n = kernel::Layout<Links>{r.topology.modes}.size();
        implementation_->check(state, 2 * n);
        const auto e = kernel::energy(r.constants, r.topology, attached ? 1.0 : 0.0, state.data(), state.data() + n,
                                      settled_run_directions(r, state.data()));
        return Energy{e.arrow, e.mechanism, e.limbs, e.lines, e.contacts, e.gravity, e.hand};
      },
      implementation_->release);
}

}  // namespace nockwise
