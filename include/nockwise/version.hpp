#pragma once

/// @file
/// The version of these headers. As long as the first number is 0, another second number may mean another interface.

#define NOCKWISE_VERSION_MAJOR 0  ///< changes with the interface, once it is above 0
#define NOCKWISE_VERSION_MINOR 1  ///< changes with the interface as long as the major version is 0
#define NOCKWISE_VERSION_PATCH 0  ///< repairs only
#define NOCKWISE_VERSION "0.1.0"  ///< the three, as text
