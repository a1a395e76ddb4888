#!/bin/sh
# The same bits from the C library's routines with fused multiply-add and from those without, which glibc chooses between by the
# machine. (Its sines do differ by the last bit here and there; what of them reaches a shot does not.)
# usage: run.sh PRINT_BITS
set -eu

folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
"$1" >"$folder/usual"
GLIBC_TUNABLES=glibc.cpu.hwcaps=-FMA,-AVX2,-AVX512F "$1" >"$folder/plain"
[ "$(wc -l <"$folder/usual")" -ge 60 ]
diff "$folder/usual" "$folder/plain" && echo "the same bits"
