# Installs verovio into tests/engraver, as package-lock.json there says. Needs say.sh.

# Nothing is done, and no network is needed, when what the lock names is there. npm leaves its own
# lock behind in node_modules once it has finished.
engraver_install() {
    local folder="$root/tests/engraver"
    local wanted="$folder/package-lock.json" there="$folder/node_modules/.package-lock.json"
    if [ -f "$there" ] && [ "$(engraver_version "$there")" = "$(engraver_version "$wanted")" ]; then
        return 0
    fi
    if ! command -v npm >/dev/null; then
        complain "verovio is missing, and there is no npm to install it with"
        return 1
    fi
    say "Installing verovio from npm"
    local log
    log=$(mktemp)
    if ! (cd "$folder" && npm ci --no-audit --no-fund) >"$log" 2>&1; then
        tail -n 20 "$log" >&2
        rm -f "$log"
        complain "verovio could not be installed from npm; is the network there?"
        return 1
    fi
    rm -f "$log"
}

# The version and checksum of verovio in a lock.
engraver_version() {
    sed -n '/"node_modules\/verovio"/,/}/{/"version"\|"integrity"/p}' "$1"
}
