# For daily work: assertions on, library checks on, quick to compile and still quick enough to run.
set(CMAKE_GENERATOR Ninja CACHE INTERNAL "")
set(CMAKE_BUILD_TYPE Debug CACHE STRING "")
set(CMAKE_CXX_FLAGS_DEBUG "-O1 -g1 -D_GLIBCXX_ASSERTIONS" CACHE STRING "")
# One source, one object: quick after a change, and what clang-tidy reads.
set(NOCKWISE_ROOMS_TOGETHER OFF CACHE BOOL "")
