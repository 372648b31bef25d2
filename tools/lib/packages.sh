# Installs Debian's packages, only those that are missing, and says so. Needs say.sh.

# The packages of packages.txt that are needed for "build", or for "build" and "test".
packages_for() {
    awk -v stage="$1" '/^[^#]/ && NF >= 3 && ($2 == "build" || $2 == stage) { print $1 }' \
        "$tools/lib/packages.txt"
}

# Those of the arguments that are not installed, by themselves or as what another package provides
# (a newer nodejs than Debian's brings npm along). Asks the local list only, never the network.
packages_missing() {
    local installed
    installed=$(dpkg-query -W -f '${db:Status-Status} ${Package}, ${Provides}\n' 2>/dev/null |
        sed -n 's/^installed //p' | tr ',' '\n' | awk 'NF > 0 { print $1 }')
    local name
    for name in "$@"; do
        grep -qxF "$name" <<<"$installed" || echo "$name"
    done
}

# Runs a command as the administrator.
as_root() {
    if [ "$(id -u)" -eq 0 ]; then
        "$@"
    else
        sudo "$@"
    fi
}

packages_apt() {
    as_root env DEBIAN_FRONTEND=noninteractive apt-get -qq update &&
        as_root env DEBIAN_FRONTEND=noninteractive \
            apt-get install -qq -y --no-install-recommends -o Dpkg::Use-Pty=0 "$@" >"$packages_log" 2>&1
}

# packages_install build|test: nothing is done, and no network is needed, when nothing is missing.
packages_install() {
    if ! command -v dpkg-query >/dev/null; then
        complain "this is no Debian; install what corresponds to tools/lib/packages.txt yourself"
        return 0
    fi
    local missing
    mapfile -t missing < <(packages_missing $(packages_for "$1"))
    if [ "${#missing[@]}" -eq 0 ]; then
        return 0
    fi
    say "Installing ${#missing[@]} packages of Debian's: ${missing[*]}"
    if [ "$(id -u)" -ne 0 ] && ! command -v sudo >/dev/null; then
        complain "there is no sudo here; let an administrator run:"
        complain "apt-get install --no-install-recommends ${missing[*]}"
        return 1
    fi
    packages_log=$(mktemp)
    if ! packages_apt "${missing[@]}"; then
        tail -n 20 "$packages_log" >&2
        rm -f "$packages_log"
        complain "the packages could not be installed; is the network there?"
        return 1
    fi
    rm -f "$packages_log"
}
