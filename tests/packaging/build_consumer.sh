#!/bin/sh
# Configure, build and run the consumers.
# usage: build_consumer.sh CMAKE BUILD_DIRECTORY CMAKE_OPTION...
set -eu

cmake=$1
build=$2
shift 2
source=$(dirname "$0")/consumer
examples=$source/../../../examples

"$cmake" -G Ninja -S "$source" -B "$build" -DCMAKE_BUILD_TYPE= "$@"
"$cmake" --build "$build" --target consumers
"$build/consumer" "$examples/setups/larkspur.toml"
"$build/eigen_user" "$examples/cases/came-in.toml"
"$build/toml_user"
