# Line and branch counts for gcov; run ctest, then `gcov` or gcovr over the build directory.
set(CMAKE_GENERATOR Ninja CACHE INTERNAL "")
set(CMAKE_BUILD_TYPE Debug CACHE STRING "")
set(CMAKE_CXX_FLAGS_DEBUG "-O0 -g --coverage" CACHE STRING "")
