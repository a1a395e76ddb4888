# Line counts for gcov, of threads too: `sh tests/run coverage`. Optimised for debugging only, so that lines stay lines.
set(CMAKE_GENERATOR Ninja CACHE INTERNAL "")
set(CMAKE_BUILD_TYPE Debug CACHE STRING "")
set(CMAKE_CXX_FLAGS_DEBUG "-Og -g1 --coverage -fprofile-update=atomic" CACHE STRING "")
set(NOCKWISE_PRECOMPILED_HEADERS OFF CACHE BOOL "")
set(NOCKWISE_ROOMS_TOGETHER OFF CACHE BOOL "")
