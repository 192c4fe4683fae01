# SPDX-License-Identifier: GPL-3.0-or-later
if(TWINLAMP_SANITIZERS)
    target_compile_options(twinlamp_build_settings INTERFACE
        -fsanitize=${TWINLAMP_SANITIZERS} -fno-omit-frame-pointer -fno-sanitize-recover=all)
    target_link_options(twinlamp_build_settings INTERFACE -fsanitize=${TWINLAMP_SANITIZERS})
endif()
