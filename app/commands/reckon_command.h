// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/commands/command.h"
#include "core/link/latency_model.h"
#include "core/link/radio.h"
#include "core/stats/plan/plan.h"

#include <optional>
#include <string>
#include <variant>

namespace twinlamp::commands {

/// `reckon link`: a link setting, what else lies on the way, and how it is simulated.
struct LinkQuestion
{
    link::LinkModel model;
    link::LatencyParts parts;
    link::SimulationPlan simulation;
    /// Output power, mW, > 0: the loss then comes from the radio path, whose power and channel
    /// width are taken from here and from the model.
    std::optional<double> powerMw;
    link::RadioLink radio;
};

/// What was typed after `twinlamp reckon`.
struct ReckonArguments
{
    std::variant<stats::LateClaim, stats::LimitsClaim, stats::WidthClaim, stats::DifferenceClaim,
        LinkQuestion>
        question;
    std::string jsonFile; ///< "-": standard output
};

/// Says how many presses a claim needs, or what a link setting leaves room for: in words unless
/// JSON was asked for.
///
/// @return Done; WrongWords (a value out of its bounds); NotWritten.
ExitStatus runReckon(const ReckonArguments& arguments, const CommandContext& context);

} // namespace twinlamp::commands
