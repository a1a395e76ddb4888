// The exponential Runge–Kutta method of fourth order (Cox and Matthews, J. Comput. Phys. 176, 2002) with the arrow's
// bending in the linear part: its stiff modes are then stepped exactly, whatever their frequency. Without a linear part
// it is the classical method, and that is what all other coordinates get. Benchmarks only.
#pragma once

#include "kernel/constants.hpp"
#include "methods.hpp"

#include <complex>

namespace nockwise::bench {

/// Modes of the arrow with the string's lump on its nock (or free), each a damped oscillator η̈ + τλ η̇ + λ η = n.
struct BendingModes {
  Eigen::MatrixXd to_modal, from_modal;
  Eigen::ArrayXd stiffness;            // λ [1/s²]
  Eigen::ArrayXcd root;                // of s² + τλ s + λ, the upper one [1/s]
  Eigen::Array<bool, -1, 1> swinging;  // others are left to the classical method

  BendingModes(const kernel::ArrowConstants<double>& arrow, int modes, double lump) {
    const Eigen::Map<const Eigen::VectorXd> nock(arrow.nock_shape, modes);
    const Eigen::MatrixXd mass = Eigen::MatrixXd::Identity(modes, modes) + lump * nock * nock.transpose();
    Eigen::MatrixXd spring = Eigen::MatrixXd::Zero(modes, modes);
    spring.diagonal() = Eigen::Map<const Eigen::VectorXd>(arrow.stiffness, modes);
    const Eigen::GeneralizedSelfAdjointEigenSolver<Eigen::MatrixXd> solver(spring, mass);
    from_modal = solver.eigenvectors();
    to_modal = from_modal.transpose() * mass;
    stiffness = solver.eigenvalues();
    const Eigen::ArrayXd decay = 0.5 * arrow.damping_time * stiffness;
    swinging = stiffness > 1e4 && decay.square() < stiffness;
    root.resize(modes);
    for (int k = 0; k < modes; ++k) {
      root[k] = {-decay[k], std::sqrt(std::fmax(stiffness[k] - decay[k] * decay[k], 0.0))};
    }
  }
};

class Exponential {
 public:
  Exponential(double step, const kernel::ArrowConstants<double>& arrow, int modes, double lump, int arrow_y)
      : step_(step),
        modes_(modes),
        arrow_y_(arrow_y),
        damping_time_(arrow.damping_time),
        bases_{BendingModes(arrow, modes, 0.0), BendingModes(arrow, modes, lump)} {
    for (int b = 0; b < 2; ++b) {
      usual_[b] = shares(bases_[b], step);
    }
  }

  [[nodiscard]] Exponential with_step(double step) const {
    Exponential other = *this;
    other.step_ = step;
    for (int b = 0; b < 2; ++b) {
      other.usual_[b] = shares(bases_[b], step);
    }
    return other;
  }
  /// Instead of the Runge–Kutta step, half a kick, the linear motion, half a kick (Strang's splitting): second order,
  /// one evaluation. Forces that depend on velocity see it predicted over the step.
  [[nodiscard]] Exponential with_verlet() const {
    Exponential other = *this;
    other.verlet_ = true;
    return other;
  }

  template <class System>
  double advance(System& system, const State& x, const State& rate, double time, State& x_new, State& rate_new) {
    take(system, x, rate, step_, usual_[attached(system)], x_new, rate_new, time);
    return step_;
  }
  template <class System>
  void land(System& system, const State& x, const State& rate, double time, double step, State& x_new,
            State& rate_new) {
    take(system, x, rate, step, shares(bases_[attached(system)], step), x_new, rate_new, time);
  }

 private:
  /// What a step does to each mode's z = η̇ − s̄ η, for which ż = s z + n.
  struct Shares {
    Eigen::ArrayXcd half, whole;            // exp(s h/2), exp(s h)
    Eigen::ArrayXcd inner;                  // h/2 φ₁(s h/2)
    Eigen::ArrayXcd first, middle, fourth;  // of the step's end
  };
  struct Parts {
    State nonlinear;           // rate of everything but the swinging modes
    Eigen::ArrayXcd force[2];  // n of the swinging modes, per plane
  };

  template <class System>
  static int attached(const System& system) {
    return system.contact_modes.string > 0.5 ? 1 : 0;
  }

  static Shares shares(const BendingModes& basis, double step) {
    const Eigen::Index n = basis.root.size();
    Shares s;
    for (Eigen::ArrayXcd* part : {&s.half, &s.whole, &s.inner, &s.first, &s.middle, &s.fourth}) {
      part->resize(n);
    }
    for (Eigen::Index k = 0; k < n; ++k) {
      const std::complex<double> z = basis.root[k] * step;
      std::complex<double> phi[3];
      phi_functions(0.5 * z, phi);
      s.half[k] = std::exp(0.5 * z);
      s.whole[k] = std::exp(z);
      s.inner[k] = 0.5 * step * phi[0];
      phi_functions(z, phi);
      s.first[k] = step * (phi[0] - 3.0 * phi[1] + 4.0 * phi[2]);
      s.middle[k] = step * (2.0 * phi[1] - 4.0 * phi[2]);
      s.fourth[k] = step * (4.0 * phi[2] - phi[1]);
    }
    return s;
  }
  /// φ₁, φ₂, φ₃: by their series near zero, where the closed forms cancel.
  static void phi_functions(std::complex<double> z, std::complex<double> (&phi)[3]) {
    if (std::abs(z) > 1.0) {
      phi[0] = (std::exp(z) - 1.0) / z;
      phi[1] = (phi[0] - 1.0) / z;
      phi[2] = (phi[1] - 0.5) / z;
      return;
    }
    double factorial = 1.0;
    for (int j = 0; j < 3; ++j) {
      factorial *= j + 1;
      std::complex<double> term = 1.0 / factorial;
      phi[j] = term;
      for (int k = j + 2; k < 24; ++k) {
        term *= z / static_cast<double>(k);
        phi[j] += term;
      }
    }
  }

  [[nodiscard]] Eigen::Index place(int plane, Eigen::Index offset) const { return arrow_y_ + plane * modes_ + offset; }
  /// x with the arrow's parts in the basis, or back.
  void turn(const Eigen::MatrixXd& matrix, State& x) const {
    const Eigen::Index n = x.size() / 2;
    for (int plane = 0; plane < 2; ++plane) {
      for (const Eigen::Index part : {place(plane, 0), n + place(plane, 0)}) {
        x.segment(part, modes_) = (matrix * x.segment(part, modes_).matrix()).array().eval();
      }
    }
  }
  Eigen::ArrayXcd amplitudes(const BendingModes& basis, const State& y, int plane) const {
    const Eigen::Index n = y.size() / 2;
    return y.segment(n + place(plane, 0), modes_) - basis.root.conjugate() * y.segment(place(plane, 0), modes_);
  }
  void put(const BendingModes& basis, const Eigen::ArrayXcd& z, int plane, State& y) const {
    const Eigen::Index n = y.size() / 2;
    for (Eigen::Index k = 0; k < modes_; ++k) {
      if (basis.swinging[k]) {
        const double eta = z[k].imag() / basis.root[k].imag();
        y[place(plane, k)] = eta;
        y[n + place(plane, k)] = z[k].real() + basis.root[k].real() * eta;
      }
    }
  }
  /// The rate of a state in the basis, from the rate outside it.
  void split(const BendingModes& basis, const State& y, const State& rate, Parts& parts) const {
    const Eigen::Index n = y.size() / 2;
    parts.nonlinear = rate;
    turn(basis.to_modal, parts.nonlinear);
    for (int plane = 0; plane < 2; ++plane) {
      parts.force[plane] = (parts.nonlinear.segment(n + place(plane, 0), modes_) +
                            basis.stiffness * (y.segment(place(plane, 0), modes_) +
                                               damping_time_ * y.segment(n + place(plane, 0), modes_)))
                               .cast<std::complex<double>>();
    }
  }

  template <class System>
  void evaluate(System& system, const BendingModes& basis, const State& y, double time, Parts& parts) {
    outside_ = y;
    turn(basis.from_modal, outside_);
    system(outside_, slope_, time);
    split(basis, y, slope_, parts);
  }

  template <class System>
  void take(System& system, const State& x, const State& rate, double h, const Shares& s, State& x_new, State& rate_new,
            double time) {
    const BendingModes& basis = bases_[attached(system)];
    State y = x;
    turn(basis.to_modal, y);
    if (verlet_) {
      kick_drift_kick(system, basis, y, rate, h, s, x_new, rate_new, time);
      return;
    }
    const Eigen::ArrayXcd z[2] = {amplitudes(basis, y, 0), amplitudes(basis, y, 1)};
    Eigen::ArrayXcd first[2];
    split(basis, y, rate, k1_);
    stage_ = y + 0.5 * h * k1_.nonlinear;
    for (int p = 0; p < 2; ++p) {
      first[p] = s.half * z[p] + s.inner * k1_.force[p];
      put(basis, first[p], p, stage_);
    }
    evaluate(system, basis, stage_, time + 0.5 * h, k2_);
    stage_ = y + 0.5 * h * k2_.nonlinear;
    for (int p = 0; p < 2; ++p) {
      put(basis, s.half * z[p] + s.inner * k2_.force[p], p, stage_);
    }
    evaluate(system, basis, stage_, time + 0.5 * h, k3_);
    stage_ = y + h * k3_.nonlinear;
    for (int p = 0; p < 2; ++p) {
      put(basis, s.half * first[p] + s.inner * (2.0 * k3_.force[p] - k1_.force[p]), p, stage_);
    }
    evaluate(system, basis, stage_, time + h, k4_);
    x_new = y + h / 6.0 * (k1_.nonlinear + 2.0 * (k2_.nonlinear + k3_.nonlinear) + k4_.nonlinear);
    for (int p = 0; p < 2; ++p) {
      put(basis,
          s.whole * z[p] + s.first * k1_.force[p] + s.middle * (k2_.force[p] + k3_.force[p]) + s.fourth * k4_.force[p],
          p, x_new);
    }
    turn(basis.from_modal, x_new);
    system(x_new, rate_new, time + h);
  }

  template <class System>
  void kick_drift_kick(System& system, const BendingModes& basis, const State& y, const State& rate, double h,
                       const Shares& s, State& x_new, State& rate_new, double time) {
    const Eigen::Index n = y.size() / 2;
    split(basis, y, rate, k1_);
    const State half = y.tail(n) + 0.5 * h * k1_.nonlinear.tail(n);
    State& moved = stage_;
    moved = y;
    moved.head(n) += h * half;
    Eigen::ArrayXcd drifted[2];
    for (int p = 0; p < 2; ++p) {
      drifted[p] = s.whole * (amplitudes(basis, y, p) + 0.5 * h * k1_.force[p]);
    }
    State end = moved;
    end.tail(n) = half + 0.5 * h * k1_.nonlinear.tail(n);  // as predicted
    for (int p = 0; p < 2; ++p) {
      put(basis, drifted[p] + 0.5 * h * k1_.force[p], p, end);
    }
    evaluate(system, basis, end, time + h, k2_);
    end.tail(n) = half + 0.5 * h * k2_.nonlinear.tail(n);
    for (int p = 0; p < 2; ++p) {
      put(basis, drifted[p] + 0.5 * h * k2_.force[p], p, end);
    }
    x_new = end;
    turn(basis.from_modal, x_new);
    rate_new = slope_;  // of the predicted velocities
    rate_new.head(n) = x_new.tail(n);
  }

  double step_;
  bool verlet_ = false;
  Eigen::Index modes_, arrow_y_;
  double damping_time_;
  BendingModes bases_[2];  // free, on the string
  Shares usual_[2];
  Parts k1_, k2_, k3_, k4_;
  State stage_, outside_, slope_;
};

}  // namespace nockwise::bench
