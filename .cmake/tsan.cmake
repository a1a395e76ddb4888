# Thread sanitizer, for the sweeps.
# Instrumented, GCC 12 takes parts of std::regex for uninitialized (its bug 105562).
set(CMAKE_GENERATOR Ninja CACHE INTERNAL "")
set(CMAKE_BUILD_TYPE Debug CACHE STRING "")
set(CMAKE_CXX_FLAGS_DEBUG "-O1 -g1 -fsanitize=thread -Wno-maybe-uninitialized" CACHE STRING "")
set(NOCKWISE_BUILD_BENCH OFF CACHE BOOL "")
# The portable lanes are the same source.
set(NOCKWISE_X86_LANES OFF CACHE BOOL "")
set(NOCKWISE_PRECOMPILED_HEADERS OFF CACHE BOOL "")
set(NOCKWISE_ROOMS_TOGETHER OFF CACHE BOOL "")
