# SPDX-License-Identifier: GPL-3.0-or-later

# twinlamp_add_library(NAME <folder> SOURCES ... [PUBLIC ...] [PRIVATE ...])
# A static library twinlamp_<folder> with alias Twinlamp::<folder>; headers are included from the top.
function(twinlamp_add_library)
    cmake_parse_arguments(ARG "" "NAME" "SOURCES;PUBLIC;PRIVATE" ${ARGN})
    add_library(twinlamp_${ARG_NAME} STATIC ${ARG_SOURCES})
    add_library(Twinlamp::${ARG_NAME} ALIAS twinlamp_${ARG_NAME})
    target_include_directories(twinlamp_${ARG_NAME} PUBLIC "${PROJECT_SOURCE_DIR}")
    target_link_libraries(twinlamp_${ARG_NAME}
        PUBLIC ${ARG_PUBLIC}
        PRIVATE Twinlamp::build_settings ${ARG_PRIVATE})
    # Consumers need the language level even where they do not share our warnings.
    target_compile_features(twinlamp_${ARG_NAME} PUBLIC cxx_std_20)
endfunction()

# twinlamp_add_test(NAME <folder> SOURCES ... LINK ...)
# One GoogleTest program twinlamp_<folder>_tests, each case a CTest of its own.
function(twinlamp_add_test)
    cmake_parse_arguments(ARG "" "NAME" "SOURCES;LINK;ENVIRONMENT" ${ARGN})
    add_executable(twinlamp_${ARG_NAME}_tests ${ARG_SOURCES})
    target_include_directories(twinlamp_${ARG_NAME}_tests PRIVATE "${PROJECT_SOURCE_DIR}")
    target_link_libraries(twinlamp_${ARG_NAME}_tests PRIVATE
        Twinlamp::build_settings Twinlamp::test_support ${ARG_LINK} GTest::gmock)
    gtest_discover_tests(twinlamp_${ARG_NAME}_tests
        DISCOVERY_TIMEOUT 60
        PROPERTIES TIMEOUT 300 LABELS ${ARG_NAME} ENVIRONMENT "${ARG_ENVIRONMENT}")
endfunction()
