# SPDX-License-Identifier: GPL-3.0-or-later
# cmake -D FOLDER=data -D OUTPUT=file -P carried_files.cmake
# Writes the library files of FOLDER one after another into one file. In front, a line each: size in
# bytes and name; then an empty line. Nothing else goes in, so that every build of the same files is
# the same bytes. Schemas are for editors and tests, and stay out.
file(GLOB_RECURSE files RELATIVE ${FOLDER} ${FOLDER}/*.json)
list(FILTER files EXCLUDE REGEX "^schema/")
set(index "")
foreach(name IN LISTS files)
  file(SIZE ${FOLDER}/${name} size)
  string(APPEND index "${size} ${name}\n")
endforeach()
file(WRITE ${OUTPUT}.index "${index}\n")
execute_process(COMMAND ${CMAKE_COMMAND} -E cat ${OUTPUT}.index ${files}
  WORKING_DIRECTORY ${FOLDER} OUTPUT_FILE ${OUTPUT} COMMAND_ERROR_IS_FATAL ANY)
