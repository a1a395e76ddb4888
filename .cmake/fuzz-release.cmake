# Fuzz targets for Clang's libFuzzer as they are shipped, without sanitizers, to get through a million inputs:
# `sh tests/fuzz/run 100000x`.
set(CMAKE_GENERATOR Ninja CACHE INTERNAL "")
set(CMAKE_CXX_COMPILER clang++ CACHE STRING "")
set(CMAKE_BUILD_TYPE Release CACHE STRING "")
set(CMAKE_CXX_FLAGS_RELEASE "-O2 -g1 -fsanitize=fuzzer-no-link -fno-omit-frame-pointer" CACHE STRING "")
set(NOCKWISE_FUZZER ON CACHE BOOL "")
# GCC decides which warnings are errors; Clang reads the same sources with others.
set(NOCKWISE_WARNINGS_AS_ERRORS OFF CACHE BOOL "")
set(NOCKWISE_PRECOMPILED_HEADERS OFF CACHE BOOL "")
set(NOCKWISE_ROOMS_TOGETHER OFF CACHE BOOL "")
