# SPDX-License-Identifier: GPL-3.0-or-later
# One target for the libav* family; only core/footage and core/film link it.
pkg_check_modules(TWINLAMP_LIBAV REQUIRED IMPORTED_TARGET
    libavformat>=59 libavcodec>=59 libavutil>=57 libswscale>=6)
add_library(twinlamp_libav INTERFACE)
add_library(Twinlamp::libav ALIAS twinlamp_libav)
target_link_libraries(twinlamp_libav INTERFACE PkgConfig::TWINLAMP_LIBAV)
