// What a Model holds. Private: public headers know it by name only.
#pragma once

#include "kernel/arrow_beam.hpp"
#include "kernel/line_loads.hpp"
#include "nockwise/error.hpp"
#include "nockwise/setup.hpp"

#include <Eigen/Core>

#include <array>
#include <memory>
#include <string>
#include <variant>
#include <vector>

namespace nockwise::detail {

/// One bow's coordinates at rest, in the order of kernel::Layout.
using Coordinates = std::array<double, kernel::max_coordinates>;

/// The two rigid and the lowest elastic modes of the free arrow in one plane: columns of `shapes` are mass-normalised.
struct ArrowModes {
  Eigen::VectorXd frequency;  // angular, the first two (rigid) are zero [rad/s]
  Eigen::MatrixXd shapes;     // nodes × modes
};

/// The numbers of links that are compiled: one limb segment; that plus a flexing riser end, or two segments; and so on.
using AnyConstants =
    std::variant<kernel::Constants<double, 1>, kernel::Constants<double, 2>, kernel::Constants<double, 3>,
                 kernel::Constants<double, 4>, kernel::Constants<double, 5>>;

struct ModelData {
  Setup setup;
  std::shared_ptr<const std::vector<CompiledTrack>> tracks;  // of upper and lower cam; models of one bow share them
  kernel::Topology topology;
  AnyConstants constants;
  kernel::NodalArrow<double> nodal{};  // the arrow's beam
  ArrowModes modes;                    // of that beam, all of them
  std::vector<double> shapes;          // of the modes that a launch keeps, row-major nodes × modes
  std::vector<double> spans;           // cubics between the nodes (kernel::ShapeTable)
  bool tried = true;                   // within the ranges on which the usual step was tried
  double balance_point = 0.0;          // mass centre of the arrow from the nock groove [m]
  Coordinates brace{};                 // riser at rest, nock free
  kernel::RunDirections<double> brace_run_directions{};
};

template <class Function>
decltype(auto) with_constants(const ModelData& data, Function&& function) {
  return std::visit(std::forward<Function>(function), data.constants);
}

/// Name of a half or of its parts in messages.
inline const char* half_name(int half) { return half == 0 ? "upper" : "lower"; }

/// Whether two setups are of the same bow: all but hand, arrow, rest and air.
bool same_bow(const Setup& a, const Setup& b);
/// Whether two setups of the same bow are held alike.
bool same_hand(const Setup& a, const Setup& b);

/// Compile everything that needs no equilibrium (lib/compile/). What `like`, if given, has of the same bow or the
/// same arrow is taken from there; the outcome is the same to the bit.
std::shared_ptr<ModelData> compile(Setup given, const ModelData* like = nullptr);
/// The same, braced: what a Model holds.
std::shared_ptr<const ModelData> compile_and_brace(const Setup& setup, const ModelData* like = nullptr);
/// The rigid pair and the lowest bending modes: `kept` in all as a launch has them, and four that bend to report.
ArrowModes free_modes(const kernel::NodalArrow<double>& arrow, int nodes, int kept, double balance_point);
kernel::ArrowConstants<double> compile_arrow(ModelData& data);
/// Take over what belongs to the arrow, but for its constants, from a model of the same arrow.
void share_arrow(const ModelData& like, ModelData& data);
/// The stiff side stands at `spine_direction` from the odd vane and turns with it.
kernel::SpineAround<double> spine_around(const Arrow& arrow);
kernel::RestConstants<double> compile_rest(const Setup& setup);
/// How many vanes there are that could strike anything: none of no length or height.
inline int vane_count(const Fletching& vanes) { return vanes.length > 0.0 && vanes.height > 0.0 ? vanes.count : 0; }
kernel::VaneConstants<double> compile_vanes(const Setup& setup, double half_width);
/// A track as the kernels read it; `track` keeps the rows of a spline.
kernel::TrackTable<double> table_of(const CompiledTrack& track);

}  // namespace nockwise::detail
