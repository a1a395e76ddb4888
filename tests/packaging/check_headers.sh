#!/bin/sh
# Every public header compiles alone, with warnings as errors, and includes nothing but itself and the standard library.
# usage: check_headers.sh COMPILER INCLUDE_DIRECTORY
set -eu

compiler=$1
include=$2
failed=0
count=0
uses=$(mktemp)
trap 'rm -f "$uses"' EXIT

for header in "$include"/nockwise/*.hpp; do
  count=$((count + 1))
  name=nockwise/$(basename "$header")
  # Twice, so that a missing `#pragma once` is seen; -MD and not -MMD, which would leave out Boost with the system's headers.
  if ! printf '#include <%s>\n#include <%s>\n' "$name" "$name" |
    "$compiler" -std=c++20 -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Werror -I"$include" -x c++ -fsyntax-only \
      -MD -MT x -MF "$uses" -; then
    echo "$name does not compile alone" >&2
    failed=1
    continue
  fi
  for path in $(cat "$uses"); do
    case $path in
      */boost/* | */Eigen/* | */toml++/* | */nlohmann/* | */kernel/*)
        echo "$name includes $path" >&2
        failed=1
        break
        ;;
    esac
  done
  # Or its functions could not be linked.
  if grep -nE '^namespace nockwise' "$header" >&2; then
    echo "$name opens its namespace without NOCKWISE_EXPORT" >&2
    failed=1
  fi
  # The scalar that the kernels are templates over stays inside.
  if grep -nE 'template *<[^>]*(Scalar|class Real)' "$header" >&2; then
    echo "$name shows a scalar template" >&2
    failed=1
  fi
done

[ "$count" -gt 10 ] || { echo "only $count headers in $include/nockwise" >&2; failed=1; }
[ "$failed" -eq 0 ] && echo "$count headers compile alone"
exit "$failed"
