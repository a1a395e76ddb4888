#!/bin/sh
# What somebody links or loads shows names of nockwise only: a name of Eigen, toml++ or the standard library in it could be
# taken for the consumer's own of the same name, or the other way round.
# usage: check_symbols.sh archive|shared|module FILE
set -eu

kind=$1
file=$2
shown=$(mktemp)
trap 'rm -f "$shown"' EXIT

case $kind in
  archive) nm -g --defined-only --format=posix "$file" ;;
  *) nm -D --defined-only --format=posix "$file" ;;
esac | awk 'NF >= 2 && !/:$/ { print $1 }' | sort -u >"$shown"

if [ "$kind" = module ]; then
  allowed='^PyInit_'
  needed='PyInit__core'
else
  allowed='^_ZT[ISV]N8nockwise|^_ZN[KRO]*8nockwise'
  # Without the type information of an exception nobody could catch it.
  needed='_ZTIN8nockwise10InputErrorE _ZTIN8nockwise11SolverErrorE _ZN8nockwise7explainERKNS_4CaseERKNS_18ExplanationOptionsE'
fi

failed=0
if grep -vE "$allowed" "$shown" >/dev/null; then
  echo "$file shows $(grep -cvE "$allowed" "$shown") names that are not nockwise's, such as:" >&2
  grep -vE "$allowed" "$shown" | head -n 10 | c++filt >&2
  failed=1
fi
# Private ones: an internal function, or a kernel.
if grep -E '8nockwise(6detail|6kernel|12_GLOBAL__N_1)' "$shown" >/dev/null; then
  echo "$file shows private names, such as:" >&2
  grep -E '8nockwise(6detail|6kernel|12_GLOBAL__N_1)' "$shown" | head -n 10 | c++filt >&2
  failed=1
fi
for name in $needed; do
  grep -qxF "$name" "$shown" || { echo "$file does not show $name" >&2; failed=1; }
done
[ "$failed" -eq 0 ] && echo "$file: $(wc -l <"$shown") names, all of them nockwise's"
exit "$failed"
