#!/bin/sh
# Makes .venv and installs floatbowl in it; a second run installs nothing.
#   ./setup.sh        what running needs
#   ./setup.sh test   what the tests need as well, Chromium included
set -eu
cd "$(dirname "$0")"

stop() {
    echo "$1" >&2
    exit 1
}

version_of() {
    "$1" -c 'import sys; print("%d.%d" % sys.version_info[:2])' 2>/dev/null || true
}

new_enough() {
    major=${1%%.*}
    minor=${1#*.}
    [ "$major" -gt 3 ] || { [ "$major" -eq 3 ] && [ "$minor" -ge 11 ]; }
}

find_python() {
    found=''
    for python in ${PYTHON:-python3 python3.13 python3.12 python3.11}; do
        version=$(version_of "$python")
        if [ -n "$version" ] && new_enough "$version"; then
            return
        fi
        found=${found:-$version}
    done
    stop "floatbowl needs Python 3.11 or newer and found ${found:-none}: install one (on Debian or Ubuntu: apt-get install python3.11 python3.11-venv), then run make again."
}

make_venv() {
    find_python
    "$python" -c 'import venv, ensurepip' 2>/dev/null ||
        stop "Python $version here cannot make virtual environments: install its venv package (on Debian or Ubuntu: apt-get install python$version-venv), then run make again."
    rm -rf .venv
    "$python" -m venv .venv
}

# A checkout that was moved, or whose Python went away, needs a new .venv: its programs name the old place.
venv_works() {
    grep -qF "$PWD/.venv" .venv/bin/activate 2>/dev/null && version=$(version_of .venv/bin/python) &&
        [ -n "$version" ] && new_enough "$version"
}

wanted() {
    cat pyproject.toml constraints.txt | cksum
}

is_installed() {
    [ "$(cat ".venv/installed-$1" 2>/dev/null)" = "$(wanted)" ]
}

install() {
    echo "Installing what floatbowl needs in .venv (a minute or two, once) ..."
    .venv/bin/python -m pip install -qq --no-compile --disable-pip-version-check -c constraints.txt -e "$1" ||
        stop "Installing failed; the lines above say why (most often: no way to the package index)."
}

ready_to_run() {
    is_installed run || is_installed test || { install '.[photo]' && wanted >.venv/installed-run; }
}

ready_to_test() {
    is_installed test || { install '.[photo,test]' && wanted >.venv/installed-test; }
    has_chromium || install_chromium
}

has_chromium() {
    command -v chromium >/dev/null || command -v chromium-browser >/dev/null
}

install_chromium() {
    as_root=''
    if [ "$(id -u)" -ne 0 ]; then
        as_root='sudo -n'
    fi
    if ! command -v apt-get >/dev/null || { [ -n "$as_root" ] && ! $as_root true 2>/dev/null; }; then
        stop "The tests need Chromium: install it (on Debian: apt-get install chromium, as root), then run make test again."
    fi
    echo "Installing Chromium for the tests ..."
    $as_root apt-get update -qq &&
        $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -qq -y --no-install-recommends chromium >/dev/null ||
        stop "Chromium could not be installed; the lines above say why."
}

venv_works || make_venv
case "${1:-run}" in
run) ready_to_run ;;
test) ready_to_test ;;
*) stop "setup.sh: '$1' is not known; say nothing, or test." ;;
esac
