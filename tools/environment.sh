#!/bin/sh
# Create the virtual environment named by the first argument with the first Python of 3.11 or later that can make one.
set -eu
folder=$1
here=$(dirname "$0")

is_recent() { "$1" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; }
makes_environments() { "$1" -c 'import ensurepip, venv' 2>/dev/null; }

recent=""
for name in ${PYTHON:-} python3.11 python3.12 python3.13 python3.14 python3; do
    if command -v "$name" >/dev/null 2>&1 && is_recent "$name"; then
        [ -n "$recent" ] || recent=$name
        if makes_environments "$name"; then
            "$name" -m venv "$folder"
            exit 0
        fi
    fi
done

if [ -z "$recent" ]; then
    echo "Volplane needs Python 3.11 or later, and none of python3.11 to python3.14, python3 is one." >&2
    echo "Install one (Debian: apt-get install python3 python3-venv), or name it: make PYTHON=/path/to/python" >&2
    exit 1
fi
# Debian keeps the module venv in a package of its own, named after the version
version=$("$recent" -c 'import sys; print("%d.%d" % sys.version_info[:2])')
sh "$here/system_package.sh" "" "python$version-venv"
"$recent" -m venv "$folder"
