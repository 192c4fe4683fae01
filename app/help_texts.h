// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/// What stands below the options in every help.
namespace twinlamp::app {

inline constexpr auto exitStatuses
    = "Exit status: 0 done; 2 a word of the command is off; 3 the input "
      "cannot be read;\n4 no press found, or regions not located; 5 the "
      "result cannot be written; 130, 143 stopped.";

inline constexpr auto panelHelp
    = "The visible part of the goggle's screen (located when left out): a rectangle, or, seen "
      "turned or at an angle, its corners: top left, top right, bottom right, bottom left of its "
      "own picture";

inline constexpr auto cautions
    = "Lamps that flash can trigger seizures: warn people nearby and keep flashes short. Do not "
      "look into\nbright lamps. Take propellers off, give a transmitter its antenna and cooling "
      "air, and keep to the\nradio rules of the place.";

} // namespace twinlamp::app
