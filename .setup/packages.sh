#!/bin/sh
# Installs through apt-get what building, checking and running the examples need, and the packages named as arguments. Does nothing
# when all of it is there.
set -eu

packages="build-essential cmake ninja-build ccache git clang-format clang-tidy
libeigen3-dev libboost-dev libtomlplusplus-dev nlohmann-json3-dev libcli11-dev
libgtest-dev libbenchmark-dev libceres-dev
python3 python3-dev python3-venv $*"

missing=""
for package in $packages; do
  state=$(dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null || true)
  [ "$state" = installed ] || missing="$missing $package"
done

if [ -z "$missing" ]; then
  echo "packages: all there"
  exit 0
fi

echo "packages: installing$missing"
as_root=""
if [ "$(id -u)" -ne 0 ]; then
  as_root="sudo"
fi
$as_root env DEBIAN_FRONTEND=noninteractive apt-get update -q
# shellcheck disable=SC2086 # the list is meant to be split
$as_root env DEBIAN_FRONTEND=noninteractive apt-get install -q -y --no-install-recommends $missing
echo "packages: done"
