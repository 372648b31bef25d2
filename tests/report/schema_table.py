"""Which verdicts and directions go with which aspect: typed from the table of docs/judgement.md,
not read from it or from the schema."""

# aspect: (hands, verdict without fault, {faulty verdict: directions, None where there is none})
ASPECTS = {
    "diddle-spacing": ("left right", "even", {"uneven": "late early scattered"}),
    "diddle-level": ("left right", "even", {"uneven": "weak strong scattered"}),
    "accent": ("left right both", "right-sized", {"under": None, "overblown": None}),
    "unmarked-accent": ("left right", "none", {"sticks-out": None}),
    "tap-level": ("both", "even", {"uneven": None}),
    "flam-gap": ("left right both", "right", {"flat": None, "wide": None}),
    "grace-level": ("left right both", "soft", {"loud": None}),
    "buzz": ("left right both", "sustained", {"thin": None, "gapped": None}),
    "hand-level": ("both", "matched", {"unmatched": "left-soft right-soft"}),
    "hand-timing": ("both", "matched", {"unmatched": "left-late right-late"}),
    "timing": ("both", "steady", {"unsteady": None}),
    "tempo": ("both", "steady", {"drifting": "rushing dragging"}),
    "missed": ("both", "none", {"some": None}),
    "extra": ("both", "none", {"some": None}),
    "dynamics": ("both", "as-written", {"off": "loud soft flat"}),
    "hairpin": ("both", "shaped", {"flat": None, "reversed": None}),
    "rim": ("both", "none", {"some": None}),
    "sticking": ("both", "as-written", {"off": None}),
}
HANDS = ["left", "right", "both"]


def words():
    """Every verdict and every direction."""
    verdicts, directions = {"unclear"}, {None}
    for _, good, faults in ASPECTS.values():
        verdicts |= {good, *faults}
        for listed in faults.values():
            directions |= set((listed or "").split())
    return sorted(verdicts), sorted(directions, key=str)


def allowed(aspect, hand, verdict, direction, fault):
    hands, good, faults = ASPECTS[aspect]
    if hand not in hands.split():
        return False
    if fault is None:
        return verdict == "unclear" and direction is None
    if fault is False:
        return verdict == good and direction is None
    if verdict not in faults:
        return False
    listed = faults[verdict]
    return direction is None if listed is None else direction in listed.split()
