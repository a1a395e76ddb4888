#!/bin/sh
# A program without CMake, by way of pkg-config; and the version in the header is the version of the package.
# usage: check_pkg_config.sh COMPILER PKGCONFIG_FOLDER VERSION
set -eu

compiler=$1
export PKG_CONFIG_PATH="$2"
version=$3
command -v pkg-config >/dev/null || { echo "pkg-config is not installed: skipped"; exit 77; }

built=$(mktemp -d)
trap 'rm -rf "$built"' EXIT
cat >"$built/use.cpp" <<'END'
#include <nockwise/nockwise.hpp>

#include <cstdio>

int main() {
  const double speed = nockwise::parse_quantity("278 ft/s", nockwise::Quantity::speed);
  std::printf("%s %d.%d.%d\n", NOCKWISE_VERSION, NOCKWISE_VERSION_MAJOR, NOCKWISE_VERSION_MINOR, NOCKWISE_VERSION_PATCH);
  return speed > 84.0 && speed < 85.0 ? 0 : 1;
}
END
# shellcheck disable=SC2046 # a list of options
"$compiler" -std=c++20 "$built/use.cpp" $(pkg-config --cflags --libs --static nockwise) -o "$built/use"
told=$("$built/use")
[ "$told" = "$version $version" ] || { echo "the header says $told, the package $version" >&2; exit 1; }
[ "$(pkg-config --modversion nockwise)" = "$version" ]
echo "nockwise $version by pkg-config"
