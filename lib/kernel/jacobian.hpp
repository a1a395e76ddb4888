// Derivatives of the right-hand side by the state (lib/README.md, "Equations of motion").
//
// The right-hand side is a template over its scalar; a number with derivatives (numerics/derivative.hpp) goes through
// it eight states at a time. What is found by iteration comes out right, too: a run direction starts from the settled
// one as a constant, and the one step of Newton's method that every call makes, u − F/F_u with F = 0, has the
// derivative −F_p/F_u, that of the implicit function.
#pragma once

#include "kernel/line_loads.hpp"

namespace nockwise::kernel {

/// ∂q̈/∂[q, q̇] into `jacobian`, row-major, n × 2n with n = Layout::size(). `run_directions` must be settled at `q`.
template <int Links>
void jacobian_of_accelerations(const Constants<double, Links>& constants, const Topology& topology,
                               const ContactModes<double>& contact_modes, const double* q, const double* v,
                               const RunDirections<double>& run_directions, double* jacobian);

}  // namespace nockwise::kernel
