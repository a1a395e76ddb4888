#!/bin/sh
# Makes .venv from Debian's Python and installs into it the tools of .setup/requirements.txt and, where bindings/ is there, the
# nockwise package. Stamps hold hashes of what went in, so that a run with nothing new does nothing.
set -eu
cd "$(dirname "$0")/.."

venv=.venv
hash_of() { sha256sum | cut -d ' ' -f 1; }
unchanged() { [ "$(cat "$venv/$1.stamp" 2>/dev/null || true)" = "$2" ]; }

if [ ! -x "$venv/bin/python" ]; then
  echo "python: making $venv"
  /usr/bin/python3 -m venv "$venv"
fi

requirements=$(cat .setup/requirements.txt | hash_of)
if unchanged requirements "$requirements"; then
  echo "python: tools all there"
else
  echo "python: installing the tools"
  "$venv/bin/python" -m pip install --quiet --disable-pip-version-check -r .setup/requirements.txt
  echo "$requirements" >"$venv/requirements.stamp"
fi

if [ -f bindings/pyproject.toml ]; then
  package=$({
    echo "$requirements"
    find CMakeLists.txt LICENSE .cmake include lib bindings examples/setups examples/cases examples/sweeps examples/cams -type f ! -name '*.pyc' \
      ! -path '*/__pycache__/*' ! -path 'bindings/build/*' ! -path 'bindings/dist/*' ! -path '*_cache/*' -print0 |
      sort -z | xargs -0 sha256sum
  } | hash_of)
  if unchanged package "$package"; then
    echo "python: nockwise is up to date"
  else
    echo "python: building and installing nockwise"
    # The types of the extension module repeat the comments of the public headers.
    "$venv/bin/python" bindings/tools/describe.py --headers include/nockwise --stub bindings/nockwise/_core.pyi
    rm -rf "$venv/wheel"
    "$venv/bin/python" -m pip wheel --quiet --disable-pip-version-check --no-deps --wheel-dir "$venv/wheel" ./bindings
    "$venv/bin/python" -m pip install --quiet --disable-pip-version-check --force-reinstall --no-deps "$venv"/wheel/*.whl
    # The files of examples/ name their schemas in their first lines, for editors.
    "$venv/bin/nockwise" schema --all examples/schemas
    echo "$package" >"$venv/package.stamp"
  fi
fi
