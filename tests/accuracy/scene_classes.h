// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/measure_options.h"
#include "core/film/scene.h"
#include "tests/accuracy/draw.h"

#include <cstdint>
#include <span>

namespace twinlamp::accuracy {

/// Slow change of the camera's exposure: all light grows and shrinks together.
struct LightDrift
{
    double amplitude = 0.0; ///< share
    double periodMs = 1000.0;
};

/// One clip of a bench: what is filmed, and what the tester knows.
struct Trial
{
    film::Scene scene;
    measure::MeasureOptions told;
    LightDrift drift;
};

enum class Kind : std::uint8_t
{
    Clean, ///< nothing but camera noise in the way: the bound of the edge times applies
    Ordinary, ///< what a careful tester's footage looks like
    Hard ///< an interval that covers, and a flag
};

/// Scenes of one kind, drawn widely: no parameter of theirs is one that the program was tuned with.
struct SceneClass
{
    const char* name; ///< stands in the table
    const char* id; ///< for the names of tests
    Kind kind;
    /// Turns a common scene into one of the class.
    void (*shape)(Draw& draw, Trial& trial);
};

[[nodiscard]] std::span<const SceneClass> sceneClasses();

/// A trial of a class. Same arguments, same trial.
/// @param presses  times that the lamps go on and off
[[nodiscard]] Trial drawTrial(const SceneClass& kind, std::uint64_t seed, int presses);

} // namespace twinlamp::accuracy
