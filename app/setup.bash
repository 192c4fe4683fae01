# SPDX-License-Identifier: GPL-3.0-or-later
# Shared by app/run, tests/run and .ci/run: what has to be installed, and how a preset is built.
# Sourced after `set -euo pipefail`, with $root naming the repository.
# shellcheck shell=bash disable=SC2034,SC2154

# Needed to build and to run the program.
build_packages=(
    g++ cmake ninja-build pkg-config ccache ca-certificates
    libavformat-dev libavcodec-dev libswscale-dev libavutil-dev
    libopencv-core-dev libopencv-imgproc-dev
    libsqlitecpp-dev nlohmann-json3-dev libcli11-dev libspdlog-dev libboost-dev
    libboost-math-dev libexpected-dev
    qt6-base-dev qt6-svg-dev qt6-qpa-plugins libqcustomplot-dev fonts-dejavu-core
)
# Needed by the tests on top of that.
test_packages=(libgtest-dev libgmock-dev ffmpeg python3 python3-numpy locales xvfb xauth)
# Needed by .ci/run on top of that.
tidy_packages=(clang-tidy)

# A bare container may start a shell without it.
if [[ -z ${HOME:-} ]]; then
    HOME=$(getent passwd "$EUID" | cut -d: -f6)
    export HOME
fi

say() { printf '%s\n' "$*" >&2; }

give_up() {
    say "$1"
    exit 1
}

is_installed() {
    [[ $(dpkg-query --show --showformat='${db:Status-Status}' "$1" 2>/dev/null) == installed ]]
}

# Prints the packages of the list that are not installed yet.
missing_packages() {
    local package
    for package in "$@"; do
        is_installed "$package" || printf '%s\n' "$package"
    done
}

# apt_install [PREFIX...] -- PACKAGE...: the prefix is sudo, or nothing for root.
apt_install() {
    local -a as_root=()
    while [[ $1 != -- ]]; do
        as_root+=("$1")
        shift
    done
    shift
    local -a environment=(env DEBIAN_FRONTEND=noninteractive)
    "${as_root[@]}" "${environment[@]}" apt-get update --quiet --quiet >&2
    "${as_root[@]}" "${environment[@]}" apt-get install --yes --quiet --quiet \
        --no-install-recommends -o Dpkg::Use-Pty=0 "$@" >&2
}

# Installs what is missing from the list: at once for root, after a question for anybody else.
install_missing() {
    if ! command -v dpkg-query >/dev/null || ! command -v apt-get >/dev/null; then
        give_up "This script sets up Debian 12. Elsewhere, install the counterparts of: $*"
    fi
    local -a missing
    mapfile -t missing < <(missing_packages "$@")
    ((${#missing[@]})) || return 0
    if ((EUID == 0)); then
        say "Installing ${#missing[@]} packages: ${missing[*]}"
        apt_install -- "${missing[@]}" || give_up "apt-get could not install the packages above."
        return
    fi
    local by_hand="apt-get install --no-install-recommends ${missing[*]}"
    if ! command -v sudo >/dev/null || [[ ! -t 0 ]]; then
        give_up "These packages are missing; install them as root, then start this again:
  $by_hand"
    fi
    say "These packages are missing: ${missing[*]}"
    local answer
    read -r -p "Install them with sudo apt-get? [y/N] " answer
    [[ $answer == [yY]* ]] || give_up "Nothing was installed. By hand, as root:
  $by_hand"
    apt_install sudo -- "${missing[@]}" || give_up "apt-get could not install the packages above."
}

# Shows the output of a step only when it fails: the second run has nothing to say.
quietly() {
    local log status=0
    log=$(mktemp)
    "$@" >"$log" 2>&1 || status=$?
    ((status == 0)) || cat "$log" >&2
    rm -f "$log"
    return "$status"
}

# build_preset PRESET [TARGET...]: configures and builds into .build/PRESET.
build_preset() {
    local preset=$1
    shift
    local -a launcher=()
    if command -v ccache >/dev/null; then
        launcher=(-D CMAKE_CXX_COMPILER_LAUNCHER=ccache)
        # Two checkouts of the same commit share their objects.
        export CCACHE_BASEDIR=$root CCACHE_NOHASHDIR=1
    fi
    (
        cd "$root" || exit
        quietly cmake --preset "$preset" "${launcher[@]}" || give_up "The build could not be set up; see above."
        local -a targets=()
        (($#)) && targets=(--target "$@")
        NINJA_STATUS='[%f/%t %es] ' cmake --build --preset "$preset" "${targets[@]}" \
            --parallel "$(nproc)" >&2 || give_up "The build failed; see above."
    )
}
