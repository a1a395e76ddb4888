#!/bin/sh
# Configure, build and run the consumer.
# usage: build_consumer.sh CMAKE BUILD_DIRECTORY CMAKE_OPTION...
set -eu

cmake=$1
build=$2
shift 2
source=$(dirname "$0")/consumer

"$cmake" -G Ninja -S "$source" -B "$build" -DCMAKE_BUILD_TYPE= "$@"
"$cmake" --build "$build"
"$build/consumer" "$source/../../../examples/setups/larkspur.toml"
