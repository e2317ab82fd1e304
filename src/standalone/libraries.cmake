# SPDX-License-Identifier: GPL-3.0-or-later
# feedwright_glpk and feedwright_fmt, the libraries that the program links with: shared, or static
# in a standalone program. Loading shared ones takes a third of the time of a short run.

# Debian's GLPK ships neither a CMake package nor a pkg-config file.
find_path(GLPK_INCLUDE_DIR glpk.h REQUIRED)
find_library(GLPK_LIBRARY glpk REQUIRED)
mark_as_advanced(GLPK_INCLUDE_DIR GLPK_LIBRARY)

set(standalone ${FEEDWRIGHT_STANDALONE})
if(FEEDWRIGHT_SANITIZE OR FEEDWRIGHT_FUZZ)
  set(standalone OFF)  # sanitizers come as shared libraries
endif()
set(static_glpk)
if(standalone)
  include(CheckCXXSourceCompiles)
  set(CMAKE_REQUIRED_LINK_OPTIONS -static-pie)
  check_cxx_source_compiles([[
    #ifndef __PIE__
    #error "not position-independent unless asked"
    #endif
    int main() {}]] FEEDWRIGHT_HAS_STATIC_PIE)
  unset(CMAKE_REQUIRED_LINK_OPTIONS)
  foreach(part glpk amd colamd suitesparseconfig z gmp)  # libglpk-dev depends on all of them
    find_library(FEEDWRIGHT_STATIC_${part} lib${part}.a)
    mark_as_advanced(FEEDWRIGHT_STATIC_${part})
    if(FEEDWRIGHT_STATIC_${part})
      list(APPEND static_glpk ${FEEDWRIGHT_STATIC_${part}})
    endif()
  endforeach()
  list(LENGTH static_glpk parts)
  # standalone/fmt.cpp knows version 9 of the library.
  if(NOT FEEDWRIGHT_HAS_STATIC_PIE OR NOT parts EQUAL 6 OR NOT fmt_VERSION VERSION_GREATER_EQUAL 9
     OR NOT fmt_VERSION VERSION_LESS 10)
    set(standalone OFF)
  endif()
endif()

if(standalone)
  add_library(feedwright_glpk_plugins STATIC ${CMAKE_CURRENT_LIST_DIR}/glpk_plugins.cpp)
  target_link_libraries(feedwright_glpk_plugins PRIVATE feedwright_options)
  add_library(feedwright_glpk INTERFACE)
  target_link_libraries(feedwright_glpk INTERFACE ${static_glpk} feedwright_glpk_plugins)
  add_library(feedwright_fmt STATIC ${CMAKE_CURRENT_LIST_DIR}/fmt.cpp)
  target_link_libraries(feedwright_fmt PUBLIC feedwright_options)
  get_target_property(fmt_include fmt::fmt INTERFACE_INCLUDE_DIRECTORIES)
  target_include_directories(feedwright_fmt SYSTEM PUBLIC ${fmt_include})
else()
  add_library(feedwright_glpk INTERFACE)
  target_link_libraries(feedwright_glpk INTERFACE ${GLPK_LIBRARY})
  add_library(feedwright_fmt INTERFACE)
  target_link_libraries(feedwright_fmt INTERFACE fmt::fmt)
endif()
target_include_directories(feedwright_glpk SYSTEM INTERFACE ${GLPK_INCLUDE_DIR})
