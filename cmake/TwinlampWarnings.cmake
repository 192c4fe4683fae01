# SPDX-License-Identifier: GPL-3.0-or-later
# Language level and warnings for our own targets, as one INTERFACE target.
add_library(twinlamp_build_settings INTERFACE)
add_library(Twinlamp::build_settings ALIAS twinlamp_build_settings)
target_compile_features(twinlamp_build_settings INTERFACE cxx_std_20)
# At -O3, g++ 12 warns of overlapping copies inside std::string that cannot be (GCC bug 105651).
# It also guesses wrongly about moved variants (maybe-uninitialized): shown, but no error.
target_compile_options(twinlamp_build_settings INTERFACE
    -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wnon-virtual-dtor
    $<$<AND:$<CONFIG:Release>,$<CXX_COMPILER_ID:GNU>,$<VERSION_LESS:$<CXX_COMPILER_VERSION>,13>>:-Wno-restrict>
    "$<$<BOOL:${TWINLAMP_WARNINGS_AS_ERRORS}>:-Werror;-Wno-error=maybe-uninitialized>")
