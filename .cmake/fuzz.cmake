# Fuzz targets for Clang's libFuzzer, with address and undefined-behaviour sanitizers: `sh tests/run fuzz`.
set(CMAKE_GENERATOR Ninja CACHE INTERNAL "")
set(CMAKE_CXX_COMPILER clang++ CACHE STRING "")
set(CMAKE_BUILD_TYPE Debug CACHE STRING "")
set(CMAKE_CXX_FLAGS_DEBUG
    "-O1 -g1 -fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer"
    CACHE STRING "")
set(NOCKWISE_FUZZER ON CACHE BOOL "")
# GCC decides which warnings are errors; Clang reads the same sources with others.
set(NOCKWISE_WARNINGS_AS_ERRORS OFF CACHE BOOL "")
set(NOCKWISE_PRECOMPILED_HEADERS OFF CACHE BOOL "")
set(NOCKWISE_ROOMS_TOGETHER OFF CACHE BOOL "")
