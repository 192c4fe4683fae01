# SPDX-License-Identifier: GPL-3.0-or-later
# The program with what a desktop needs to list it. The core alone is installed without desktop files.
if(NOT TARGET twinlamp)
    return()
endif()
install(TARGETS twinlamp RUNTIME DESTINATION "${CMAKE_INSTALL_BINDIR}")
install(FILES LICENSE README.md DESTINATION "${CMAKE_INSTALL_DOCDIR}")
install(DIRECTORY samples/ DESTINATION "${CMAKE_INSTALL_DATADIR}/twinlamp/samples"
    FILES_MATCHING PATTERN "*.json" PATTERN "*.md")
if(TWINLAMP_BUILD_UI)
    install(FILES resources/twinlamp.desktop
        DESTINATION "${CMAKE_INSTALL_DATADIR}/applications")
    install(FILES resources/twinlamp.metainfo.xml
        DESTINATION "${CMAKE_INSTALL_DATADIR}/metainfo")
    install(FILES resources/twinlamp-mime.xml
        DESTINATION "${CMAKE_INSTALL_DATADIR}/mime/packages" RENAME twinlamp.xml)
    install(FILES resources/icons/twinlamp.svg
        DESTINATION "${CMAKE_INSTALL_DATADIR}/icons/hicolor/scalable/apps")
endif()
