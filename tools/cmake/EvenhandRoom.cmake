# evenhand_room(NAME SOURCES ... USES ... LIBRARIES ...)
# A room of the house: a static library that sees its own folder, the public headers and nothing
# else, and links the rooms and libraries that are named.
function(evenhand_room name)
  cmake_parse_arguments(ROOM "" "" "SOURCES;USES;LIBRARIES" ${ARGN})
  add_library(eh_${name} STATIC ${ROOM_SOURCES})
  target_include_directories(eh_${name} PUBLIC "${PROJECT_SOURCE_DIR}/include"
                                        PRIVATE "${CMAKE_CURRENT_SOURCE_DIR}")
  evenhand_warnings(eh_${name})
  foreach(used IN LISTS ROOM_USES)
    target_link_libraries(eh_${name} PUBLIC eh_${used})
  endforeach()
  target_link_libraries(eh_${name} PRIVATE ${ROOM_LIBRARIES})
endfunction()

# evenhand_test(NAME SOURCES ... USES ... LIBRARIES ... [PLAIN] [TIMEOUT s])
# A test program; with Criterion unless PLAIN. The test may see the private headers of the rooms
# that it tests.
function(evenhand_test name)
  cmake_parse_arguments(T "PLAIN" "TIMEOUT" "SOURCES;USES;LIBRARIES" ${ARGN})
  add_executable(${name} ${T_SOURCES})
  evenhand_warnings(${name})
  if(NOT T_PLAIN)
    target_link_libraries(${name} PRIVATE PkgConfig::CRITERION)
    # Criterion's macros do not survive -Wconversion.
    target_compile_options(${name} PRIVATE -Wno-conversion -Wno-sign-conversion)
  endif()
  foreach(used IN LISTS T_USES)
    target_link_libraries(${name} PRIVATE eh_${used})
    target_include_directories(${name} PRIVATE "${PROJECT_SOURCE_DIR}/src/${used}")
  endforeach()
  target_link_libraries(${name} PRIVATE ${T_LIBRARIES} m)
  target_compile_definitions(${name} PRIVATE EVENHAND_SOURCE_DIR="${PROJECT_SOURCE_DIR}")
  if(NOT T_TIMEOUT)
    set(T_TIMEOUT 120)
  endif()
  add_test(NAME ${name} COMMAND ${name})
  if(T_PLAIN)
    # Plain programs are what the thread sanitizer can run: "ninja plain_tests; ctest -L plain".
    set_property(TEST ${name} PROPERTY LABELS plain)
    add_dependencies(plain_tests ${name})
  endif()
  set_tests_properties(
    ${name} PROPERTIES TIMEOUT ${T_TIMEOUT} FAIL_REGULAR_EXPRESSION
    "ERROR: (Address|Leak)Sanitizer;runtime error:;WARNING: ThreadSanitizer")
endfunction()

function(evenhand_warnings target)
  target_compile_options(${target} PRIVATE -Wall -Wextra -Wpedantic -Wshadow -Wconversion
                                           -Wstrict-prototypes -Wmissing-prototypes
                                           -ffp-contract=off)
  target_compile_definitions(${target} PRIVATE _POSIX_C_SOURCE=200809L)
  if(EVENHAND_WERROR)
    target_compile_options(${target} PRIVATE -Werror)
  endif()
  if(EVENHAND_SANITIZE STREQUAL "address+undefined")
    target_compile_options(${target} PRIVATE -fsanitize=address,undefined
                                             -fno-sanitize-recover=all -fno-omit-frame-pointer)
    target_link_options(${target} PRIVATE -fsanitize=address,undefined)
  elseif(EVENHAND_SANITIZE STREQUAL "thread")
    target_compile_options(${target} PRIVATE -fsanitize=thread -fno-omit-frame-pointer)
    target_link_options(${target} PRIVATE -fsanitize=thread)
  endif()
endfunction()
