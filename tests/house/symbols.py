"""Lists what the pure rooms' libraries call outside themselves and rejects what is not allowed."""

import pathlib
import subprocess

# No printing, files, clock, threads, environment, locale, randomness or exit.
ALLOWED = set("""
    malloc calloc realloc free qsort bsearch abs labs llabs
    memchr memcmp memcpy memmove memset strchr strcmp strlen strncmp strnlen strrchr strspn strcspn
    strstr snprintf vsnprintf __ctype_b_loc __ctype_tolower_loc __ctype_toupper_loc tolower toupper
    fabs floor ceil round lround llround rint lrint llrint nearbyint trunc fmod remainder modf frexp
    ldexp scalbn sqrt cbrt pow exp exp2 expm1 log log2 log10 log1p hypot sin cos tan atan atan2 asin
    acos tanh erf erfc lgamma tgamma fmax fmin fma copysign nextafter ilogb logb
    __assert_fail __stack_chk_fail __errno_location _GLOBAL_OFFSET_TABLE_
""".split())

# Tables of pointers are constant once the program is loaded.
CONSTANT_DATA = ".data.rel.ro"


def nm(library):
    """Name, kind and section of every symbol."""
    run = subprocess.run(
        ["nm", "--format=sysv", str(library)], capture_output=True, text=True, check=True)
    for line in run.stdout.splitlines():
        columns = [column.strip() for column in line.split("|")]
        if len(columns) == 7:
            yield columns[0], columns[2], columns[6]


def can_change(section):
    return section.startswith((".data", ".bss", ".tdata", ".tbss", "*COM*")) and \
        not section.startswith(CONSTANT_DATA)


def check(libraries):
    """LIBRARIES: the pure rooms' archives. What one offers another may use."""
    defined, undefined, complaints = set(), {}, []
    for library in map(pathlib.Path, libraries):
        for name, kind, section in nm(library):
            if kind in ("U", "w"):
                undefined.setdefault(name, library.name)
                continue
            defined.add(name)
            if can_change(section):
                complaints.append(f"{library.name}: {name} is a global that can change")
    for name in sorted(set(undefined) - defined - ALLOWED):
        complaints.append(f"{undefined[name]}: calls {name}, which a pure room must not")
    return complaints
