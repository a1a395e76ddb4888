#!/bin/sh
# No function that other sources could share may be compiled for a newer instruction set: the linker might take that copy for all.
# $1: a folder with the objects of the library
set -eu
status=0
for object in $(find "$1" -path '*/lanes/avx*.o'); do
  shared=$(nm -C "$object" | grep -E ' [WVu] ' | grep -vE 'Pack<|Avx|DW\.ref|kernel::half_sign' || true)
  if [ -n "$shared" ]; then
    echo "$object defines functions that others share:" >&2
    echo "$shared" >&2
    status=1
  fi
done
exit $status
