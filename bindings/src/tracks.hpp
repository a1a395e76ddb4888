/// @file
/// Tracks from Python.
#pragma once

#include "nockwise/track.hpp"
#include "python.hpp"

#include <optional>
#include <string>

namespace nockwise::python {

/// A track as Python gives it: a CircleTrack, SplineTrack or GrooveTrack; nothing for None.
/// @throws InputError for anything else
std::optional<Track> track_from_python(const py::object& value, const std::string& path);

}  // namespace nockwise::python
