# What users get, with the examples and benchmarks.
set(CMAKE_GENERATOR Ninja CACHE INTERNAL "")
set(CMAKE_BUILD_TYPE Release CACHE STRING "")
set(NOCKWISE_BUILD_TESTS OFF CACHE BOOL "")
