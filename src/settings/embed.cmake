# cmake -D OUT=file.c -D FILES="a.ini;b.ini" -P embed.cmake
# Writes the files into a C source as byte arrays (a string literal may not be this long).
set(code "#include \"shipped.h\"\n")
set(table "")
foreach(file IN LISTS FILES)
  get_filename_component(name "${file}" NAME_WE)
  file(READ "${file}" hex HEX)
  string(REGEX REPLACE "(..)" "0x\\1," bytes "${hex}")
  string(REGEX REPLACE "(0x..,0x..,0x..,0x..,0x..,0x..,0x..,0x..,0x..,0x..,0x..,0x..,)" "\\1\n" bytes
                       "${bytes}")
  string(APPEND code "static const unsigned char text_${name}[] = {\n${bytes}0};\n")
  string(APPEND table "    {\"${name}\", (const char *)text_${name}},\n")
endforeach()
string(APPEND code "const struct shipped_style shipped_styles[] = {\n${table}    {0, 0}};\n")
file(WRITE "${OUT}" "${code}")
