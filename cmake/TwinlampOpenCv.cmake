# SPDX-License-Identifier: GPL-3.0-or-later
# Debian's component packages of OpenCV carry no CMake config; only the very large meta package does.
find_path(TWINLAMP_OPENCV_INCLUDE_DIR opencv2/core.hpp PATH_SUFFIXES opencv4 REQUIRED)
find_library(TWINLAMP_OPENCV_CORE opencv_core REQUIRED)
find_library(TWINLAMP_OPENCV_IMGPROC opencv_imgproc REQUIRED)
mark_as_advanced(TWINLAMP_OPENCV_INCLUDE_DIR TWINLAMP_OPENCV_CORE TWINLAMP_OPENCV_IMGPROC)
add_library(twinlamp_opencv INTERFACE)
add_library(Twinlamp::opencv ALIAS twinlamp_opencv)
target_include_directories(twinlamp_opencv SYSTEM INTERFACE "${TWINLAMP_OPENCV_INCLUDE_DIR}")
target_link_libraries(twinlamp_opencv INTERFACE "${TWINLAMP_OPENCV_IMGPROC}" "${TWINLAMP_OPENCV_CORE}")
