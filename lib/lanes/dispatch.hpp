// Many launches side by side in the lanes of a pack (lanes/launches.hpp), on the widest vectors of the machine
// that runs them. Private.
//
// The engines are compiled once per instruction set (lanes/<instruction set>.cpp, with its compiler flags) and chosen
// at run time. What crosses the border between them and the rest of the library is plain data and pointers to
// functions, so that no inline function compiled for a newer machine can be linked into a program on an older one.
#pragma once

#include "launch/record.hpp"
#include "statics/evaluation_request.hpp"

#include <cstddef>
#include <vector>

namespace nockwise::detail {

struct LaneOptions {
  double time_limit = 0.0;  // [s]
};

inline constexpr int max_event_records = 64;

/// What a lane has recorded of its launch. `diverged`: the step was too long; `overflowed`: it met more events than
/// there is room for.
template <int Links>
struct LaneResult {
  bool diverged = false;
  bool overflowed = false;
  int event_count = 0;
  EventRecord event[max_event_records];
  LaunchRecord<Links> record;
};

/// Where launches come from and results go to, all of one topology.
template <int Links>
struct LaneSupply {
  void* context = nullptr;
  /// The next launch for this lane; false when there is none left.
  bool (*next)(void* context, int lane, LaneStart<Links>& start) = nullptr;
  /// This lane's launch has ended.
  void (*done)(void* context, int lane, const LaneResult<Links>& result) = nullptr;
};

/// Where evaluations of static loads come from, each lane from one bow at a time, all of one topology.
template <int Links>
struct StaticSupply {
  void* context = nullptr;
  /// The lane's last request, if it had one, is answered: its next; false when there is none left for it.
  bool (*next)(void* context, int lane, EvaluationRequest<Links>& request) = nullptr;
};

template <int Links>
using RunStatics = void (*)(const kernel::Topology& topology, const StaticSupply<Links>& supply);

template <int Links>
using RunLanes = void (*)(const kernel::Topology& topology, const LaneOptions& options,
                          const LaneSupply<Links>& supply);

/// An instruction set with its engines for bows of one and of two links.
struct LaneBackend {
  const char* name;
  int lanes;
  RunLanes<1> run1;
  RunLanes<2> run2;
  RunStatics<1> statics1;
  RunStatics<2> statics2;
};

extern const LaneBackend portable_lanes;
#ifdef NOCKWISE_X86_LANES
extern const LaneBackend avx512_lanes, avx2_lanes;
#endif

/// The widest that this machine runs.
const LaneBackend& lane_backend();
/// All that it runs, narrowest first; for tests and benchmarks.
std::vector<const LaneBackend*> lane_backends();

}  // namespace nockwise::detail
