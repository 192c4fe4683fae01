// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/result.h"
#include "core/session/session.h"

namespace twinlamp::session {

/// The options that a clip of a rig is measured with: what the tester asked for stands; where
/// nothing is asked, the rig's newest time-base check gives the capture rate, its newest zero check
/// the zero correction and, where it told one, the line time; after these what was typed for the
/// rig (capture rate, exposure, line time, zero correction, shortest hold). Says in `fromRig` what
/// came from where.
///
/// @param rig    0: no rig, the options as asked
/// @param asked  may hold values of an earlier call: they are taken anew
/// @error Session/InvalidValue  a line time is given, but the rig's zero check was made without
/// one:
///        its difference holds the row skew, which would be corrected twice
[[nodiscard]] Result<measure::MeasureOptions> withRig(
    const Session& session, RigId rig, measure::MeasureOptions asked);

/// The options of a check of that kind in a rig: no check is made with an earlier one of its own
/// kind; a zero check uses the rig's newest time-base check.
[[nodiscard]] measure::MeasureOptions withRigForCheck(
    const Session& session, RigId rig, CheckKind kind, measure::MeasureOptions asked);

/// What the tester asked for alone.
[[nodiscard]] measure::MeasureOptions withoutRig(measure::MeasureOptions options);

/// Whether the clip is measured, and would be measured with other options today: the tester or the
/// rig's checks changed something since. A new shortest hold changes only what a sparse scan
/// found.
[[nodiscard]] bool isOutOfDate(const Session& session, const Clip& clip);

} // namespace twinlamp::session
