# How the tools speak: what they do, on standard output; what went wrong, on standard error.

say() {
    printf '\n== %s\n' "$*"
}

complain() {
    printf '%s: %s\n' "${0##*/}" "$*" >&2
}

# Seconds since some moment, for differences.
now() {
    date +%s
}
