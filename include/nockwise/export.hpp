#pragma once

/// @file
/// What a library built from these headers shows to the programs that link it.

/// Stands in front of the namespace of every public header: what is declared in it can be linked, and its exceptions
/// can be caught, from outside. Everything else, with all that is compiled in, is hidden.
#if defined(__GNUC__)
#define NOCKWISE_EXPORT [[gnu::visibility("default")]]
#else
#define NOCKWISE_EXPORT
#endif
