"""Reads the #includes of every room and says which of them the plan of the house forbids."""

import pathlib
import re

import rooms

INCLUDE = re.compile(r'^\s*#\s*include\s*([<"])([^>"]+)[>"]', re.MULTILINE)


def foreign_key(header):
    for key in rooms.FOREIGN:
        if header == key or (key.endswith("/") and header.startswith(key)):
            return key
    return None


def complain_about_public(room, header):
    offered_by = rooms.HEADER_ROOM.get(header)
    if offered_by is None:
        return f"evenhand/{header}.h has no room in tests/house/rooms.py"
    if offered_by != room and offered_by not in rooms.MAY_INCLUDE[room]:
        return f"room {room} must not include evenhand/{header}.h of room {offered_by}"
    return None


def complain_about_system(room, name, header):
    key = foreign_key(header)
    if key is not None:
        if name in rooms.FOREIGN[key]:
            return None
        return f"<{header}> may be included by {', '.join(sorted(rooms.FOREIGN[key]))} only"
    allowed = rooms.PURE_SYSTEM if room in rooms.PURE else rooms.SYSTEM
    return None if header in allowed else f"room {room} must not include <{header}>"


def complain_about_private(path, header):
    if "/" in header:
        return f'"{header}" reaches out of its room'
    if not (path.parent / header).exists():
        # A header that the build makes is named after the file it is made from.
        return None if header in rooms_made(path) else f'"{header}" is not in its own room'
    return None


def rooms_made(path):
    """Headers that the room's CMake file makes."""
    cmake = path.parent / "CMakeLists.txt"
    return re.findall(r"(\w+\.h)\b", cmake.read_text()) if cmake.exists() else []


def check_file(root, path, room):
    name = str(path.relative_to(root))
    for bracket, header in INCLUDE.findall(path.read_text(encoding="utf-8")):
        if header.startswith("evenhand/"):
            complaint = complain_about_public(room, header[len("evenhand/"):-len(".h")])
        elif bracket == "<":
            complaint = complain_about_system(room, name, header)
        else:
            complaint = complain_about_private(path, header)
        if complaint is not None:
            yield f"{name}: {complaint}"


def check(root):
    root = pathlib.Path(root)
    complaints = []
    for folder in sorted((root / "src").iterdir()):
        if folder.name not in rooms.MAY_INCLUDE:
            complaints.append(f"src/{folder.name} is no room of tests/house/rooms.py")
            continue
        for path in sorted(folder.glob("*.[ch]")):
            complaints += check_file(root, path, folder.name)
    for path in sorted((root / "include" / "evenhand").glob("*.h")):
        room = rooms.HEADER_ROOM.get(path.stem)
        if room is None:
            complaints.append(f"include/evenhand/{path.name} has no room in tests/house/rooms.py")
        else:
            complaints += check_file(root, path, room)
    return complaints
