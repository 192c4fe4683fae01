// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace twinlamp {

/// Half width of a 95 % interval over the standard uncertainty, where nothing is estimated from few
/// values: Phi^-1(0.975).
/// Source: JCGM 100:2008, table G.1 (1.960); digits from the normal quantile.
inline constexpr double coverageFactor95 = 1.959963984540054;

} // namespace twinlamp
