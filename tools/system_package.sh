#!/bin/sh
# Make sure that a program is there: system_package.sh PROGRAM PACKAGE. An empty PROGRAM means that it is known to be missing.
# Debian's package is installed when we may do that; otherwise the command that does it is named.
set -eu
program=$1
package=$2

[ -n "$program" ] && command -v "$program" >/dev/null 2>&1 && exit 0

command="apt-get install --yes --no-install-recommends $package"
if ! command -v apt-get >/dev/null 2>&1; then
    echo "${program:-$package} is missing. Install it with this system's package manager (on Debian: $command)." >&2
    exit 1
fi
if [ "$(id -u)" -ne 0 ]; then
    echo "${program:-$package} is missing. Run: sudo $command" >&2
    exit 1
fi
echo "Installing the system package $package..."
export DEBIAN_FRONTEND=noninteractive
# a fresh machine has no package lists yet
$command >/dev/null 2>&1 || { apt-get update --quiet=2 && $command >/dev/null; } || {
    echo "$package could not be installed. Run: $command" >&2
    exit 1
}
