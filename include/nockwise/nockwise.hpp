#pragma once

/// @file
/// Everything, for programs that want one include.

#include "nockwise/adjustment.hpp"
#include "nockwise/bow_builder.hpp"
#include "nockwise/calibration.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/explanation.hpp"
#include "nockwise/files.hpp"
#include "nockwise/flight.hpp"
#include "nockwise/launch.hpp"
#include "nockwise/model.hpp"
#include "nockwise/outputs.hpp"
#include "nockwise/paper.hpp"
#include "nockwise/parameters.hpp"
#include "nockwise/report.hpp"
#include "nockwise/setup.hpp"
#include "nockwise/setup_file.hpp"
#include "nockwise/tear_matrix.hpp"
#include "nockwise/text.hpp"
#include "nockwise/track.hpp"
#include "nockwise/units.hpp"
#include "nockwise/version.hpp"
