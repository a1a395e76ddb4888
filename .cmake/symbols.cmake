# What a binary of ours shows to others: names of nockwise that the public headers export, and nothing of what is compiled in.
# DEVELOPERS.md, "What is shown and what is hidden", says why visibility alone does not do.

# Functions and data of namespace nockwise; type information and virtual tables, by which exceptions are caught.
set(NOCKWISE_EXPORTED_NAMES "_ZN8nockwise*" "_ZN[KRO]8nockwise*" "_ZNK[RO]8nockwise*" "_ZT[ISV]N8nockwise*")

# Whatever else a shared object of ours defines is local to it.
function(nockwise_hide_in_shared_object target)
  if(APPLE OR NOT UNIX)
    return()
  endif()
  list(JOIN ARGN "; " names)
  set(script "${CMAKE_CURRENT_BINARY_DIR}/${target}.map")
  file(CONFIGURE OUTPUT "${script}" CONTENT "{ global: @names@; local: *; };\n" @ONLY)
  target_link_options(${target} PRIVATE "LINKER:--version-script=${script}")
  set_property(TARGET ${target} APPEND PROPERTY LINK_DEPENDS "${script}")
endfunction()

# Can an archive be made one object whose hidden names are local? Groups of common functions must be dissolved: the
# linker would drop ours for a consumer's of the same name, whether the name is local or not.
include(CheckLinkerFlag)
if(UNIX AND NOT APPLE AND CMAKE_OBJCOPY)
  check_linker_flag(CXX "-fuse-ld=bfd;LINKER:--force-group-allocation" NOCKWISE_CAN_HIDE_IN_ARCHIVE)
endif()

function(nockwise_hide_in_archive target)
  if(NOT NOCKWISE_CAN_HIDE_IN_ARCHIVE)
    message(STATUS "nockwise: no GNU ld and objcopy, so the archive shows the symbols of Eigen, toml++ and others to who links it")
    return()
  endif()
  set(names "${CMAKE_CURRENT_BINARY_DIR}/${target}.names")
  list(JOIN ARGN "\n" lines)
  file(CONFIGURE OUTPUT "${names}" CONTENT "@lines@\n" @ONLY)
  set(object "${CMAKE_CURRENT_BINARY_DIR}/${target}_all.o")
  add_custom_command(
    TARGET ${target}
    POST_BUILD
    COMMAND "${CMAKE_CXX_COMPILER}" -r -nostdlib -fuse-ld=bfd -Wl,--force-group-allocation,--whole-archive "$<TARGET_FILE:${target}>" -o
            "${object}"
    COMMAND "${CMAKE_OBJCOPY}" --localize-hidden --wildcard "--keep-global-symbols=${names}" "${object}"
    COMMAND "${CMAKE_COMMAND}" -E rm "$<TARGET_FILE:${target}>"
    COMMAND "${CMAKE_AR}" qcs "$<TARGET_FILE:${target}>" "${object}"
    COMMAND "${CMAKE_COMMAND}" -E rm "${object}"
    COMMENT "Hiding what the archive is built from"
    VERBATIM)
endfunction()
